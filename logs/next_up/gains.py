"""What each member would gain from each case: sightings in, a ranked table of cases out."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache
from typing import Any, Final

import numpy as np
import pandas as pd

from clubsite.accounts.models import User
from cubecore.book import Book, default_book
from cubecore.cases import CASES, Stage
from logs.algorithms.selectors import books_of_members
from logs.cases.facts import (
    cases_by_code,
    chance_of,
    hours_to_learn,
    permutation_name,
    steps_by_code,
    turns_by_code,
)
from logs.cases.figures import two_look_times
from logs.next_up.order import Candidate, next_up
from logs.next_up.selectors import next_up_frame, two_look_frame
from logs.progress.selectors import figures_kept_of, log_versions
from logs.progress.services import figures_keep, figures_key
from logs.solves.figures.standing import (
    HIT,
    MISS,
    RECENT,
    Standing,
    one_look_rates,
    rate_prior,
    standing,
)
from logs.stats.grid import LIKELY, PooledTimes, pooled_times
from logs.stats.pooling import blocks_ago, case_sums
from logs.stats.rates import DEFAULT_TEST

TIMED_FROM = 4
"""Below so many cases timed in one look nothing is said of what another would take."""


LEARNT_WORTH = 20
"""A learnt case goes in one look as homework's check has it, which counts as so many looks."""


SEED = 20_260
"""Of the draws behind ties: the same log gives the same list."""


@dataclass(frozen=True, slots=True, eq=False)
class Ranking:
    """A member's cases that do not go in one look yet, the most gained for an hour first.

    Attributes:
        table: ``n_hits``, ``n``, ``rate``, ``now_ms``, ``then_ms`` and `next_up`'s columns,
            indexed by code. A case that no time can be told of yet has NaN for its figures and
            stands after those that have them, by chance times what does not go in one look.
        one_look: Codes of the cases that go in one look.
        has_times: Whether any case could be given a value.
    """

    table: pd.DataFrame
    one_look: frozenset[str]
    has_times: bool


@dataclass(frozen=True, slots=True, eq=False)
class Gains:
    """What one member would gain, before any order.

    Attributes:
        table: ``n_hits``, ``n``, ``rate``, ``now_ms``, ``then_ms`` of the cases that do not go in
            one look, indexed by code; times are NaN where none can be told yet.
        candidates: Those of them that have both times.
        one_look: Codes of the cases that go in one look.
        n_sightings: Sightings with a look behind them.
    """

    table: pd.DataFrame
    candidates: tuple[Candidate, ...]
    one_look: frozenset[str]
    n_sightings: int


def gains(sightings: pd.DataFrame, two_looks: pd.DataFrame, book: Book | None = None) -> Gains:
    """What one member would gain from each case.

    Args:
        sightings: ``NEXT_COLUMNS`` frame of the member.
        two_looks: ``TWO_LOOK_COLUMNS`` frame of the member.
        book: Whose algorithms are learnt: the member's clubs' own; None for the standard book.
    """
    rates = pd.concat(_rates(sightings, stage) for stage in Stage)
    one_look = frozenset(str(code) for code in rates.index[rates["is_one_look"]])
    times = pd.concat(_times(sightings, two_looks, stage, book) for stage in Stage)
    table = rates[~rates.index.isin(one_look)].join(times)
    known = table.dropna(subset=["now_ms", "then_ms"])
    return Gains(table, tuple(_candidates(known, one_look, book)), one_look, len(sightings))


def ranked(found: Gains) -> Ranking:
    """The cases of a member in their order, by what they would gain."""
    valued = next_up(found.candidates, rng=np.random.default_rng(SEED))
    rest = found.table[~found.table.index.isin(valued.index)]
    table = found.table.loc[[*valued.index, *_by_chance(rest)]].join(valued)
    last = 0 if valued.empty else int(valued["tie_group"].max())
    table["tie_group"] = [
        int(group) if group == group else last + 1 + place
        for place, group in enumerate(table["tie_group"])
    ]
    return Ranking(table, found.one_look, not valued.empty)


