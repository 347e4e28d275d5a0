"""Work behind a request: queue, leases, progress."""
