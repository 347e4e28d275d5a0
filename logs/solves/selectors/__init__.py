"""Every read, for an actor."""
