"""``manage.py retally``: the tallies beside the sightings, counted anew."""

from typing import Any

from django.core.management.base import BaseCommand

from logs.solves.services.tallies import tally_rebuild_all


class Command(BaseCommand):
    """Count all tallies anew. It may be stopped and begun again, and members can go on meanwhile."""

    help = "Count the tallies beside the sightings anew."

    def handle(self, *args: Any, **options: Any) -> None:
        """Count, with a line of progress after each member."""
        n_members = tally_rebuild_all(progress=self._tell if options["verbosity"] > 1 else None)
        self.stdout.write(f"Tallies of {n_members} member{'' if n_members == 1 else 's'} rebuilt.")

    def _tell(self, n_members: int) -> None:
        self.stdout.write(f"{n_members} so far")
