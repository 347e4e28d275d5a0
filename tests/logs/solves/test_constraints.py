"""What the database itself refuses, whatever the code above it does."""

import pytest
from django.db import IntegrityError, transaction

from logs.people.models import Club, Invitation, Membership, Role
from logs.people.services.invitations import invitation_create
from logs.solves.models.solves import SetAsideRow, Sighting, Solve, Upload
from tests.factories import (
    LAST_PAIR,
    NOW,
    T_PERM,
    make_club,
    make_membership,
    make_row,
    make_upload,
    make_user,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def stored():
    """A solve with a skip and a sighting of one look, a row set aside, an invitation."""
    coach = make_membership(make_club(), role=Role.COACH)
    member, slug = coach.user, coach.club.slug
    invitation_create(actor=member, slug=slug, role=Role.MEMBER, max_uses=1, days=1, now=NOW)
    make_upload(member, [make_row(LAST_PAIR, T_PERM)])
    make_upload(member, content=b"scramble,time\nR U,x\n")


@pytest.mark.usefixtures("stored")
@pytest.mark.parametrize(
    ("model", "rule", "changes"),
    [
        (Club, "club_named", {"name": ""}),
        (Club, "club_has_slug", {"slug": ""}),
        (Membership, "membership_named", {"display_name": ""}),
        (Membership, "membership_role_known", {"role": "captain"}),
        (Membership, "membership_visibility_known", {"visibility": "all"}),
        (Invitation, "invitation_role_known", {"role": "captain"}),
        (Invitation, "invitation_used_within_limit", {"n_uses": 2}),
        (Invitation, "invitation_used_within_limit", {"max_uses": 0}),
        (Invitation, "invitation_expires_after_made", {"expires_at": NOW}),
        (Upload, "upload_rows_accounted", {"n_taken": 7}),
        (Upload, "upload_format_known", {"format": "xls"}),
        (SetAsideRow, "set_aside_row_explained", {"message": ""}),
        (SetAsideRow, "set_aside_row_explained", {"code": ""}),
        (SetAsideRow, "set_aside_row_has_line", {"line": 0}),
        (Solve, "solve_time_in_range", {"time_ms": 0}),
        (Solve, "solve_time_in_range", {"time_ms": 3_600_000}),
        (Solve, "solve_status_fits_penalty", {"status": "dnf"}),
        (Solve, "solve_status_fits_penalty", {"penalty": "+2"}),
        (Solve, "solve_kind_known", {"kind": "relay"}),
        (Solve, "solve_reason_known", {"reason": "tired"}),
        (Solve, "solve_kind_needs_solution", {"kind": ""}),
        (Solve, "solve_kind_needs_solution", {"solution": ""}),
        (Sighting, "sighting_stage_known", {"stage": "f2l"}),
        (Sighting, "sighting_angle_in_range", {"angle": 4}),
        (Sighting, "sighting_splits_together", {"execution_ms": None}),
        (Sighting, "sighting_skip_has_no_look", {"case": "skip"}),
        (Sighting, "sighting_one_look_finished", {"is_one_look": True, "is_reached": False}),
        (Sighting, "sighting_outcome_needs_look", {"first_outcome": "luck"}),
        (Sighting, "sighting_misfire_whole", {"misfire_case": "T"}),
        (Sighting, "sighting_misfire_whole", {"misfire_kind": "slip", "misfire_case": "T"}),
        (Sighting, "sighting_steps_known", {"edge_step": "cross"}),
    ],
)
def test_a_rule_holds_against_a_bare_update(model, rule, changes):
    with pytest.raises(IntegrityError, match=rule), transaction.atomic():
        model.objects.update(**changes)


@pytest.mark.usefixtures("stored")
@pytest.mark.parametrize(
    ("model", "columns"),
    [
        (Membership, ("club", "user")),
        (Upload, ("member", "sha256")),
        (SetAsideRow, ("upload", "line")),
        (Solve, ("member", "key")),
        (Solve, ("upload", "line")),
        (Sighting, ("solve", "stage")),
    ],
)
def test_what_is_one_of_a_kind_is_stored_once(model, columns):
    (rule,) = [rule for rule in model._meta.constraints if getattr(rule, "fields", ()) == columns]
    row = model.objects.latest("pk")
    row.pk = None
    for other in {"key", "line"} - set(columns):  # as the other rule of a solve would refuse it too
        if hasattr(row, other):
            setattr(row, other, "9")
    with pytest.raises(IntegrityError, match=f"(?i){rule.name}|{'.*'.join(columns)}"):
        row.save(force_insert=True)


def test_what_is_erased_takes_everything_of_its_own_along():
    member = make_user()
    make_upload(member)
    member.delete()
    assert not Upload.objects.exists()
    assert not Solve.objects.exists()
    assert not Sighting.objects.exists()
