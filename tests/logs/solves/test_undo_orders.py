"""Whatever is sent, corrected, taken back, put back and deleted in whatever order, the log is the model's.

``UNDO_ORDERS`` says how many orders are tried (5 by default; 10,000 take some hours). After
each order counts of the tallies are held against plain ones; after one in five all of them against
the whole recount.
"""

import json
import os
from collections import Counter
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from cubecore.rows import Penalty, Row
from logs.errors import ConflictError
from logs.intake.formats import format_json_line
from logs.privacy.services import member_erase
from logs.solves.models.kept_rows import KeptRow
from logs.solves.models.solves import Sighting, Solve, Upload
from logs.solves.models.tallies import CaseTally, WeekTally
from logs.solves.services.corrections import (
    Choice,
    row_decide,
    solve_correct,
    solve_delete,
    solve_put_back,
)
from logs.solves.services.undo import upload_put_back, upload_take_back
from tests.factories import (
    LAST_PAIR,
    NOW,
    SENT_AT,
    SUNE,
    T_PERM,
    make_row,
    make_upload,
    make_user,
)
from tests.logs.solves import recount
from tests.logs.solves.plain_log import FATES, PlainLog, Says

NIKLAS = "R U' L' U R' U' L"  # OLL 27 too, in no book; common practice, no source.
ORDERS = int(os.environ.get("UNDO_ORDERS", "5"))
UTC = ZoneInfo("UTC")
ATTEMPTS = [
    make_row(LAST_PAIR, SUNE, T_PERM),
    make_row(LAST_PAIR, NIKLAS, "U"),
    make_row(LAST_PAIR, NIKLAS, SUNE, T_PERM),
    make_row(SUNE, T_PERM),  # a drill
]
BY_SCRAMBLE = {row.scramble: number for number, row in enumerate(ATTEMPTS)}
DATES = {0: None, 1: NOW, 2: NOW - timedelta(days=9)}
SAYS = st.builds(
    Says,
    has_solution=st.booleans(),
    has_turn_times=st.just(False),
    date=st.sampled_from([0, 1]),
    penalty=st.sampled_from(["", "", "", "+2"]),
    note=st.sampled_from(["", "", "mine"]),
) | st.builds(
    Says,
    has_solution=st.just(True),
    has_turn_times=st.just(True),
    date=st.sampled_from([0, 1]),
    penalty=st.sampled_from(["", "", "", "+2"]),
    note=st.just(""),
)
FILES = st.dictionaries(st.integers(0, len(ATTEMPTS) - 1), SAYS, min_size=1)
CHANGES = st.sampled_from(
    [
        {"penalty": "DNF"},
        {"penalty": ""},
        {"note": "by hand"},
        {"note": ""},
        {"date": 2},
        {"date": 0},
        {"has_solution": False, "has_turn_times": False},
    ]
)


def written(attempt: int, says: Says) -> Row:
    """The row that says so of an attempt."""
    whole = ATTEMPTS[attempt]
    at = DATES[says.date]
    return Row(
        scramble=whole.scramble,
        time_ms=whole.time_ms,
        penalty=Penalty(says.penalty),
        solution=whole.solution if says.has_solution else None,
        turn_ms=whole.turn_ms if says.has_turn_times else None,
        done_at=None if at is None else at.isoformat(),
        note=says.note,
    )


def read(solve: Solve) -> tuple[int, Says]:
    """What a stored solve says, in the model's words."""
    dates = {at: number for number, at in DATES.items()}
    says = Says(
        bool(solve.solution), bool(solve.turn_ms), dates[solve.done_at], solve.penalty, solve.note
    )
    return BY_SCRAMBLE[solve.scramble], says


def sent(changes: dict[str, Any]) -> dict[str, Any]:
    """A change as a member sends it."""
    values: dict[str, Any] = {key: changes[key] for key in ("penalty", "note") if key in changes}
    if "date" in changes:
        at = DATES[changes["date"]]
        values["done_at"] = None if at is None else at.isoformat()
    if "has_solution" in changes:
        values |= {"solution": "", "turn_ms": None}
    return values


