"""The contributors' guide names what there is: commands, variables, addresses, rooms."""

import re
from pathlib import Path

import pytest
from django.urls import URLPattern, URLResolver

from clubsite import env
from logs.urls import urlpatterns

ROOT = Path(__file__).parents[1]
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = sorted(
    path.stem
    for app in ("logs", "clubsite")
    for path in (ROOT / app / "management" / "commands").glob("[a-z]*.py")
)
VARIABLES = sorted(
    set(re.findall(r'"((?:CLUBSITE_|DATABASE_URL)\w*)"', Path(env.__file__).read_text()))
)
ROOMS = [*sorted(path.parent.name for path in (ROOT / "logs").glob("*/page*")), "intake", "stats"]


def first_part(route: URLPattern | URLResolver) -> str:
    head, slash, _ = str(route.pattern).partition("/")
    return f"/{head}{slash}"


ADDRESSES = sorted(
    {first_part(route) for route in urlpatterns if isinstance(route, URLPattern | URLResolver)}
)


@pytest.mark.parametrize("command", COMMANDS)
def test_the_guide_names_every_command(command):
    assert f"`{command}`" in GUIDE


@pytest.mark.parametrize("variable", VARIABLES)
def test_the_guide_names_every_variable(variable):
    assert f"`{variable}`" in GUIDE


@pytest.mark.parametrize("address", ADDRESSES)
def test_the_guide_says_whose_every_group_of_addresses_is(address):
    assert f"`{address}" in GUIDE


@pytest.mark.parametrize("room", ROOMS)
def test_the_guide_names_every_room_and_the_room_says_what_it_is(room):
    assert re.search(rf"\b{room}/", GUIDE)
    assert len((ROOT / "logs" / room / "__init__.py").read_text(encoding="utf-8")) > len(room) + 20


def test_the_guide_is_short_enough_to_be_read():
    """At most 15 kB: what holds in one room stands in the room."""
    assert len(GUIDE.encode()) <= 15_000


def test_every_file_that_the_guide_names_is_there():
    named = re.findall(r"`((?:logs|cubecore|clubsite|tests|fixtures)/[\w/.-]+?)/?`", GUIDE + README)
    assert len(named) > 10
    assert [name for name in named if not (ROOT / name).exists()] == []
