"""Tests of the demo club: a package, so that pytest ends here what they share."""
