"""Tallies equal a recount of the sightings, whatever was done to the log."""

import random
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from cubecore.book import Book, default_book
from cubecore.rows import Penalty, Row
from logs.solves.models.solves import SetAsideRow, Sighting, Solve
from logs.solves.models.tallies import (
    CaseTally,
    CaseWeekTally,
    CoverageTally,
    MixUpTally,
    WeekTally,
)
from logs.solves.services.relabel import solve_relabel
from logs.solves.services.tallies import (
    tallies_following,
    tally_rebuild,
    tally_rebuild_all,
)
from logs.solves.services.uploads import set_aside_mend
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_csv,
    make_row,
    make_rows,
    make_upload,
    make_user,
)
from tests.logs.solves.recount import check, kept_cases

pytestmark = pytest.mark.django_db

ANTISUNE = "R U2 R' U' R U' R'"
T_OLL = "F R U R' U' F'"
ENDS = (
    (SUNE, T_PERM),
    (ANTISUNE, T_PERM),
    (T_OLL, SUNE, T_PERM),  # two looks, or 45 for another case where that is known
    (ANTISUNE, SUNE, SUNE, T_PERM),  # a Sune that was shown, taken for the Antisune
    ("U", SUNE, SUNE, ANTISUNE, T_PERM),
    (SUNE, T_PERM, T_PERM),
    (T_OLL,),
    (T_PERM,),
)
TALLIES = (CaseTally, CaseWeekTally, WeekTally, MixUpTally, CoverageTally)
BAD_LINE = "2026-03-01T13:00:00Z,R U,12.34,,U',,\r\n"
MENDED = "2026-03-01T13:00:00Z,R U,12.34,,U' R',,\r\n"


def random_row(rng: random.Random) -> Row:
    start = () if rng.random() < 0.2 else (LAST_PAIR,)
    return make_row(
        *start,
        *rng.choice(ENDS),
        gap_ms=rng.choice((120, 150, 210)),
        is_timed=rng.random() < 0.8,
        done_at=None if rng.random() < 0.1 else NOW + timedelta(minutes=rng.randrange(700_000)),
        penalty=rng.choice((Penalty.NONE, Penalty.NONE, Penalty.DNF, Penalty.PLUS_TWO)),
    )


