"""Every route asked by everybody about everything with every method, as the table declares.

HEAD is answered by what answers GET, and a method that no line declares is refused before anybody
is looked up: these are asked by four roles, once for each answer that is expected.
``ACCESS_GRID=all`` asks every question.
"""

import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.conf import LazySettings
from django.db import transaction
from django.test import Client
from django.test.client import ClientHandler
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from logs.people.models import AuditEvent, Verb
from logs.privacy.words import PAGE_WORDS
from tests.logs.web.access_rules import ROLES, Grid
from tests.logs.web.access_table import ROUTES, Route
from tests.logs.web.access_world import CLUBS, COACHES, IN_CLUB, KINDS, NAMES, PEOPLE, READS, World

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def sends_mail(settings: LazySettings) -> None:
    """With a mail server, so that its pages are there too."""
    settings.SENDS_MAIL = True


Answer = Any  # the test client's response, which its stubs name privately
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
FORM_TOKEN = re.compile(rb'name="csrfmiddlewaretoken" value="[^"]+"')
API = "logs:api:"  # has a table of its own: tests/logs/api/access_table.py
IS_ALL = os.environ.get("ACCESS_GRID") == "all"
FEW_ROLES = ("anonymous", "locked", "member", "owner")
BY_NAME = {route.name: route for route in ROUTES}


def declared_patterns() -> Iterator[tuple[str, URLPattern]]:
    """The site's routes by full name."""

    def walk(patterns: list[Any], prefix: str) -> Iterator[tuple[str, URLPattern]]:
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                inner = f"{prefix}{pattern.namespace}:" if pattern.namespace else prefix
                yield from walk(pattern.url_patterns, inner)
            else:
                yield f"{prefix}{pattern.name}", pattern

    return walk(get_resolver().url_patterns, "")


@dataclass(frozen=True)
class Cell:
    """One question: a role asks a route about an object with a method."""

    route: Route
    method: str
    role: str
    what: str

    @property
    def is_declared(self) -> bool:
        return self.grid is not None

    @property
    def grid(self) -> Grid | None:
        grid: Grid | None = getattr(self.route, "GET" if self.method == "HEAD" else self.method)
        return grid

    @property
    def expected(self) -> str:
        if self.grid is not None:
            return self.grid.cells[self.role, self.what]
        return "in" if self.role in {"anonymous", "locked"} and not self.is_public else "405"

    @property
    def is_public(self) -> bool:
        """Whether strangers are let through to the view."""
        grids = [getattr(self.route, method) for method in ("GET", "POST")]
        cells = [cell for grid in grids if grid for cell in grid.cells.items()]
        return any(role == "anonymous" and cell == "ok" for (role, _), cell in cells)

    def __str__(self) -> str:
        return f"{self.route.name}: {self.method} by {self.role} about {self.what}"


def cells_of(route: Route) -> Iterator[Cell]:
    """Every role about every object; a method that is not there, about the first alone.

    Such a method is refused before the address is looked at, whatever it names.
    """
    asked = set()
    for cell in _all_cells_of(route):
        key = (cell.method, cell.role, cell.expected)
        if IS_ALL or (cell.is_declared and cell.method != "HEAD"):
            yield cell
        elif key not in asked and cell.role in FEW_ROLES:
            asked.add(key)
            yield cell


def _all_cells_of(route: Route) -> Iterator[Cell]:
    grids = [getattr(route, method) for method in METHODS if method != "HEAD"]
    objects = next(grid.objects for grid in grids if grid is not None)
    for method in METHODS:
        for role in ROLES:
            cells = [Cell(route, method, role, what) for what in objects]
            yield from cells if cells[0].is_declared else cells[:1]


def outcome(response: Answer, cell: Cell) -> str:
    """The answer in the table's words."""
    status: int = response.status_code
    if status == 302 and response["Location"].startswith("/sign-in/?next="):
        return "in"
    if cell.expected == "ok" and status == (cell.route.ok if cell.method == "POST" else 200):
        return "ok"
    return str(status)


