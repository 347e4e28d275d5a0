"""``manage.py relabel``: all labels made anew by the engine and the book as they now stand."""

from typing import Any

from django.core.management.base import BaseCommand

from logs.services.relabel import Relabelled, solve_relabel


class Command(BaseCommand):
    """Make all labels anew and print how many differ. It may be stopped and begun again."""

    help = "Make all labels anew from the stored rows."

    def handle(self, *args: Any, **options: Any) -> None:
        """Relabel, with a line of progress after each batch."""
        done = solve_relabel(progress=self._tell if options["verbosity"] > 1 else None)
        self.stdout.write(f"{done.n_solves} solves relabelled, {done.n_changed} changed.")
        for solve_id in done.refused:
            self.stderr.write(f"solve {solve_id}: the engine takes it no longer; labels kept.")

    def _tell(self, done: Relabelled) -> None:
        self.stdout.write(f"{done.n_solves} solves so far")
