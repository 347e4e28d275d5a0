"""Every endpoint asked by everybody's token about everything with every method."""

import json

import pytest
from django.test import Client
from django.urls import reverse

from logs.people.models import AuditEvent
from tests.logs.api.access_table import ROUTES
from tests.logs.web.access_table import Route, Sent
from tests.logs.web.access_world import KINDS, World
from tests.logs.web.test_access_matrix import API, Answer, Asking, Cell, cells_of, declared_patterns

pytestmark = pytest.mark.django_db

PAGES = {"logs:api:guide", "logs:api:schema"}
ERROR = {"code", "message", "field", "line", "problems"}


def program(world: World, role: str) -> Client:
    """A program with the token of ``role``; without one for a stranger."""
    if role == "anonymous":
        return world.stranger()
    return world.stranger(authorization=f"Bearer {world.tokens[role]}")


class AskingPrograms(Asking):
    """The questions about one endpoint; refusals are held to their one shape besides."""

    def _send(self, client: Client, cell: Cell) -> Answer:
        asking, address = program(self.world, cell.role), self._address(cell)
        if cell.method in {"POST", "PUT", "PATCH"}:
            body = json.dumps(sent_by(self.route, self.world, cell.role))
            return asking.generic(cell.method, address, body, content_type="application/json")
        return asking.generic(cell.method, address)

    def _outcome(self, response: Answer, cell: Cell) -> str:
        status: int = response.status_code
        if status >= 400 and cell.method != "HEAD" and set(response.json()["error"]) != ERROR:
            return f"{status} in another shape"
        if status == 401:
            return "in" if response["WWW-Authenticate"] == "Bearer" else "401 without its header"
        wanted = {"POST": self.route.ok, "DELETE": 204}.get(cell.method, 200)
        return "ok" if cell.expected == "ok" and status == wanted else str(status)

    def _changes(self, cell: Cell) -> bool:
        changing = {method for method in ("POST", "PUT", "DELETE") if getattr(self.route, method)}
        return cell.method in (changing or {"GET"})


def sent_by(route: Route, world: World, role: str) -> Sent:
    """What a change carries so that it does what it is there for."""
    sends = route.sends
    return sends(world, world.people.get(role)) if callable(sends) else sends


def test_every_endpoint_has_its_line_and_every_line_its_endpoint():
    named = {name for name, _ in declared_patterns() if name.startswith(API)} - PAGES
    assert {route.name for route in ROUTES} == named
    assert len({route.name for route in ROUTES}) == len(ROUTES)


@pytest.mark.parametrize("route", ROUTES, ids=lambda route: route.name)
def test_each_role_s_token_gets_what_the_table_says_and_no_more(
    route: Route, world: World, record_property
):
    asking = AskingPrograms(route, world)
    for cell in cells_of(route):
        asking.ask(cell)
    record_property("cells", asking.n_cells)
    assert not asking.faults, "\n".join(asking.faults)


def test_no_endpoint_lets_a_session_in(world: World):
    browser = world.client("owner")
    for route in ROUTES:
        grid = route.GET or route.POST or route.PUT or route.DELETE
        assert grid is not None, route.name
        address = _address(world, route, grid.objects[0])
        before = AuditEvent.objects.count()
        assert browser.get(address).status_code == 401, route.name
        assert browser.post(address, {}).status_code == 401, route.name
        assert AuditEvent.objects.count() == before


def test_a_number_too_large_for_the_database_is_not_there(world: World):
    for route in ROUTES:
        grid = route.GET or route.POST or route.PUT or route.DELETE
        assert grid is not None, route.name
        arguments = _arguments(world, route, grid.objects[0])
        numbers = {name for name, value in arguments.items() if isinstance(value, int)}
        if numbers:
            address = reverse(route.name, kwargs=arguments | dict.fromkeys(numbers, 10**30))
            asking = program(world, "owner")
            method = next(m for m in ("GET", "POST", "PUT", "DELETE") if getattr(route, m))
            sent = "" if method == "GET" else json.dumps(sent_by(route, world, "owner"))
            answer = asking.generic(method, address, sent, content_type="application/json")
            assert answer.status_code == 404, route.name


def _address(world: World, route: Route, what: str) -> str:
    return reverse(route.name, kwargs=_arguments(world, route, what))


def _arguments(world: World, route: Route, what: str) -> dict[str, object]:
    return KINDS[route.about](world, "owner", what)
