"""The app: logs go in, pages come out. It must not import clubsite."""