class Log:
    """A member's log, and what may be done to it."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.member = make_user()
        self.rows = [random_row(rng) for _ in range(60)]

    def upload(self) -> None:
        content = make_csv(self.rng.sample(self.rows, self.rng.randrange(1, 12)))
        make_upload(self.member, content=content + BAD_LINE.encode())

    def mend(self) -> None:
        waiting = SetAsideRow.objects.filter(upload__member=self.member, mended_at=None).first()
        if waiting is None:
            return
        text = self.rng.choice((BAD_LINE, MENDED, make_csv([self.rng.choice(self.rows)]).decode()))
        line = text.splitlines(keepends=True)[-1]
        set_aside_mend(actor=self.member, set_aside_id=waiting.pk, text=line, now=NOW)

    def relabel(self) -> None:
        solve_relabel(book=self.rng.choice((default_book(), Book([]))))

    def lose_labels(self) -> None:
        """Labels wiped as if an engine had been wrong, then made anew."""
        ids = list(Solve.objects.filter(member=self.member).values_list("pk", flat=True))
        some = self.rng.sample(ids, len(ids) // 2)
        with tallies_following({self.member.pk: some}):
            Sighting.objects.filter(solve__in=some).delete()
        check(self.member)
        solve_relabel()

    def lose_solves(self) -> None:
        """Solves gone, as if somebody had taken them back."""
        ids = list(Solve.objects.filter(member=self.member).values_list("pk", flat=True))
        some = self.rng.sample(ids, len(ids) // 3)
        with tallies_following({self.member.pk: some}):
            Sighting.objects.filter(solve__in=some).delete()
            Solve.objects.filter(pk__in=some).delete()


@pytest.mark.parametrize("seed", range(6))
def test_tallies_equal_a_recount_after_anything(seed: int):
    rng = random.Random(seed)
    logs = [Log(rng), Log(rng)]
    steps = [Log.upload] * 4 + [Log.mend, Log.relabel, Log.lose_labels, Log.lose_solves]
    met: set[object] = set()
    for _ in range(16):
        log = rng.choice(logs)
        rng.choice(steps)(log)
        check(log.member)
        met |= {MixUpTally} if MixUpTally.objects.exists() else set()
        met |= set(CaseTally.objects.values_list("kind", flat=True))
    for log in logs:
        check(log.member)
    assert met == {MixUpTally, "solve", "drill"}


def test_the_order_of_uploads_changes_no_tally():
    rng = random.Random(3)
    rows = [row for row in (random_row(rng) for _ in range(40)) if row.done_at is not None]
    once, twice = make_user(), make_user()
    make_upload(once, rows)
    shuffled = rng.sample(rows, len(rows))
    make_upload(twice, shuffled[:15])
    make_upload(twice, shuffled[15:])
    assert kept_cases(once) == kept_cases(twice)
    shares = CoverageTally.objects.order_by("stage").values_list("covered", "low", "high")
    assert list(shares.filter(member=once)) == list(shares.filter(member=twice))


def test_what_was_lost_is_rebuilt_and_what_is_nobodys_goes():
    member, other = make_user(), make_user()
    make_upload(member, make_rows(5))
    before = kept_cases(member)
    CaseTally.objects.filter(member=member, stage="oll").delete()
    CaseTally.objects.filter(member=member).update(n=99)
    CaseTally.objects.create(
        member=other, kind="solve", stage="oll", case="1", n=1, n_looked=0, n_one_look=0, n_timed=0
    )
    seen: list[int] = []
    assert tally_rebuild_all(progress=seen.append) == 2
    assert seen == [1, 2]
    assert kept_cases(member) == before
    assert not CaseTally.objects.filter(member=other).exists()


def test_a_member_without_tallies_is_counted_whole_at_the_next_upload():
    member = make_user()
    make_upload(member, make_rows(4))
    WeekTally.objects.all().delete()
    CaseWeekTally.objects.all().delete()
    make_upload(member, [make_row(LAST_PAIR, ANTISUNE)])
    check(member)


def test_a_solve_without_a_last_layer_has_no_tally():
    member = make_user()
    make_upload(member, content=b"scramble,time\r\nR U R' U',12.34\r\n")
    assert Solve.objects.filter(member=member).count() == 1
    assert kept_cases(member) == {}
    assert WeekTally.objects.get(member=member).n == 1
    check(member)


def test_a_failed_change_leaves_the_tallies_as_they_were():
    member = make_user()
    make_upload(member, make_rows(2))
    before = kept_cases(member)
    with transaction.atomic():
        make_upload(member, [make_row(LAST_PAIR, ANTISUNE)])
        assert kept_cases(member) != before
        transaction.set_rollback(True)
    assert kept_cases(member) == before


def test_a_member_erased_takes_their_tallies_along():
    member = make_user()
    make_upload(member, [*make_rows(2), make_row(LAST_PAIR, ANTISUNE, SUNE, SUNE)])
    tally_rebuild(member_ids=[member.pk, member.pk])
    assert all(model.objects.exists() for model in TALLIES)
    member.delete()
    assert not any(model.objects.exists() for model in TALLIES)


@pytest.mark.parametrize(
    ("model", "rule", "changes"),
    [
        (CaseTally, "case_tally_counts_fit", {"n": 0}),
        (CaseTally, "case_tally_counts_fit", {"n_looked": 99}),
        (CaseTally, "case_tally_counts_fit", {"n_one_look": 99}),
        (CaseTally, "case_tally_counts_fit", {"n_timed": 99}),
        (CaseTally, "case_tally_kind_known", {"kind": "relay"}),
        (CaseTally, "case_tally_stage_known", {"stage": "f2l"}),
        (CaseWeekTally, "case_week_tally_counts_fit", {"n": 0}),
        (CaseWeekTally, "case_week_tally_counts_fit", {"n_looked": 99}),
        (CaseWeekTally, "case_week_tally_kind_known", {"kind": "relay"}),
        (CaseWeekTally, "case_week_tally_stage_known", {"stage": "f2l"}),
        (WeekTally, "week_tally_counts_fit", {"n": 0}),
        (WeekTally, "week_tally_counts_fit", {"n_timed": 99}),
        (WeekTally, "week_tally_kind_known", {"kind": "relay"}),
        (MixUpTally, "mix_up_tally_kind_known", {"kind": ""}),
        (MixUpTally, "mix_up_tally_stage_known", {"stage": "f2l"}),
        (MixUpTally, "mix_up_tally_stage_known", {"done_stage": ""}),
        (MixUpTally, "mix_up_tally_misfire_known", {"misfire_kind": "slip"}),
        (CoverageTally, "coverage_tally_stage_known", {"stage": "f2l"}),
        (CoverageTally, "coverage_tally_band_in_order", {"low": 1.0, "high": 0.5}),
    ],
)
def test_a_rule_holds_against_a_bare_update(model, rule, changes):
    make_upload(make_user(), [*make_rows(2), make_row(LAST_PAIR, ANTISUNE, SUNE, SUNE)])
    with pytest.raises(IntegrityError, match=rule), transaction.atomic():
        model.objects.update(**changes)
