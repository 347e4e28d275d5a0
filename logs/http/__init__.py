"""What pages and the API share: who asks, refusals, one way to answer, the schema."""
