"""Cases for an evening: gains as shares, look-alikes apart, families together."""

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logs.cases.facts import cases_by_code, traits
from logs.lessons.report import MAX_CASES, propose
from logs.next_up.figures import Candidate
from logs.next_up.gains import Gains

CODES = list(cases_by_code())


def gain(**seconds: float) -> Gains:
    """A member who would save so many seconds in a sighting of each case."""
    candidates = tuple(
        Candidate(code.replace("_", "-"), 4 / 216, 0.5, 9.5, 1000 * (s + 2), 1, 2000, 1)
        for code, s in seconds.items()
    )
    return Gains(pd.DataFrame({"rate": []}), candidates, frozenset(), 0)


def codes(**members: Gains) -> list[str]:
    return [one.code for one in propose(members, traits=traits()).cases]


def test_what_members_gain_most_from_comes_first():
    assert codes(ada=gain(oll_33=1, oll_35=3, oll_51=2)) == ["oll-35", "oll-51", "oll-33"]


def test_a_slow_member_does_not_decide_alone():
    slow = gain(oll_33=90, oll_35=1)
    fast = gain(oll_33=0.5, oll_35=1)
    other = gain(oll_33=0.5, oll_35=1)
    # Shares of 33: 1 + .5 + .5 = 2; of 35: 1/90 + 1 + 1 = 2.01. In seconds 33 would win by far.
    assert codes(slow=slow, fast=fast, other=other)[0] == "oll-35"


def test_of_two_look_alikes_one_waits_for_another_evening():
    proposal = propose({"ada": gain(oll_26=3, oll_27=2, oll_33=1)}, traits=traits())
    assert [one.code for one in proposal.cases] == ["oll-26", "oll-33"]
    assert proposal.left_out == (("oll-27", "oll-26"),)


def test_families_stand_together():
    # OLL 2 and 4 are dots and no look-alikes; OLL 33 is a T (the tables).
    assert codes(ada=gain(oll_2=3, oll_33=2, oll_4=1)) == ["oll-2", "oll-4", "oll-33"]


def test_no_gain_is_no_lesson():
    assert codes(ada=gain(oll_33=-1)) == []
    assert codes() == []


def test_a_member_without_times_has_a_say_by_chance():
    table = pd.DataFrame({"rate": [0.1, 0.1]}, index=["oll-20", "oll-33"])
    untimed = Gains(table, (), frozenset(), 0)
    proposal = propose({"ada": untimed}, traits=traits())
    assert [one.code for one in proposal.cases] == ["oll-33", "oll-20"]  # 4 and 1 in 216
    assert [one.per_100_s for one in proposal.cases] == [0, 0]


def test_seconds_are_those_that_all_would_save_together():
    proposal = propose({"ada": gain(oll_33=1), "bo": gain(oll_33=2)}, traits=traits())
    (one,) = proposal.cases
    assert one.members == ("ada", "bo")
    assert one.per_100_s == pytest.approx(100 * 4 / 216 * 0.95 * (1 + 2))


@settings(max_examples=50, deadline=None)
@given(
    st.lists(st.dictionaries(st.sampled_from(CODES), st.floats(0.1, 9), max_size=40), max_size=4)
)
def test_never_more_than_ten_never_two_look_alikes(members):
    gained = {
        str(n): gain(**{code.replace("-", "_"): s for code, s in member.items()})
        for n, member in enumerate(members)
    }
    chosen = [one.code for one in propose(gained, traits=traits()).cases]
    assert len(chosen) <= MAX_CASES
    assert len(set(chosen)) == len(chosen)
    for code in chosen:
        assert not traits()[code].look_alikes & set(chosen)
    families = [traits()[code].family for code in chosen]
    assert families == sorted(families, key=families.index)
