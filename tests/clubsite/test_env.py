"""A site that is set up unsafely or wrongly does not start, and says which variable is at fault."""

import re
from pathlib import Path

import pytest

from clubsite import env
from clubsite.env import LOCAL_SECRET_KEY, EnvironmentRefusedError, read_environment

SECRET = "k3J9s-vQ2xLw8ZrTn5YbHc0dFgPm7AeUiOo4XtRzSyWqVu1NpM"
PUBLIC = {"CLUBSITE_HOSTS": "cubes.example.org", "CLUBSITE_SECRET_KEY": SECRET}


def read(**variables: str):
    return read_environment(variables, base_dir=Path("/srv/site"))


def test_no_variable_at_all_makes_a_site_for_this_machine_alone():
    environment = read()
    assert environment.is_local
    assert environment.hosts == ("127.0.0.1", "localhost", "[::1]")
    assert environment.secret_key == LOCAL_SECRET_KEY
    assert not environment.is_debug
    assert environment.database_url == "sqlite:////srv/site/var/club.sqlite3"
    assert environment.time_zone == "UTC"
    assert environment.proxy is None


def test_naming_hosts_makes_the_site_public():
    environment = read(**{**PUBLIC, "CLUBSITE_HOSTS": "cubes.example.org, .example.net"})
    assert not environment.is_local
    assert environment.hosts == ("cubes.example.org", ".example.net")


@pytest.mark.parametrize(
    ("changes", "variable", "said"),
    [
        ({"CLUBSITE_DEBUG": "1"}, "CLUBSITE_DEBUG", "public hosts"),
        ({"CLUBSITE_HOSTS": "*"}, "CLUBSITE_HOSTS", "any name"),
        ({"CLUBSITE_HOSTS": "cubes.example.org,*"}, "CLUBSITE_HOSTS", "any name"),
        ({"CLUBSITE_HOSTS": "https://cubes.example.org"}, "CLUBSITE_HOSTS", "without scheme"),
        ({"CLUBSITE_HOSTS": "cubes.example.org:443"}, "CLUBSITE_HOSTS", "port"),
        ({"CLUBSITE_SECRET_KEY": ""}, "CLUBSITE_SECRET_KEY", "token_urlsafe"),
        ({"CLUBSITE_SECRET_KEY": LOCAL_SECRET_KEY}, "CLUBSITE_SECRET_KEY", "of its own"),
        ({"CLUBSITE_SECRET_KEY": SECRET[:49]}, "CLUBSITE_SECRET_KEY", "50"),
        ({"CLUBSITE_SECRET_KEY": "ab" * 40}, "CLUBSITE_SECRET_KEY", "guess"),
        ({"CLUBSITE_DEBUG": "yes"}, "CLUBSITE_DEBUG", "'yes'"),
        ({"DATABASE_URL": "mysql://club@db/club"}, "DATABASE_URL", "'mysql'"),
        ({"DATABASE_URL": "club.sqlite3"}, "DATABASE_URL", "sqlite://"),
        ({"CLUBSITE_TIME_ZONE": "Europe/Nowhere"}, "CLUBSITE_TIME_ZONE", "Europe/Nowhere"),
        ({"CLUBSITE_PROXY": "proxy.local"}, "CLUBSITE_PROXY", "proxy.local"),
        ({"CLUBSITE_BROKER": "amqp://queue"}, "CLUBSITE_BROKER", "redis://127.0.0.1"),
        ({"CLUBSITE_BROKER": "redis://"}, "CLUBSITE_BROKER", "redis://127.0.0.1"),
    ],
)
def test_an_unsafe_or_malformed_value_is_refused_by_name(
    changes: dict[str, str], variable: str, said: str
):
    with pytest.raises(EnvironmentRefusedError) as refused:
        read(**{**PUBLIC, **changes})
    assert refused.value.variable == variable
    assert str(refused.value).startswith(f"{variable}: ")
    assert said in str(refused.value)


def test_debug_is_allowed_on_a_local_site():
    assert read(CLUBSITE_DEBUG="1").is_debug


def test_a_data_directory_may_be_absolute():
    environment = read(CLUBSITE_DATA="/var/lib/club")
    assert environment.data_dir == Path("/var/lib/club")
    assert environment.database_url == "sqlite:////var/lib/club/club.sqlite3"


def test_a_proxy_is_named_by_its_address():
    assert read(CLUBSITE_PROXY="2001:db8:0::1").proxy == "2001:db8::1"


def test_every_variable_read_is_documented_at_the_top_of_the_module():
    _, documentation, code = Path(env.__file__).read_text(encoding="utf-8").split('"""', 2)
    read_names = set(re.findall(r'"([A-Z][A-Z_]{5,})"', code))
    assert len(read_names) == 10
    assert {name for name in read_names if f"``{name}``" not in documentation} == set()
