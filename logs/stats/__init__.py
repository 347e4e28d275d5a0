"""General statistics on frames and plain values; knows no noun of the house and no Django."""