def _with_codes(frame: pd.DataFrame, stage: Stage) -> pd.DataFrame:
    part = frame[frame["stage"] == stage.value]
    return part.assign(code=[f"{stage.value}-{case}" for case in part["case"]])


def _rates(sightings: pd.DataFrame, stage: Stage) -> pd.DataFrame:
    """One-look rates of every case of a stage, with the parameters of their distribution."""
    part = _with_codes(sightings, stage)
    groups = part.groupby("code").tail(RECENT).groupby("code")["is_one_look"]
    codes = [code for code, case in cases_by_code().items() if case.id.stage is stage]
    counts = pd.DataFrame(
        {
            "n_hits": groups.sum().reindex(codes, fill_value=0).astype("int64"),
            "n": groups.size().reindex(codes, fill_value=0).astype("int64"),
        },
        index=pd.Index(codes, name="case", dtype="str"),
    )
    prior = rate_prior(counts)
    rates = one_look_rates(counts, prior=prior)
    rates["alpha"] = prior.alpha + counts["n_hits"]
    rates["beta"] = prior.beta + counts["n"] - counts["n_hits"]
    recent = groups.apply(lambda hits: "".join(HIT if hit else MISS for hit in hits[-RECENT:]))
    known = rates["rate"] >= LIKELY
    hits, looks = (float(rates.loc[known, name].sum()) for name in ("n_hits", "n"))
    rates["learnt_rate"] = (hits + LEARNT_WORTH * DEFAULT_TEST.learnt) / (looks + LEARNT_WORTH)
    rates["is_one_look"] = [
        standing(str(recent.get(code, ""))) is Standing.ONE_LOOK for code in rates.index
    ]
    return rates


def _times(
    sightings: pd.DataFrame, two_looks: pd.DataFrame, stage: Stage, book: Book | None
) -> pd.DataFrame:
    """``now_ms``, ``now_sd_ms``, ``then_ms``, ``then_sd_ms`` of the cases that have both."""
    part = _with_codes(sightings, stage)
    part = part.assign(block=blocks_ago(len(part)))
    timed = part[part["is_one_look"]].dropna(subset=["recognition_ms", "execution_ms"])
    timed = timed[(timed["recognition_ms"] > 0) & (timed["execution_ms"] > 0)].set_index("code")
    codes = [code for code, case in cases_by_code().items() if case.id.stage is stage]
    blocks = timed["block"].to_numpy()
    then = _then(
        pooled_times(case_sums(timed["recognition_ms"], cases=codes, blocks=blocks)),
        pooled_times(
            case_sums(timed["execution_ms"], cases=codes, turns=turns_by_code(book), blocks=blocks)
        ),
    )
    steps = {code: steps for code, steps in steps_by_code(book).items() if code in codes}
    now = two_look_times(_steps_frame(two_looks, stage, book), steps=steps)
    now = now.rename(columns={"mean_ms": "now_ms", "sd_ms": "now_sd_ms"}).drop(columns="n")
    return now.join(then, how="inner")


def _then(recognition: PooledTimes | None, execution: PooledTimes | None) -> pd.DataFrame:
    """What a case would take in one look: its recognition as others', its execution by its turns."""
    if recognition is None or execution is None or np.count_nonzero(execution.n) < TIMED_FROM:
        return pd.DataFrame(columns=["then_ms", "then_sd_ms"], dtype="float64")
    seen, done = recognition.mean_times(), execution.mean_times()
    return pd.DataFrame(
        {
            "then_ms": seen["mean_ms"] + done["mean_ms"],
            "then_sd_ms": np.hypot(seen["sd_ms"], done["sd_ms"]),
        }
    )


def _steps_frame(two_looks: pd.DataFrame, stage: Stage, book: Book | None) -> pd.DataFrame:
    """The two-look sightings as `two_look_times` reads them: which step took how long."""
    part = _with_codes(two_looks, stage)
    second = [_case_of_algorithm(stage, book).get(text, "") for text in part["second_algorithm"]]
    is_oll = stage is Stage.OLL
    edge = part["edge_step"] if is_oll else pd.Series(second, index=part.index, dtype="str")
    corner = (
        pd.Series(second, index=part.index, dtype="str")
        if is_oll
        else part["permutation_step"].map(permutation_name)
    )
    frame = pd.DataFrame(
        {
            "case": part["code"],
            "edge_step": edge,
            "corner_step": corner,
            "edge_ms": part["first_ms" if is_oll else "second_ms"],
            "corner_ms": part["second_ms" if is_oll else "first_ms"],
        }
    )
    is_told = np.array([name != "" for name in second], dtype=bool)
    return frame[is_told].reset_index(drop=True)


