"""Roles, sight, invitations and tokens in words: nothing there is lacks them."""

from logs.people import words
from logs.people.models import Role, Scope, Visibility
from logs.people.report.clubs import InvitationState


def test_every_role_every_state_and_every_choice_has_its_words():
    assert set(words.ROLE_WORDS) == set(words.INVITED_AS) == set(Role)
    assert set(words.STATE_WORDS) == set(InvitationState)
    assert [value for value, *_ in words.VISIBILITIES] == list(Visibility.values)
    assert {value for value, *_ in words.SCOPES} == set(Scope.values)


def test_words_are_those_of_the_value():
    assert words.role_words("owner") == "owner and coach"
    assert words.invited_as("member") == "a member"
    assert words.state_words("used_up") == "used up"
    assert words.visibility_name("only_me") == "Only me"
    assert words.scope_words(("read", "upload")) == "read, upload"
