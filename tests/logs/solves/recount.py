"""The tallies once more, counted slowly and another way: from frames, by pandas and numpy."""

from typing import Any

import numpy as np
import pandas as pd
import pytest

from cubecore.cases import Stage
from logs.cases.facts import case_chances
from logs.solves.figures.counts import SUM_FIELDS
from logs.solves.models.solves import Sighting
from logs.solves.models.tallies import (
    CaseTally,
    CaseWeekTally,
    CoverageTally,
    MixUpTally,
    WeekTally,
)
from logs.solves.selectors.frames import sighting_frame, solve_frame
from logs.stats.sketch import ALPHA, read_sketch

Rows = dict[tuple[Any, ...], tuple[Any, ...]]


def _sums(met: pd.DataFrame) -> tuple[Any, ...]:
    """What sightings come to, in the order of ``SUM_FIELDS``; logs to the sixth decimal."""
    looked = met[met["n_looks"] > 0]
    hit = looked[looked["is_one_look"]]
    timed = _timed(met)
    times = [timed[f"{part}_ms"] for part in ("recognition", "execution")]
    return (
        *(len(met), len(looked), len(hit), len(timed)),
        *(
            value
            for ms in times
            for value in (_near(np.log(ms).sum()), _near((np.log(ms) ** 2).sum()), int(ms.sum()))
        ),
    )


def _near(value: float) -> Any:
    return pytest.approx(float(value), abs=1e-5)


def _timed(met: pd.DataFrame) -> pd.DataFrame:
    hit = met[met["is_one_look"]]
    return hit[(hit["recognition_ms"] > 0) & (hit["execution_ms"] > 0)]


def recount_cases(member) -> Rows:
    rows: Rows = {}
    for kind in ("solve", "drill"):
        frame = sighting_frame(actor=member, member=member, kind=kind)
        for (stage, case), met in frame.groupby(["stage", "case"]):
            looked = met[met["n_looks"] > 0].tail(24)
            dates = met["done_at"].dropna()
            rows[kind, str(stage), str(case)] = (
                *_sums(met),
                "".join(looked["is_one_look"].map({True: "1", False: "0"})),
                None if dates.empty else dates.max().to_pydatetime(),
            )
    return rows


def _kept_sums(tally: CaseTally | CaseWeekTally) -> tuple[float, ...]:
    return tuple(getattr(tally, name) for name in SUM_FIELDS)


def kept_cases(member) -> Rows:
    return {
        (tally.kind, tally.stage, tally.case): (
            *_kept_sums(tally),
            tally.recent,
            tally.last_met_at,
        )
        for tally in CaseTally.objects.filter(member=member)
    }


