"""The REST API: the same reports and services as the pages, for members' own programs."""