class Asking:
    """The questions about one route, and what was wrong with the answers."""

    def __init__(self, route: Route, world: World) -> None:
        self.route = route
        self.world = world
        self.faults: list[str] = []
        self.refusals: dict[tuple[str, str], tuple[str, object]] = {}
        self.n_cells = 0

    def ask(self, cell: Cell) -> None:
        """Ask, hold the answer to the table, and undo what it did."""
        self.n_cells += 1
        client = self.world.client(cell.role)
        before = set(AuditEvent.objects.values_list("pk", flat=True))
        with transaction.atomic():
            response = self._send(client, cell)
            got = self._outcome(response, cell)
            if got != cell.expected:
                self._fault(cell, got)
            else:
                events = AuditEvent.objects.exclude(pk__in=before)
                self._check_events(cell, list(events))
            self._check_canaries(cell, response)
            self._check_alike(cell, response)
            transaction.set_rollback(True)

    def _outcome(self, response: Answer, cell: Cell) -> str:
        return outcome(response, cell)

    def _send(self, client: Client, cell: Cell) -> Answer:
        address = self._address(cell)
        sends = self.route.sends
        if callable(sends):
            sends = sends(self.world, self.world.people.get(cell.role))
        if cell.method == "POST":
            return client.post(address, sends)
        return client.generic(cell.method, address)

    def _address(self, cell: Cell) -> str:
        arguments = KINDS[self.route.about](self.world, cell.role, cell.what)
        address = reverse(self.route.name, kwargs=arguments)
        known: dict[str, object] = {
            key: person.membership_id for key, person in self.world.people.items()
        }
        known["code"] = self.world.code
        is_read = cell.method in {"GET", "HEAD"}
        return address + (self.route.query.format(**known) if is_read else "")

    def _fault(self, cell: Cell, got: str) -> None:
        if cell.is_declared:
            self.faults.append(f"{cell}: expected {cell.expected}, got {got}")
        else:
            self.faults.append(
                f"{cell}: answers {got}, but its line in access_table.py declares no "
                f"{cell.method}. Add {cell.method}=rules.<GRID> to "
                f'Route("{self.route.name}", ...), or have the view refuse the method.'
            )

    def _check_events(self, cell: Cell, events: list[AuditEvent]) -> None:
        """An ``ok`` leaves the declared event and looks, anything else leaves nothing."""
        verbs = [event.verb for event in events if event.verb != Verb.LOOK]
        wanted = [self.route.event] if self.route.event and self._changes(cell) else []
        if verbs != (wanted if cell.expected == "ok" else []):
            self.faults.append(f"{cell}: events {verbs}, expected {wanted or 'none'}")
        if cell.expected != "ok" and any(event.verb == Verb.LOOK for event in events):
            self.faults.append(f"{cell}: a look was noted that was none")

    def _changes(self, cell: Cell) -> bool:
        return cell.method == "POST" if self.route.POST else cell.method == "GET"

    def _check_canaries(self, cell: Cell, response: Answer) -> None:
        """No answer holds what is another's to show, and whoever is named was looked at."""
        text = response.content + str(response.headers).encode()
        own = {cell.role} - {"locked"}  # locked out, they are a stranger
        for key in PEOPLE:
            for canary in ("note", "row", "file", "user"):
                allowed = own if canary == "user" else READS[cell.role] | own
                if _holds(text, f"canary-{canary}-{key}") and key not in allowed:
                    self.faults.append(f"{cell}: shows canary-{canary}-{key}")
            if _holds(text, f"Canary name {key}"):
                if key not in NAMES[cell.role] | own:
                    self.faults.append(f"{cell}: shows the name of {key}")
                elif key not in own and cell.method == "GET" and cell.expected == "ok":
                    self._check_look(cell, key)
        self._check_words(cell, text)

    def _check_words(self, cell: Cell, text: bytes) -> None:
        """What coaches wrote is read by whom it is for, and a club is named to its people."""
        for key, (club, _, _) in PEOPLE.items():
            told = {cell.role} - {"locked"} | (
                {key} if cell.role in COACHES.get(club, set()) else set()
            )
            if _holds(text, f"canary-reason-{key}") and key not in told:
                self.faults.append(f"{cell}: shows a coach's reason to do with {key}")
        for key in ("first", "second"):
            readers = {
                "plan": IN_CLUB[key] | self._copied_by(key),
                "title": IN_CLUB[key] | self._copied_by(key) | self._keys_to(cell, key),
                "words": IN_CLUB[key],
            }
            for canary, roles in readers.items():
                if _holds(text, f"canary-{canary}-{key}") and cell.role not in roles:
                    self.faults.append(f"{cell}: shows canary-{canary}-{key}")
            allowed = CLUBS[cell.role] | ({self.route.opens} if cell.expected == "ok" else set())
            if f"Canary club {key}".encode() in text and key not in allowed:
                self.faults.append(f"{cell}: shows the name of the {key} club")

    def _copied_by(self, key: str) -> set[str]:
        """Who left the club, and takes home what was set for them there."""
        is_copy = self.route.name.endswith(":data-copy")
        return {"ex_member"} if is_copy and key == "first" else set()

    def _keys_to(self, cell: Cell, key: str) -> set[str]:
        """Whoever has a calendar's address has its key: lessons' titles stand in it."""
        is_key = self.route.about == "calendar" and self.route.opens == key
        return {cell.role} if is_key else set()

    def _check_look(self, cell: Cell, key: str) -> None:
        """Where the line says so, who shows the role their log finds that it was looked at."""
        looks = AuditEvent.objects.filter(
            verb=Verb.LOOK,
            page=self.route.looks,
            actor=self.world.people[cell.role].user,
            member=self.world.people[key].user,
        )
        can_read = key in READS[cell.role]  # of others a coach's page holds a name and no figure
        if self.route.looks and can_read and not looks.exists():
            self.faults.append(f"{cell}: {key} is named and finds no look at {self.route.looks}")
        if not self.route.looks and self.route.about in {"membership", "solve"}:
            self.faults.append(
                f"{cell}: shows {key} to another and notes no look. Call logs.people.services.trail.looked "
                f'in the view and add looks="..." to Route("{self.route.name}", ...).'
            )

    def _check_alike(self, cell: Cell, response: Answer) -> None:
        """Not yours, gone and never there: the same bytes and headers."""
        if response.status_code != 404:
            return
        headers = {k: v for k, v in response.headers.items() if k != "Expires"}  # the second it is
        seen = FORM_TOKEN.sub(b"", response.content), headers
        what, first = self.refusals.setdefault((cell.role, cell.method), (cell.what, seen))
        if first != seen:
            self.faults.append(f"{cell}: the 404 differs from the one about {what}")