def _week(frame: pd.DataFrame) -> pd.Series:
    """The Monday of each moment, by pandas' own calendar; ``none`` and a thousand for no date."""
    weeks = (
        frame["done_at"]
        .dt.tz_convert("UTC")
        .dt.tz_localize(None)
        .dt.to_period("W-SUN")
        .dt.start_time
    )
    named: pd.Series = weeks.dt.strftime("%Y-%m-%d")
    return named.fillna("none " + (frame["solve_id"] // 1000).astype(str))


def recount_case_weeks(member) -> Rows:
    rows: Rows = {}
    for kind in ("solve", "drill"):
        frame = sighting_frame(actor=member, member=member, kind=kind)
        frame["week"] = _week(frame)
        for (stage, case, week), met in frame.groupby(["stage", "case", "week"]):
            times = _timed(met)[["recognition_ms", "execution_ms"]]
            rows[kind, stage, case, week] = (*_sums(met), *(_spread(times[ms]) for ms in times))
    return rows


def _spread(times_ms: pd.Series) -> list[Any]:
    """How many times there are, and three quantiles as near as a sketch has them."""
    exact = [] if times_ms.empty else np.quantile(times_ms, [0.1, 0.5, 0.9]).tolist()
    return [len(times_ms), *(pytest.approx(one, rel=ALPHA + 1e-9) for one in exact)]


def _kept_spread(kept: bytes) -> list[float]:
    sketch = read_sketch(bytes(kept))
    return [sketch.n, *(sketch.quantile(share) for share in (0.1, 0.5, 0.9) if sketch.n)]


def kept_case_weeks(member) -> Rows:
    return {
        (tally.kind, tally.stage, tally.case, _kept_week(tally)): (
            *_kept_sums(tally),
            *(_kept_spread(kept) for kept in (bytes(tally.recognition), bytes(tally.execution))),
        )
        for tally in CaseWeekTally.objects.filter(member=member)
    }


def _kept_week(tally: CaseWeekTally | WeekTally) -> str:
    return f"none {tally.part}" if tally.week is None else str(tally.week)


def recount_weeks(member) -> Rows:
    frame = solve_frame(actor=member, member=member)
    frame["week"] = _week(frame)
    frame["kind"] = frame["kind"].replace("", "solve")
    stages = [f"{stage}_{part}_ms" for stage in Stage for part in ("recognition", "execution")]
    frame["last_layer"] = frame[stages].sum(axis=1, skipna=False).where(frame["time_ms"].notna())
    rows: Rows = {}
    for (kind, week), done in frame.groupby(["kind", "week"]):
        times = done["last_layer"][done["last_layer"] > 0]
        rows[kind, week] = (len(done), int(times.sum()), _spread(times))
    return rows


def kept_weeks(member) -> Rows:
    return {
        (tally.kind, _kept_week(tally)): (
            tally.n,
            tally.last_layer_ms_sum,
            _kept_spread(bytes(tally.last_layer)),
        )
        for tally in WeekTally.objects.filter(member=member)
    }


def recount_mix_ups(member) -> Rows:
    """By first looks, in the order of time; most count only where the case was known."""
    rows: dict[tuple[Any, ...], int] = {}
    for kind in ("solve", "drill"):
        frame = sighting_frame(actor=member, member=member, kind=kind)
        for (stage, case), met in frame[frame["n_looks"] > 0].groupby(["stage", "case"]):
            looks = list(zip(met["is_one_look"], met["done_at"], strict=True))
            for place, sighting_id in enumerate(met["sighting_id"]):
                first = Sighting.objects.get(pk=sighting_id).looks[0]
                before = [at for is_hit, at in looks[max(0, place - 24) : place] if is_hit]
                done = _done(first)
                if done is not None:
                    key = (kind, stage, case, *done)
                    counts = _counts(first, looks[place][1], before)
                    rows[key] = rows.get(key, 0) + int(counts)
    return {key: (n,) for key, n in rows.items()}


def _done(look: dict[str, Any]) -> Any:
    """What was done for what: another's algorithm, or its own from a wrong hold."""
    done = look["done"]
    if done is None or look["outcome"] in ("finished", "repair"):
        return None
    is_own = done["quarter_turns"] is not None
    return done["stage"], str(done["case"]), "wrong_hold" if is_own else "other_case"


def _counts(look: dict[str, Any], at: pd.Timestamp, before: list[pd.Timestamp]) -> bool:
    """Whether that is a mistake: a step or half of the stage is one where the case was known."""
    is_own = look["done"]["quarter_turns"] is not None
    if is_own and look["outcome"] not in ("edges", "corners"):
        return True
    return any(bool(pd.isna(at)) or bool(pd.isna(one)) or (at - one).days < 365 for one in before)


def kept_mix_ups(member) -> Rows:
    fields = ("kind", "stage", "shown", "done_stage", "done", "misfire_kind")
    return {
        tuple(getattr(tally, field) for field in fields): (tally.n,)
        for tally in MixUpTally.objects.filter(member=member)
    }


def check_coverage(member) -> None:
    """What must hold of kept coverage whatever the counts; the figure has its own tests."""
    for stage in Stage:
        looked = CaseTally.objects.filter(
            member=member, kind="solve", stage=stage, n_looked__gt=0
        ).exclude(case="skip")
        kept = CoverageTally.objects.filter(member=member, stage=stage).first()
        assert (kept is None) == (not looked)
        if kept is None:
            continue
        chances = case_chances(stage)
        never = sum(p for case, p in chances.items() if case not in {t.case for t in looked})
        assert abs(kept.never_met - never) < 1e-12
        assert abs(kept.covered + kept.not_covered + kept.never_met - 1) < 1e-12
        assert kept.n_cases_met == len(looked)
        assert kept.n_looks == sum(len(tally.recent) for tally in looked)


def check(member) -> None:
    """The member's tallies equal a recount."""
    assert kept_cases(member) == recount_cases(member)
    assert kept_mix_ups(member) == recount_mix_ups(member)
    assert kept_case_weeks(member) == recount_case_weeks(member)
    assert kept_weeks(member) == recount_weeks(member)
    check_coverage(member)
