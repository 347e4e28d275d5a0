"""Rows on their way into the log: which are new, and which tell of a solve that is there.

Two rows tell of the same attempt when their scrambles lead to the same position and, where both
have a date, the dates are the same; where one has none, the times. Rows of one file are never taken
for each other unless they are the same in all.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db.models import Q

from logs.solves.models.kept_rows import TELLING, Fate, KeptRow
from logs.solves.models.solves import Solve, Upload
from logs.solves.services.labels import Labelled, turn_fields
from logs.solves.services.sent import (
    NAMES,
    Sent,
    adds,
    contradictions,
    edited,
    place_of,
    sent_from_json,
    sent_of,
    sent_of_read,
)


@dataclass(slots=True)
class Arrival:
    """A row on its way into the log.

    Attributes:
        key: What tells it from others (`solve_key`).
        sent: What it says.
        labelled: Its labels, with its correction; None where the engine takes it no longer.
        number: The number that its solve had before, which it gets again if nobody has it.
        correction: What its member changed of it by hand before.
        fate: What had become of it before, where its member decided that.
        decided_at: When they did.
    """

    line: int
    key: str
    sent: Sent
    labelled: Labelled
    number: int | None = None
    correction: dict[str, Any] | None = None
    fate: Fate = Fate.TAKEN
    decided_at: datetime | None = None

    @property
    def place(self) -> int:
        """The position of its scramble, as `Solve.place`."""
        return place_of(self.sent) if self.correction else turn_place(self.labelled)


def turn_place(labelled: Labelled) -> int:
    """`Solve.place` of a labelled row."""
    place: int = turn_fields(labelled.compact)["place"]
    return place


def arrival_of(labelled: Labelled) -> Arrival:
    """A row of a file that is read for the first time."""
    return Arrival(labelled.read.line, labelled.key, sent_of_read(labelled.read), labelled)


@dataclass(frozen=True, slots=True)
class _Standing:
    """A solve that a row may tell of: in the log, or deleted from it by its member."""

    number: int
    upload_id: int
    key: str
    sent: Sent
    is_changed: bool = False
    is_deleted: bool = False


@dataclass(slots=True)
class Decision:
    """What becomes of an arrival, and the solve that it tells of; None where that is new.

    ``is_same`` is for a row that is the same as the solve's first one, ``is_decided`` for one of
    which its member's decision stands.
    """

    arrival: Arrival
    fate: Fate
    number: int | None = None
    is_same: bool = False
    is_decided: bool = False


def decide(upload: Upload, arrivals: Sequence[Arrival], *, is_new: bool) -> list[Decision]:
    """What becomes of each arrival: by its key, by its member's word, by what it tells of, as new."""
    exact, on_hold = _by_key(upload.member_id, [one.key for one in arrivals])
    numbers = {one.number for one in arrivals if one.decided_at and one.number is not None}
    known = known_numbers(upload.member_id, numbers) if numbers else ()
    decisions: dict[int, Decision] = {}
    for one in arrivals:
        if one.fate in TELLING and one.number in known:
            decisions[one.line] = Decision(one, one.fate, one.number, is_decided=True)
        elif one.key in exact:
            decisions[one.line] = _of_same_key(upload, one, exact[one.key])
        elif one.key in on_hold and not is_new:
            decisions[one.line] = Decision(one, Fate.ON_HOLD, on_hold[one.key])
    rest: dict[str, list[Arrival]] = defaultdict(list)
    for one in arrivals:
        if one.line not in decisions:
            rest[one.key].append(one)
    used = {one.number for one in decisions.values() if one.number is not None}
    telling = {} if is_new else _telling(upload, [like[0] for like in rest.values()], used)
    for one, *like in rest.values():
        is_deleted = one.fate is Fate.DELETED
        fate = one.fate if is_deleted else Fate.TAKEN
        first = telling.get(one.line) or Decision(one, fate, is_decided=is_deleted)
        again = Fate.ON_HOLD if first.fate is Fate.ON_HOLD else Fate.DOUBLED
        decisions |= {other.line: Decision(other, again, first.number) for other in like}
        decisions[one.line] = first
    return [decisions[one.line] for one in arrivals]


def known_numbers(member_id: int, numbers: set[int]) -> set[int]:
    """Those numbers under which the log has a solve, or had one that its member deleted."""
    live = Solve.objects.filter(pk__in=numbers).values_list("pk", flat=True)
    deleted = KeptRow.objects.filter(
        member=member_id, fate=Fate.DELETED, is_away=False, solve_number__in=numbers
    )
    return {*live, *deleted.values_list("solve_number", flat=True)}


