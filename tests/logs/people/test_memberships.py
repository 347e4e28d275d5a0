"""Roles, leaving and who sees a log: what each change does, and the one event it leaves."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from logs.errors import ConflictError, NotAllowedError, NotFoundError
from logs.people.models import AuditEvent, Club, Membership, Role, Verb, Visibility
from logs.people.services.memberships import (
    display_name_change,
    membership_leave,
    membership_remove,
    ownership_hand_over,
    role_change,
    visibility_change,
)
from logs.people.sight import check_sight
from tests.factories import NOW, make_club, make_membership, make_user

pytestmark = pytest.mark.django_db


def act(service, by: Membership, on: Membership, **more):
    return service(
        actor=by.user,
        slug=by.club.slug,
        membership_id=on.pk,
        now=NOW,
        origin="192.0.2.0/24",
        **more,
    )


def events() -> list[tuple[str, int | None, int | None, dict[str, str]]]:
    return list(
        AuditEvent.objects.order_by("pk").values_list("verb", "actor_id", "member_id", "detail")
    )


def test_what_is_shown_is_changed_at_once_and_noted(owner: Membership):
    member = make_membership(owner.club)
    with pytest.raises(NotFoundError):
        check_sight(owner.user, member.user)
    for _ in range(2):  # the same choice again is no change
        visibility_change(actor=member.user, slug=owner.club.slug, visibility="coach", now=NOW)
    check_sight(owner.user, member.user)
    visibility_change(actor=member.user, slug=owner.club.slug, visibility="only_me", now=NOW)
    with pytest.raises(NotFoundError):
        check_sight(owner.user, member.user)
    own = member.user.pk
    assert events() == [
        ("visibility", own, own, {"before": "only_me", "after": "coach"}),
        ("visibility", own, own, {"before": "coach", "after": "only_me"}),
    ]


def test_an_unknown_visibility_is_refused(owner: Membership):
    with pytest.raises(ValidationError, match="'all' is none of: only_me, coach, club"):
        visibility_change(actor=owner.user, slug=owner.club.slug, visibility="all", now=NOW)


def test_names_are_changed_and_stand_in_no_event(owner: Membership):
    own = display_name_change(
        actor=owner.user, slug=owner.club.slug, display_name=" Old Oak ", now=NOW
    )
    assert own.display_name == "Old Oak"
    assert events() == [("rename", owner.user.pk, owner.user.pk, {})]
    for name in ("", "x" * 61):
        with pytest.raises(ValidationError, match="display_name"):
            display_name_change(actor=owner.user, slug=owner.club.slug, display_name=name, now=NOW)


def test_who_leaves_is_seen_no_more(owner: Membership):
    member = make_membership(owner.club, visibility=Visibility.CLUB)
    check_sight(owner.user, member.user)
    membership_leave(actor=member.user, slug=owner.club.slug, now=NOW)
    with pytest.raises(NotFoundError):
        check_sight(owner.user, member.user)
    assert events() == [("leave", member.user.pk, member.user.pk, {})]


def test_an_owner_hands_over_before_leaving(owner: Membership):
    coach = make_membership(owner.club, role=Role.COACH)
    with pytest.raises(ConflictError, match=r"^You are the owner of Riverbank\. Hand it over"):
        membership_leave(actor=owner.user, slug=owner.club.slug, now=NOW)
    act(ownership_hand_over, owner, coach)
    owner.refresh_from_db()
    coach.refresh_from_db()
    assert (owner.role, coach.role) == (Role.COACH, Role.OWNER)
    membership_leave(actor=owner.user, slug=owner.club.slug, now=NOW)
    assert [event[0] for event in events()] == ["hand_over", "leave"]


def test_an_owner_alone_closes_the_club(owner: Membership):
    membership_leave(actor=owner.user, slug=owner.club.slug, now=NOW)
    assert not Club.objects.exists()
    event = AuditEvent.objects.get()
    assert (event.verb, event.club) == (Verb.CLUB_CLOSE, None)


def test_a_club_has_one_owner_by_the_database_s_own_rule(owner: Membership):
    with pytest.raises(IntegrityError), transaction.atomic():
        Membership.objects.create(
            club=owner.club, user=make_user(), display_name="Two", role=Role.OWNER
        )


def test_a_club_is_not_handed_to_a_locked_account(owner: Membership):
    locked = make_membership(owner.club, make_user(is_active=False))
    with pytest.raises(ConflictError, match="account is locked"):
        act(ownership_hand_over, owner, locked)


def test_only_the_owner_changes_roles(owner: Membership):
    coach, member = make_membership(owner.club, role=Role.COACH), make_membership(owner.club)
    act(role_change, owner, member, role="coach")
    assert events() == [
        ("role", owner.user.pk, member.user.pk, {"before": "member", "after": "coach"})
    ]
    with pytest.raises(NotAllowedError):
        act(role_change, coach, member, role="member")
    with pytest.raises(NotAllowedError):
        act(role_change, owner, owner, role="member")
    with pytest.raises(ValidationError, match="'owner' is none of: coach, member"):
        act(role_change, owner, member, role="owner")


def test_a_coach_removes_members_and_the_owner_removes_coaches_too(owner: Membership):
    coach, other = (make_membership(owner.club, role=Role.COACH) for _ in range(2))
    member = make_membership(owner.club)
    act(membership_remove, coach, member)
    for above in (other, owner):
        with pytest.raises(NotAllowedError, match="Only the owner takes a coach out"):
            act(membership_remove, coach, above)
    with pytest.raises(ConflictError, match="use “Leave”"):
        act(membership_remove, coach, coach)
    act(membership_remove, owner, other)
    assert [(verb, about) for verb, _, about, _ in events()] == [
        ("remove", member.user.pk),
        ("remove", other.user.pk),
    ]


def test_rights_end_with_the_role(owner: Membership):
    coach = make_membership(owner.club, role=Role.COACH)
    member = make_membership(owner.club, visibility=Visibility.COACH)
    check_sight(coach.user, member.user)
    act(role_change, owner, coach, role="member")
    with pytest.raises(NotFoundError):
        check_sight(coach.user, member.user)
    with pytest.raises(NotFoundError):
        act(membership_remove, coach, member)


def test_a_person_of_another_club_is_not_there(owner: Membership):
    stranger = make_membership(make_club())
    for service, more in (
        (membership_remove, {}),
        (role_change, {"role": "coach"}),
        (ownership_hand_over, {}),
    ):
        with pytest.raises(NotFoundError, match=r"^There is no such member\.$"):
            act(service, owner, stranger, **more)


def test_a_change_that_fails_leaves_no_event(owner: Membership):
    member = make_membership(owner.club)
    with transaction.atomic():
        act(role_change, owner, member, role="coach")
        transaction.set_rollback(True)
    assert events() == []
    member.refresh_from_db()
    assert member.role == Role.MEMBER
