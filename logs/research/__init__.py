"""The export of sightings for research, of members who agreed."""