@lru_cache(maxsize=128)
def _case_of_algorithm(stage: Stage, book: Book | None) -> dict[str, str]:
    """The number or letters of the case that each algorithm of the book solves, by its text."""
    return {
        algorithm.text: str(case.number)
        for case in CASES
        if case.stage is stage
        for algorithm in (book or default_book()).algorithms(case)
    }


def _candidates(
    known: pd.DataFrame, one_look: frozenset[str], book: Book | None
) -> list[Candidate]:
    return [
        Candidate(
            case=str(code),
            chance=chance_of(cases_by_code()[str(code)]),
            alpha=row["alpha"],
            beta=row["beta"],
            two_look_ms=row["now_ms"],
            two_look_sd_ms=row["now_sd_ms"],
            one_look_ms=row["then_ms"],
            one_look_sd_ms=row["then_sd_ms"],
            effort_h=hours_to_learn(str(code), one_look, book),
            learnt_rate=row["learnt_rate"],
        )
        for code, row in known.iterrows()
    ]


def _by_chance(rest: pd.DataFrame) -> list[str]:
    """The codes of cases without times, those first that most often do not go in one look."""
    missed = {
        str(code): chance_of(cases_by_code()[str(code)]) * (1 - rate)
        for code, rate in rest["rate"].items()
    }
    return sorted(missed, key=lambda code: -missed[code])


NAME: Final = "gains"


def member_gains(*, actor: User, members: Sequence[User]) -> list[Gains]:
    """The gains of each member, worked out only where their log, book or the code is another.

    Raises:
        NotFoundError: A member's log is not the actor's to read.
    """
    books = books_of_members(member_ids=[member.pk for member in members])
    versions = log_versions(actor=actor, members=members)
    keys = {
        member.pk: figures_key(log_version=versions[member.pk], book=books[member.pk])
        for member in members
    }
    kept = figures_kept_of(actor=actor, members=members, name=NAME)
    found = {member: plain for member, (key, plain) in kept.items() if key == keys[member]}
    missing = [member for member in members if member.pk not in found]
    for member_id, plain in _worked_out(actor, missing, books).items():
        figures_keep(member_id=member_id, name=NAME, key=keys[member_id], content=plain)
        found[member_id] = plain
    return [_gains(found[member.pk]) for member in members]


def _worked_out(
    actor: User, members: Sequence[User], books: Mapping[int, Book]
) -> dict[int, dict[str, Any]]:
    if not members:
        return {}
    sightings = next_up_frame(actor=actor, members=members)
    two_looks = two_look_frame(actor=actor, members=members)
    return {
        member.pk: _plain(
            gains(
                sightings[sightings["member_id"] == member.pk],
                two_looks[two_looks["member_id"] == member.pk],
                books[member.pk],
            )
        )
        for member in members
    }


def _plain(found: Gains) -> dict[str, Any]:
    table = found.table.reset_index(names="code")
    return {
        "table": json.loads(table.to_json(orient="split", index=False, double_precision=15)),
        "candidates": [asdict(one) for one in found.candidates],
        "one_look": sorted(found.one_look),
        "n_sightings": found.n_sightings,
    }


def _gains(plain: dict[str, Any]) -> Gains:
    table = pd.DataFrame(plain["table"]["data"], columns=plain["table"]["columns"])
    table = table.set_index("code")
    numbers = {
        name: "float64" for name in table.columns if name not in ("n", "n_hits", "is_one_look")
    }
    return Gains(
        table.astype(numbers),
        tuple(Candidate(**one) for one in plain["candidates"]),
        frozenset(plain["one_look"]),
        plain["n_sightings"],
    )
