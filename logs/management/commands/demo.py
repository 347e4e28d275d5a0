"""``manage.py demo``: the whole site with an invented club in it, in one command."""

import re
import socket
import tomllib
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from clubsite.accounts.models import User
from clubsite.accounts.names import caseless_name
from logs.intake.source import SourceFile
from logs.lessons.selectors import attendance_list, last_lesson
from logs.management.demo_life import live
from logs.people.models import Club, Role, Visibility
from logs.people.services.memberships import club_create, membership_add
from logs.people.sight import clubs_of
from logs.solves.selectors.solves import upload_list
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
        free = port if no_serve else free_port(port)
        if free != port:
            self.stdout.write(f"Port {port} is taken; the site will be at port {free}.")
        call_command("migrate", verbosity=0)
        members = self.make_club(folder, timezone.now())
        self._print_sign_ins(members)
        if no_serve:
            self.stdout.write(f"Serve it with: manage.py serve --port {port}")
        self.stdout.write(
            "Sign in as marlow for the coach's desk, as juno for a member's.", ending="\n"
        )
        if not no_serve:
            call_command("serve", port=free)

    def make_club(self, folder: Path, now: datetime) -> list[Member]:
        """Make what is missing of the club of ``folder``, as of ``now``; its members."""
        described = tomllib.loads((folder / "club.toml").read_text(encoding="utf-8"))
        club: Club | None = None
        days = days_to(described["members"], timezone.localdate(now))
        n = len(described["members"])
        for place, member in enumerate(described["members"], start=1):
            self.stdout.write(f"Member {place} of {n}: {member['nickname']}")
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
            self._add_logs(user, folder / "logs", ZoneInfo(described["zone"]), days, now)
        if club is not None:
            self._let_live(club, folder, now)
        members: list[Member] = described["members"]
        return members

    def _let_live(self, club: Club, folder: Path, now: datetime) -> None:
        """Lessons, homework and what was done at home, up to now, unless there were some."""
        life = tomllib.loads((folder / "life.toml").read_text(encoding="utf-8"))
        people = {member.display_name: member for member in attendance_list(club=club)}
        coach = next(member for member in people.values() if member.is_coach)
        if last_lesson(actor=coach.user, club=club) is not None:
            return
        self.stdout.write("Lessons, homework, drills and practice of twelve weeks ...")
        n_lessons = live(life, club, people, now)
        second = life.get("second_club")
        if second:
            owner = people[second["owner"]]
            membership_add(
                club=club_create(name=second["name"], slug=second["slug"]),
                user=owner.user,
                display_name=owner.display_name,
                role=Role.OWNER,
            )
        self.stdout.write(f"{n_lessons} lessons")

    def _add_logs(self, user: User, folder: Path, zone: ZoneInfo, days: int, now: datetime) -> None:
        """Import the member's files, dates so many days later; what is in already is left alone."""
        stem = user.get_username()
        names = {upload.file_name for upload in upload_list(actor=user)}
        for path in sorted([*folder.glob(f"{stem}.*"), *folder.glob(f"{stem}-[0-9].*")]):
            if path.name in names:
                continue
            content = moved(path.read_bytes(), days)
            upload = upload_import(
                member=user,
                source=SourceFile(content),
                file_name=path.name,
                time_zone=zone,
                now=sent_at(content, now),
            )
            self.stdout.write(
                f"{path.name}: {upload.n_taken} imported, {upload.n_doubled} duplicate,"
                f" {upload.n_set_aside} on hold"
            )

    def _print_sign_ins(self, members: list[Member]) -> None:
        self.stdout.write(f"\nSign in with one of these names; the password is: {PASSWORD}\n\n")
        for member in members:
            name, role, standing = member["nickname"].lower(), member["role"], member["standing"]
            self.stdout.write(f"  {name:10} {role:7} {standing}")
        self.stdout.write("")


def free_port(port: int) -> int:
    """The first of twenty ports from ``port`` on that nobody listens on.

    Raises:
        CommandError: All are taken.
    """
    for candidate in range(port, port + 20):
        with socket.socket() as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                trial.bind(("127.0.0.1", candidate))
            except OSError:
                continue
            return candidate
    raise CommandError(f"Ports {port} to {port + 19} are taken: name a free one with --port.")


def days_to(members: list[Member], today: date) -> int:
    """Days from the last one of the club's logs to the day before ``today``."""
    last = max(date.fromisoformat(str(member["until"])) for member in members)
    return (today - last).days - 1


_DAY = re.compile(rb"\b\d{4}-\d{2}-\d{2}(?=[T ])")


def moved(content: bytes, days: int) -> bytes:
    """A log with every ISO date so many days later."""

    def later(day: re.Match[bytes]) -> bytes:
        old = _date_of(day[0])
        return day[0] if old is None else (old + timedelta(days=days)).isoformat().encode()

    return _DAY.sub(later, content)


def sent_at(content: bytes, now: datetime) -> datetime:
    """When a member would have added a log: at the end of its last day, ``now`` at the latest."""
    last = max(filter(None, map(_date_of, _DAY.findall(content))), default=None)
    return now if last is None else min(now, datetime.combine(last, time.max, UTC))


def _date_of(text: bytes) -> date | None:
    try:
        return date.fromisoformat(text.decode())
    except ValueError:
        return None


def _user(username: str) -> User:
    known = get_user_model().objects.filter(name_key=caseless_name(username)).first()
    return known or get_user_model().objects.create_user(username, password=PASSWORD)
