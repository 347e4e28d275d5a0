"""``manage.py club``: found a club and print the code that lets its owner in."""

from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import OperationalError, ProgrammingError
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify

from logs.errors import ConflictError
from logs.people.services.invitations import club_found


class Command(BaseCommand):
    """Found a club, or let a new owner into one that has none."""

    help = "Found a club and print the invitation of its owner, who then invites everybody else."

    def add_arguments(self, parser: CommandParser) -> None:
        """What it is called and where it is."""
        parser.add_argument("name", help="the club's name")
        parser.add_argument("--slug", default="", help="for its addresses; else made of the name")
        parser.add_argument("--zone", default="UTC", help="IANA time zone, such as Europe/Oslo")
        parser.add_argument("--days", type=int, default=14, help="how long the code works")

    def handle(
        self, *args: Any, name: str, slug: str, zone: str, days: int, **options: Any
    ) -> None:
        """Found it and say what to do next."""
        slug = slug or slugify(name)[:50]
        try:
            code = club_found(name=name, slug=slug, time_zone=zone, days=days, now=timezone.now())
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        except (OperationalError, ProgrammingError) as error:  # SQLite's word, PostgreSQL's
            raise CommandError(
                "The database has no tables yet: run manage.py migrate first."
            ) from error
        except ConflictError as error:
            raise CommandError(f"{error.message} The owner invites others.") from error
        self.stdout.write(
            f"{name} is at /clubs/{slug}/. Its owner joins at {reverse('logs:join')} with the code"
            f"\n\n  {code}\n\nwithin {days} days. It is kept nowhere and works once."
        )
