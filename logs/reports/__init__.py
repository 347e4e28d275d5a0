"""What a page shows, as frozen dataclasses. It must not import web, and holds no query."""
