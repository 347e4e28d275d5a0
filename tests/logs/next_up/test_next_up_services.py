"""A coach's word on a list: said, replaced, withdrawn, and kept for the trail."""

from typing import Any

import pytest
from django.core.exceptions import ValidationError

from logs.errors import NotFoundError
from logs.next_up.models import Override
from logs.next_up.order import OverrideKind
from logs.next_up.services import override_set, override_withdraw
from logs.people.models import Role, Visibility
from tests.desk import CASE_27, CASE_40, DAY, make_team
from tests.factories import NOW, make_club, make_membership

pytestmark = pytest.mark.django_db


def say(coach, member, case=CASE_40, kind=OverrideKind.PIN, **said) -> Override:
    given: dict[str, Any] = {"reason": "You asked for it.", "now": NOW} | said
    return override_set(
        actor=coach.user,
        membership_id=member.pk,
        case=case,
        kind=kind,
        **given,
    )


def test_a_newer_word_on_a_case_takes_the_older_one_s_place_and_keeps_it():
    _, coach, (member,) = make_team()
    older = say(coach, member)
    other_case = say(coach, member, CASE_27)
    newer = say(coach, member, kind=OverrideKind.SKIP, now=NOW + DAY)
    older.refresh_from_db()
    assert (older.withdrawn_at, older.withdrawn_by) == (NOW + DAY, coach.user)
    in_force = set(Override.objects.filter(withdrawn_at=None))
    assert in_force == {newer, other_case}


def test_a_word_is_withdrawn_once():
    _, coach, (member,) = make_team()
    word = say(coach, member)

    def withdraw() -> Override:
        return override_withdraw(
            actor=coach.user, membership_id=member.pk, override_id=word.pk, now=NOW + DAY
        )

    assert withdraw().withdrawn_at == NOW + DAY
    with pytest.raises(NotFoundError):
        withdraw()


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ({"reason": " "}, "Say why"),
        ({"kind": OverrideKind.MOVE}, "only a move, names a place"),
        ({"place": 2}, "only a move, names a place"),
        ({"kind": OverrideKind.MOVE, "place": 0}, "The place is 0; the first is 1, the last 78"),
        ({"kind": OverrideKind.MOVE, "place": 79}, "The place is 79"),
    ],
)
def test_a_word_that_does_not_hold_together_is_refused(said, message):
    _, coach, (member,) = make_team()
    with pytest.raises(ValidationError, match=message):
        say(coach, member, **said)
    assert not Override.objects.exists()


def test_only_a_coach_of_the_club_who_may_read_the_log_has_a_word():
    club, coach, (member,) = make_team()
    elsewhere = make_membership(make_club(), role=Role.COACH)
    word = say(coach, member)
    for actor in (member, elsewhere, make_membership(club)):
        with pytest.raises(NotFoundError):
            say(actor, member)
        with pytest.raises(NotFoundError):
            override_withdraw(
                actor=actor.user, membership_id=member.pk, override_id=word.pk, now=NOW
            )
    member.visibility = Visibility.ONLY_ME
    member.save()
    with pytest.raises(NotFoundError):
        say(coach, member)


def test_a_word_on_one_member_is_not_found_by_another_s_address():
    _, coach, (member, other) = make_team(2)
    word = say(coach, member)
    with pytest.raises(NotFoundError):
        override_withdraw(actor=coach.user, membership_id=other.pk, override_id=word.pk, now=NOW)