class Orders(RuleBasedStateMachine):
    """A member's log, and the model of it."""

    def __init__(self) -> None:
        super().__init__()
        self.member = make_user()
        self.model = PlainLog()
        self.ids: list[int] = []
        self.now = SENT_AT

    def later(self) -> Any:
        self.now += timedelta(seconds=1)
        return self.now

    @rule(rows=FILES)
    def upload(self, rows: dict[int, Says]) -> None:
        number = len(self.ids)
        lines = [format_json_line(written(attempt, says)) for attempt, says in rows.items()]
        content = "".join(json.dumps(json.loads(line) | {"file": number}) + "\n" for line in lines)
        upload = make_upload(self.member, content=content.encode(), now=self.later())
        self.ids.append(upload.pk)
        self.model.upload(list(rows.items()))

    @precondition(lambda self: any(not file.is_away for file in self.model.files))
    @rule(data=st.data())
    def take_back(self, data: st.DataObject) -> None:
        files = [file.number for file in self.model.files if not file.is_away]
        number = data.draw(st.sampled_from(files))
        upload_take_back(actor=self.member, upload_id=self.ids[number], now=self.later())
        self.model.take_back(number)

    @precondition(lambda self: any(file.is_away for file in self.model.files))
    @rule(data=st.data())
    def put_back(self, data: st.DataObject) -> None:
        number = data.draw(st.sampled_from([f.number for f in self.model.files if f.is_away]))
        upload_put_back(actor=self.member, upload_id=self.ids[number], now=self.later())
        self.model.put_back(number)

    @precondition(lambda self: self.model.solves)
    @rule(data=st.data())
    def delete(self, data: st.DataObject) -> None:
        number = data.draw(st.sampled_from(sorted(self.model.solves)))
        solve_delete(actor=self.member, solve_id=self.stored(number), now=self.later())
        self.model.delete(number)

    @precondition(lambda self: any(row.fate == "deleted" for row in self.model.rows()))
    @rule(data=st.data())
    def restore(self, data: st.DataObject) -> None:
        row = data.draw(st.sampled_from([r for r in self.model.rows() if r.fate == "deleted"]))
        kept = KeptRow.objects.get(upload=self.ids[row.file], line=row.line)
        solve_put_back(actor=self.member, solve_id=kept.solve_number, now=self.later())
        self.model.restore(row)

    @precondition(lambda self: self.model.solves)
    @rule(data=st.data(), changes=CHANGES)
    def correct(self, data: st.DataObject, changes: dict[str, Any]) -> None:
        number = data.draw(st.sampled_from(sorted(self.model.solves)))
        solve_id = self.stored(number)
        is_possible = self.model.correct(number, **dict(changes))
        try:
            solve_correct(
                actor=self.member,
                solve_id=solve_id,
                values=sent(changes),
                time_zone=UTC,
                now=self.later(),
            )
        except ConflictError:
            assert not is_possible
        else:
            assert is_possible

    @precondition(lambda self: any(row.fate == "on_hold" for row in self.model.rows()))
    @rule(data=st.data(), choice=st.sampled_from(Choice))
    def decide(self, data: st.DataObject, choice: Choice) -> None:
        row = data.draw(st.sampled_from([r for r in self.model.rows() if r.fate == "on_hold"]))
        kept = KeptRow.objects.get(upload=self.ids[row.file], line=row.line)
        row_decide(actor=self.member, row_id=kept.pk, choice=choice, now=self.later())
        self.model.decide(row, choice.value)

    def kept_counts(self) -> list[Counter[Any]]:
        """How many the tallies count of each case, in all and in one look, and in each week."""
        cases = CaseTally.objects.filter(member=self.member)
        weeks = WeekTally.objects.filter(member=self.member)
        return [
            Counter({(t.kind, t.stage, t.case): t.n for t in cases}),
            Counter({(t.kind, t.stage, t.case): t.n_one_look for t in cases if t.n_one_look}),
            sum((Counter({(t.kind, t.week): t.n}) for t in weeks), Counter()),
        ]

    def plain_counts(self) -> list[Counter[Any]]:
        """The same, counted one by one."""
        met = list(Sighting.objects.filter(member=self.member).select_related("solve"))
        days = [
            (solve.kind or "solve", solve.done_at and solve.done_at.date())
            for solve in Solve.objects.filter(member=self.member)
        ]
        return [
            Counter((one.solve.kind, one.stage, one.case) for one in met),
            Counter((one.solve.kind, one.stage, one.case) for one in met if one.is_one_look),
            Counter((kind, day and day - timedelta(days=day.weekday())) for kind, day in days),
        ]

    def stored(self, number: int) -> int:
        """The id of the solve that the model calls ``number``: by the row that it stands as."""
        row = self.model.solves[number].row
        return Solve.objects.get(upload=self.ids[row.file], line=row.line).pk

    @invariant()
    def the_log_is_the_models(self) -> None:
        stored = sorted(map(read, Solve.objects.filter(member=self.member)), key=repr)
        assert stored == self.model.log()

    @invariant()
    def every_row_is_in_one_place_and_counted_there(self) -> None:
        for upload_id, counts in zip(self.ids, self.model.counts(), strict=True):
            upload = Upload.all_uploads.get(pk=upload_id)
            kept = Counter(upload.kept_rows.values_list("fate", flat=True))
            assert upload.solves.count() + kept["taken"] == counts["taken"] == upload.n_taken
            assert {fate: kept[fate] for fate in FATES[1:]} == {f: counts[f] for f in FATES[1:]}
            assert upload.n_completed == counts["completes"] + counts["corrects"]
            assert (upload.n_doubled, upload.n_on_hold, upload.n_deleted) == (
                counts["doubled"],
                counts["on_hold"],
                counts["deleted"],
            )

    def teardown(self) -> None:
        assert self.kept_counts() == self.plain_counts()
        if len(self.ids) % 5 == 1:
            recount.check(self.member)
        member_erase(actor=self.member, now=self.now)
        assert not KeptRow.objects.filter(upload__in=self.ids).exists()


@pytest.mark.django_db
def test_any_order_of_acts_leaves_the_log_that_the_model_has():
    run_state_machine_as_test(
        Orders,
        settings=settings(
            max_examples=ORDERS,
            phases=(Phase.generate,),
            stateful_step_count=10,
            database=None,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
