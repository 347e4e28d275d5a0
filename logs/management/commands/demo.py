"""``manage.py demo``: the whole site with an invented club in it, in one command."""

import tomllib
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from clubsite.accounts.models import User
from logs.intake.source import SourceFile
from logs.people.models import Club, Role, Visibility
from logs.people.services.clubs import club_create, membership_add
from logs.people.sight import clubs_of
from logs.solves.services.uploads import upload_import

FOLDER = Path(__file__).resolve().parents[3] / "fixtures" / "demo"
SLUG = "riverside-turners"
PASSWORD = "turn the last layer"  # noqa: S105 - local sites alone have the demo club


Member = dict[str, str]
"""A member as ``club.toml`` describes them; the maker of their log reads the rest of it."""


class Command(BaseCommand):
    """Migrate, make the demo club unless it stands, say how to sign in, serve."""

    help = "Make the demo club on this machine, print its sign-ins, and serve the site."

    def add_arguments(self, parser: CommandParser) -> None:
        """Where to listen, and whether to."""
        parser.add_argument("--port", type=int, default=8000, help="port to listen on")
        parser.add_argument(
            "--no-serve", action="store_true", help="make the club and stop before serving"
        )
        parser.add_argument(
            "--folder", type=Path, default=FOLDER, help="folder with club.toml and logs/"
        )

    def handle(self, *args: Any, port: int, no_serve: bool, folder: Path, **options: Any) -> None:
        """Make what is missing; what stands is left as it is."""
        if not settings.ENVIRONMENT.is_local:
            raise CommandError(
                "The demo club's password is known to everybody, so it is made on local sites"
                " alone: unset CLUBSITE_HOSTS, or set up your own club."
            )
        call_command("migrate", verbosity=0)
        members = self._make_club(folder)
        self._print_sign_ins(members)
        if no_serve:
            self.stdout.write(f"Serve it with: manage.py serve --port {port}")
            return
        call_command("serve", port=port)

    def _make_club(self, folder: Path) -> list[Member]:
        described = tomllib.loads((folder / "club.toml").read_text(encoding="utf-8"))
        club: Club | None = None
        for member in described["members"]:
            user = _user(member["nickname"].lower())
            own = [known for known in clubs_of(actor=user) if known.slug == SLUG]
            club = club or (own[0] if own else None)
            if club is None:
                club = club_create(name=described["name"], slug=SLUG, time_zone=described["zone"])
            if not own:
                membership_add(
                    club=club,
                    user=user,
                    display_name=member["nickname"],
                    role=Role(member["role"]),
                    visibility=Visibility(member["visibility"]),
                )
            self._add_logs(user, folder / "logs", ZoneInfo(described["zone"]))
        members: list[Member] = described["members"]
        return members

    def _add_logs(self, user: User, folder: Path, zone: ZoneInfo) -> None:
        """Import the member's files; one that is in already is left alone."""
        stem = user.get_username()
        for path in sorted([*folder.glob(f"{stem}.*"), *folder.glob(f"{stem}-[0-9].*")]):
            upload = upload_import(
                member=user,
                source=SourceFile(path.read_bytes()),
                file_name=path.name,
                time_zone=zone,
                now=timezone.now(),
            )
            if not upload.is_repeat:
                self.stdout.write(
                    f"{path.name}: {upload.n_taken} taken, {upload.n_doubled} doubled,"
                    f" {upload.n_set_aside} set aside"
                )

    def _print_sign_ins(self, members: list[Member]) -> None:
        self.stdout.write(f"\nSign in with one of these names; the password is: {PASSWORD}\n\n")
        for member in members:
            name, role, standing = member["nickname"].lower(), member["role"], member["standing"]
            self.stdout.write(f"  {name:10} {role:7} {standing}")
        self.stdout.write("")


def _user(username: str) -> User:
    known = get_user_model().objects.filter(username__iexact=username).first()
    return known or get_user_model().objects.create_user(username, password=PASSWORD)
