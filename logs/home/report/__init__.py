"""What the first page, the members page and the page of an upload show."""