def _of_same_key(upload: Upload, one: Arrival, standing: _Standing) -> Decision:
    """A row of which the log has the like: it may have other times of turns, or a note."""
    is_sure = standing.is_changed or standing.is_deleted or standing.upload_id == upload.pk
    differs = contradictions(standing.sent, one.sent)
    if differs in (("turn_ms",), ("mark_ms",)) and not is_sure:
        return Decision(one, Fate.ON_HOLD, standing.number)
    if not differs and adds(standing.sent, one.sent) and standing.upload_id != upload.pk:
        return Decision(one, Fate.COMPLETES, standing.number)
    is_same = not standing.is_changed and standing.key == one.key
    is_same = is_same and replace(standing.sent, scramble="", solution="") == replace(
        one.sent, scramble="", solution=""
    )
    return Decision(one, Fate.DOUBLED, standing.number, is_same=is_same)


def _by_key(member_id: int, keys: Sequence[str]) -> tuple[dict[str, _Standing], dict[str, int]]:
    """Solves that rows of these keys are of, and solves that rows on hold of them contradict."""
    standing = {s.key: s for s in _standing_solves(Q(member=member_id, key__in=keys))}
    others = KeptRow.objects.filter(member=member_id, key__in=keys, is_away=False)
    rows = list(others.exclude(key__in=list(standing)).values_list("key", "solve_number", "fate"))
    if not rows:
        return standing, {}
    numbers = {number for _, number, _ in rows}
    known = {s.number: s for s in _standing_solves(Q(pk__in=numbers))}
    deleted = Q(member=member_id, fate=Fate.DELETED, is_away=False, solve_number__in=numbers)
    known |= {s.number: s for s in _standing_deleted(deleted)}
    on_hold = {}
    for key, number, fate in rows:
        if number in known and fate != Fate.ON_HOLD:
            standing[key] = known[number]
        elif number in known and not known[number].is_deleted:
            on_hold[key] = number
    return standing, on_hold


def _standing_solves(of: Q) -> Iterator[_Standing]:
    solves = Solve.objects.filter(of).only(*NAMES, "key", "upload_id", "as_sent")
    for solve in solves.iterator():
        is_changed = solve.as_sent is not None
        yield _Standing(solve.pk, solve.upload_id, solve.key, sent_of(solve), is_changed)


def _standing_deleted(of: Q) -> Iterator[_Standing]:
    for row in KeptRow.objects.filter(of).iterator():
        sent = edited(sent_from_json(row.sent), row.correction)
        yield _Standing(
            row.solve_number, row.upload_id, row.key, sent, bool(row.correction), is_deleted=True
        )


def _telling(upload: Upload, arrivals: Sequence[Arrival], used: set[int]) -> dict[int, Decision]:
    """Of rows with keys of their own, those that tell of a solve from another file."""
    others = Upload.all_uploads.filter(member=upload.member_id).exclude(pk=upload.pk)
    if not arrivals or not others.exists():
        return {}
    by_place: dict[int, list[_Standing]] = defaultdict(list)
    for place, standing in _at_places(upload, arrivals):
        by_place[place].append(standing)
    numbers = [standing.number for ones in by_place.values() for standing in ones]
    rows = KeptRow.objects.filter(upload=upload, is_away=False, solve_number__in=numbers)
    used = used | set(rows.values_list("solve_number", flat=True))
    decisions = {}
    for one in arrivals:
        free = [s for s in by_place.get(one.place, ()) if s.number not in used]
        decision = _best(one, [s for s in free if _is_same_attempt(s.sent, one.sent)])
        if decision is not None:
            decisions[one.line] = decision
            assert decision.number is not None
            used.add(decision.number)
    return decisions


def _at_places(upload: Upload, arrivals: Sequence[Arrival]) -> Iterator[tuple[int, _Standing]]:
    """Solves of other files whose scrambles lead where those of the arrivals do, by position."""
    places = {one.place for one in arrivals}
    agrees = Q(time_ms__in={one.sent.time_ms for one in arrivals}) | Q(
        done_at__in={one.sent.done_at for one in arrivals if one.sent.done_at}
    )
    here = Q(member=upload.member_id, place__in=places) & ~Q(upload=upload)
    solves = Solve.objects.filter(here, agrees).only(*NAMES, "key", "upload_id", "as_sent", "place")
    for solve in solves.order_by("pk").iterator():
        assert solve.place is not None
        changed = solve.as_sent is not None
        yield solve.place, _Standing(solve.pk, solve.upload_id, solve.key, sent_of(solve), changed)
    deleted = here & Q(fate=Fate.DELETED, is_away=False)
    for standing in _standing_deleted(deleted):
        yield place_of(standing.sent), standing


def _is_same_attempt(old: Sent, new: Sent) -> bool:
    if old.done_at and new.done_at:
        return old.done_at == new.done_at
    return old.time_ms == new.time_ms


def _best(one: Arrival, standing: Sequence[_Standing]) -> Decision | None:
    """The solve that a row completes or tells again, else one that it contradicts."""
    against = None
    for solve in sorted(standing, key=lambda s: (s.is_deleted, s.sent.done_at is None, s.number)):
        if not contradictions(solve.sent, one.sent):
            fate = Fate.COMPLETES if adds(solve.sent, one.sent) else Fate.DOUBLED
            return Decision(one, fate, solve.number)
        if against is None and not solve.is_deleted:
            against = Decision(one, Fate.ON_HOLD, solve.number)
    return against
