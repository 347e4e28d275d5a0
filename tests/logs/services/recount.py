"""The tallies once more, counted slowly and another way: from frames, by pandas and numpy."""

from typing import Any

import numpy as np

from cubecore.book import default_book
from cubecore.cases import CASES, Stage
from logs.analytics.case_chances import case_chances
from logs.analytics.knowledge import knowing
from logs.models import CaseTally, CoverageTally, MixUpTally, Sighting
from logs.selectors.frames import sighting_frame

Rows = dict[tuple[Any, ...], tuple[Any, ...]]
OWNER = {entry.text: case for case in CASES for entry in default_book().algorithms(case)}


def recount_cases(member) -> Rows:
    rows: Rows = {}
    for kind in ("solve", "drill"):
        frame = sighting_frame(actor=member, member=member, kind=kind)
        for (stage, case), met in frame.groupby(["stage", "case"]):
            looked = met[met["n_looks"] > 0]
            hit = looked[looked["is_one_look"]]
            timed = hit[(hit["recognition_ms"] > 0) & (hit["execution_ms"] > 0)]
            logs = [np.log(timed[f"{part}_ms"]) for part in ("recognition", "execution")]
            dates = met["done_at"].dropna()
            rows[kind, str(stage), str(case)] = (
                *(len(met), len(looked), len(hit), len(timed)),
                *(round(float(value), 6) for log in logs for value in (log.sum(), (log**2).sum())),
                "".join(looked["is_one_look"].map({True: "1", False: "0"}).tail(24)),
                None if dates.empty else dates.max().to_pydatetime(),
            )
    return rows


def kept_cases(member) -> Rows:
    return {
        (tally.kind, tally.stage, tally.case): (
            *(tally.n, tally.n_looked, tally.n_one_look, tally.n_timed),
            *(round(tally.recognition_log_sum, 6), round(tally.recognition_log_squares, 6)),
            *(round(tally.execution_log_sum, 6), round(tally.execution_log_squares, 6)),
            *(tally.recent, tally.last_met_at),
        )
        for tally in CaseTally.objects.filter(member=member)
    }


def recount_mix_ups(member) -> Rows:
    """By first looks, in the order of time; a step counts only where the case was known."""
    rows: dict[tuple[Any, ...], int] = {}
    for kind in ("solve", "drill"):
        frame = sighting_frame(actor=member, member=member, kind=kind)
        for (stage, case), met in frame[frame["n_looks"] > 0].groupby(["stage", "case"]):
            hits = met["is_one_look"].to_list()
            for place, sighting_id in enumerate(met["sighting_id"]):
                first = Sighting.objects.get(pk=sighting_id).looks[0]
                done = _done(first, str(stage), str(case), hits[:place])
                if done is not None:
                    key = (kind, stage, case, *done)
                    rows[key] = rows.get(key, 0) + 1
    return {key: (n,) for key, n in rows.items()}


def _done(look: dict[str, Any], stage: str, case: str, before: list[bool]) -> Any:
    if look["misfire"]:
        return look["misfire"]["stage"], str(look["misfire"]["case"]), look["misfire"]["kind"]
    owner = OWNER.get(look["algorithm"])
    if look["outcome"] not in ("edges", "corners") or owner is None or not _is_known(before):
        return None
    is_own = (owner.stage, str(owner.number)) == (stage, case)
    return owner.stage, str(owner.number), "wrong_hold" if is_own else "other_case"


def _is_known(before: list[bool]) -> bool:
    before = before[-24:]
    for place in range(len(before) - 2, 0, -1):
        if not any(before[place - 1 : place + 2]):  # three misses in a row
            before = before[place - 1 :]
            break
    return bool(before) and knowing(before)[-1] >= 0.66


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
    check_coverage(member)
