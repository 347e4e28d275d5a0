"""``manage.py upload MEMBER FILE...``: logs from disk, as if the member had sent them."""

import argparse
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from clubsite.accounts.models import User
from logs.errors import UploadRejectedError
from logs.intake.rows import MAX_BYTES
from logs.intake.source import SourceFile
from logs.people.sight import clubs_of
from logs.solves.selectors.solves import set_aside_list
from logs.solves.services.uploads import upload_import


class Command(BaseCommand):
    """Take in logs for a member; print what was imported, duplicate and on hold, and each problem."""

    help = "Take in CSV or JSON Lines logs for a member."

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Describe the command line."""
        parser.add_argument("member", help="the name the member signs in with")
        parser.add_argument("files", nargs="+", type=Path, metavar="file")
        parser.add_argument(
            "--time-zone",
            help="zone of times without an offset; by default that of the member's first club",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Take in every file; fail at the end if one could not be taken at all."""
        try:
            member = get_user_model().objects.get_by_natural_key(options["member"])
        except get_user_model().DoesNotExist as error:
            raise CommandError(f"Nobody signs in as {options['member']!r}.") from error
        clubs = clubs_of(actor=member)
        name = options["time_zone"] or (clubs[0].time_zone if clubs else settings.TIME_ZONE)
        try:
            time_zone = ZoneInfo(name)
        except (ValueError, KeyError, OSError) as error:
            raise CommandError(f"{name!r} is no IANA time zone, such as Europe/Oslo.") from error
        n_failed = sum(not self._take(member, path, time_zone) for path in options["files"])
        if n_failed:
            raise CommandError(f"{n_failed} of {len(options['files'])} files were not taken.")

    def _take(self, member: User, path: Path, time_zone: ZoneInfo) -> bool:
        """Take in one file and print what became of it; False when it was not taken."""
        try:
            with path.open("rb") as file:
                content = file.read(MAX_BYTES + 1)
            upload = upload_import(
                member=member,
                source=SourceFile(content),
                file_name=path.name,
                time_zone=time_zone,
                now=timezone.now(),
            )
        except OSError as error:
            self.stderr.write(f"{path}: {error.strerror}.")
            return False
        except UploadRejectedError as error:
            self.stderr.write(f"{path}: {error.message}")
            return False
        if upload.is_repeat:
            self.stdout.write(f"{path}: sent before, nothing new: all {upload.n_rows} duplicate.")
        else:
            self.stdout.write(
                f"{path}: {upload.n_taken} imported, {upload.n_doubled} duplicate,"
                f" {upload.n_set_aside} on hold."
            )
        for name in upload.unknown_columns:
            self.stdout.write(f"  column {name!r} is not read")
        for row in set_aside_list(actor=member, upload=upload):
            self.stdout.write(f"  line {row.line}: {row.message}")
        return True