def _holds(text: bytes, canary: str) -> bool:
    """Whether the canary is there, not as the beginning of a longer one."""
    return re.search(rf"{canary}(?!\w)".encode(), text) is not None


def test_every_route_has_its_line_and_every_line_its_route():
    named = dict(declared_patterns())
    missing = [
        f'add to ROUTES in access_table.py: Route("{name}", "<about>", GET=rules.<GRID>)'
        for name in named
        if name not in BY_NAME and not name.startswith(API)
    ]
    assert not missing, "\n".join(missing)
    assert [name for name in BY_NAME if name not in named] == []
    assert len(BY_NAME) == len(ROUTES)


def test_the_pages_that_looks_are_noted_for_have_words():
    assert {route.looks for route in ROUTES} - {""} <= set(PAGE_WORDS)


@pytest.mark.parametrize("route", ROUTES, ids=lambda route: route.name)
def test_each_role_gets_what_the_table_says_and_no_more(
    route: Route, world: World, record_property
):
    asking = Asking(route, world)
    for cell in cells_of(route):
        asking.ask(cell)
    record_property("cells", asking.n_cells)
    assert not asking.faults, "\n".join(asking.faults)


@pytest.mark.parametrize(
    "route", [r for r in ROUTES if r.POST and not r.is_proof], ids=lambda route: route.name
)
def test_nothing_is_sent_without_the_form_s_token(route: Route, world: World):
    assert route.POST is not None
    role, what = next(key for key, cell in route.POST.cells.items() if cell == "ok")
    client = world.client(role)
    client.handler = ClientHandler(enforce_csrf_checks=True)
    arguments = KINDS[route.about](world, role, what)
    n_events = AuditEvent.objects.count()
    assert client.post(reverse(route.name, kwargs=arguments)).status_code == 403
    assert AuditEvent.objects.count() == n_events


def test_a_number_too_large_for_the_database_is_not_there(world: World):
    for route in ROUTES:
        grid = route.GET or route.POST
        assert grid is not None
        arguments = KINDS[route.about](world, "owner", grid.objects[0])
        numbers = {name for name, value in arguments.items() if isinstance(value, int)}
        if numbers:
            address = reverse(route.name, kwargs=arguments | dict.fromkeys(numbers, 10**30))
            client = world.client("owner")
            sends = {} if callable(route.sends) else route.sends
            answer = client.get(address) if route.GET else client.post(address, sends)
            assert answer.status_code == 404, route.name


def test_the_matrix_is_as_large_as_it_says(record_property):
    n_cells = sum(1 for route in ROUTES for _ in cells_of(route))
    record_property("cells", n_cells)
    assert n_cells > 5_000
