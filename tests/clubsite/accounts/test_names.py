"""A user name is one name however it is written: for the constraint, the look-up and the counter.

What is one name is the Unicode Standard's compatibility caseless matching (version 15, section 3.13,
definition D146); the dotted and dotless i are one letter here, as they are where capitals of both are
I (CaseFolding.txt, status T).
"""

import importlib

import pytest
from django.apps import apps
from django.db import IntegrityError
from django.test import Client

from clubsite.accounts.models import User
from clubsite.accounts.names import caseless_name

PASSWORD = "plum-anvil-orbit-nine"

TWINS = [
    ("quill", "qu\N{LATIN SMALL LETTER DOTLESS I}ll"),
    ("ilker", "\N{LATIN CAPITAL LETTER I WITH DOT ABOVE}LKER"),
    ("strasse", "STRA\N{LATIN CAPITAL LETTER SHARP S}E"),
    ("sofie", "so\N{LATIN SMALL LIGATURE FI}e"),
    ("k", "\N{KELVIN SIGN}"),
    ("\N{GREEK SMALL LETTER SIGMA}as", "\N{GREEK SMALL LETTER FINAL SIGMA}AS"),
    ("zo\N{LATIN SMALL LETTER E WITH DIAERESIS}", "ZOE\N{COMBINING DIAERESIS}"),
]


@pytest.mark.parametrize(("name", "twin"), TWINS)
def test_two_ways_to_write_a_name_are_one_name(name: str, twin: str):
    assert caseless_name(name) == caseless_name(twin)


def test_other_names_stay_apart():
    names = ["quill", "quil", "qu1ll", "quill2", "kuill", "qu\N{LATIN SMALL LETTER I WITH ACUTE}ll"]
    assert len({caseless_name(name) for name in names}) == len(names)


@pytest.mark.django_db
@pytest.mark.parametrize(("name", "twin"), TWINS)
def test_nobody_joins_under_somebody_s_name_and_both_spellings_sign_in(name: str, twin: str):
    User.objects.create_user(name, password=PASSWORD)
    client = Client()
    assert client.post("/sign-in/", {"username": twin, "password": PASSWORD}).status_code == 302
    with pytest.raises(IntegrityError):
        User.objects.create_user(twin, password=PASSWORD)


@pytest.mark.django_db
def test_a_name_that_is_changed_is_found_under_the_new_one_alone():
    user = User.objects.create_user("quill")
    user.username = "Lantern"
    user.save(update_fields=["username"])
    assert User.objects.get_by_natural_key("LANTERN") == user
    with pytest.raises(User.DoesNotExist):
        User.objects.get_by_natural_key("quill")


@pytest.mark.django_db
def test_of_twins_that_are_there_the_elder_keeps_the_name():
    migration = importlib.import_module("clubsite.accounts.migrations.0003_caseless_names")
    names = ["quill", "quill-2", "lantern", "other", "qu\N{LATIN SMALL LETTER DOTLESS I}ll"]
    users = [User.objects.create_user(f"made{n}") for n in range(len(names))]
    for user, name in zip(users, names, strict=True):
        User.objects.filter(pk=user.pk).update(username=name, name_key=f"key {user.pk}")
    assert migration.fill_keys(apps) == {users[4].pk: "qu\N{LATIN SMALL LETTER DOTLESS I}ll-3"}
    found = [User.objects.get_by_natural_key(name) for name in [*names[:4], "quill-3"]]
    assert found == users
