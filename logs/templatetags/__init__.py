"""Words for templates. It must not query."""
