"""Every read. Each takes ``actor``; what is not theirs is not there. Changes nothing."""
