"""``manage.py research_export SLUG FILE --coach NAME``: a club's research export, onto the disk."""

import argparse
import secrets
from pathlib import Path
from typing import IO, Any

from django.contrib.auth import get_user_model
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from clubsite.accounts.models import User
from logs.errors import LogsError
from logs.research.figures import dictionary_markdown
from logs.research.report import research_export


class Command(BaseCommand):
    """Write the export as the coach would get it, or its data dictionary as Markdown."""

    help = "Write a club's research export (Parquet), or its data dictionary (Markdown)."

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Describe the command line."""
        parser.add_argument("slug", nargs="?", help="the club's part of its address")
        parser.add_argument("file", nargs="?", type=Path, help="where to; must not be there yet")
        parser.add_argument("--coach", help="the coach of the club in whose name it is taken")
        parser.add_argument(
            "--dictionary", action="store_true", help="print the data dictionary and stop"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Write one of the two."""
        if options["dictionary"]:
            self.stdout.write(dictionary_markdown(), ending="")
            return
        if not (options["slug"] and options["file"] and options["coach"]):
            raise CommandError("Name the club, the file and --coach; or ask for --dictionary.")
        users = get_user_model().objects
        try:
            coach = users.get_by_natural_key(options["coach"])
        except get_user_model().DoesNotExist as error:
            raise CommandError(f"Nobody signs in as {options['coach']!r}.") from error
        path: Path = options["file"]
        try:
            with path.open("xb") as file:
                n_rows = self._write(file, path, coach, options["slug"])
        except OSError as error:
            raise CommandError(f"{path}: {error.strerror}.") from error
        self.stdout.write(f"{path}: {n_rows:,} sightings.")

    def _write(self, file: IO[bytes], path: Path, coach: User, slug: str) -> int:
        """Write the export; leave no file behind where there is none."""
        try:
            return research_export(
                actor=coach,
                slug=slug,
                file=file,
                key=secrets.token_bytes(32),
                address="",
                now=timezone.now(),
            )
        except LogsError as error:
            path.unlink()
            raise CommandError(error.message) from error
