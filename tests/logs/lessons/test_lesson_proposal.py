"""Cases for an evening: shares of what each is missing, look-alikes apart, families together."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logs.cases.facts import cases_by_code, traits
from logs.lessons.figures import fit, propose, two_groups
from logs.lessons.report import missing_of, next_same_weekday
from logs.lessons.selectors import CaseRecord
from logs.limits import PROPOSED_CASES

CODES = list(cases_by_code())


def missing(**values: float) -> dict[str, float]:
    """A member who is missing so much of each case."""
    return {code.replace("_", "-"): value for code, value in values.items()}


def codes(*members: dict[str, float]) -> list[str]:
    return list(propose(dict(enumerate(members)), traits=traits()).cases)


def test_what_is_missing_most_comes_first():
    assert codes(missing(oll_33=1, oll_35=3, oll_51=2)) == ["oll-35", "oll-51", "oll-33"]


def test_who_knows_little_does_not_decide_alone():
    little = missing(oll_33=90, oll_35=1)
    much = missing(oll_33=0.5, oll_35=1)
    # Shares of 33: 1 + .5 + .5 = 2; of 35: 1/90 + 1 + 1 = 2.01. By sums 33 would win by far.
    assert codes(little, much, much)[0] == "oll-35"


def test_of_two_look_alikes_one_waits_for_another_evening():
    proposal = propose({1: missing(oll_26=3, oll_27=2, oll_33=1)}, traits=traits())
    assert proposal.cases == ("oll-26", "oll-33")
    assert proposal.left_out == (("oll-27", "oll-26"),)


def test_families_stand_together():
    # OLL 2 and 4 are dots and no look-alikes; OLL 33 is a T (the tables).
    assert codes(missing(oll_2=3, oll_33=2, oll_4=1)) == ["oll-2", "oll-4", "oll-33"]


def test_nothing_missing_is_no_lesson():
    assert codes({}) == []
    assert codes() == []


@settings(max_examples=50, deadline=None)
@given(
    st.lists(st.dictionaries(st.sampled_from(CODES), st.floats(0.1, 9), max_size=40), max_size=4)
)
def test_never_more_than_ten_never_two_look_alikes(members):
    chosen = codes(*members)
    assert len(chosen) <= PROPOSED_CASES
    assert len(set(chosen)) == len(chosen)
    for code in chosen:
        assert not traits()[code].look_alikes & set(chosen)
    families = [traits()[code].family for code in chosen]
    assert families == sorted(families, key=families.index)


def record(code: str, n: int, hits: int, recent: str) -> CaseRecord:
    return CaseRecord(1, code, n, hits, recent)


def test_what_is_missing_is_chance_times_misses_for_an_hour_of_learning():
    """A case that goes in one look is not missing; one half of an unmet case is reckoned with."""
    own = missing_of(
        {
            "oll-33": record("oll-33", 9, 0, "000"),
            "oll-45": record("oll-45", 9, 9, "1" * 9),
        }
    )
    assert "oll-45" not in own
    assert len(own) == 77
    # 33 and 35 both come up 4 times in 216; 0 of 9 misses .95 (9.5 / 10), unmet .5.
    hours = {
        code: 4 / 216 * share / own[code] for code, share in (("oll-33", 0.95), ("oll-35", 0.5))
    }
    assert all(0.05 < hour < 10 for hour in hours.values())


BEGINNERS = [f"pll-{name}" for name in ("T", "Y", "Ua", "Ub", "H", "Z")]
OTHERS = [f"oll-{n}" for n in (1, 5, 13, 17, 29, 37)]


def test_two_groups_where_one_list_would_suit_nobody():
    one, other = dict.fromkeys(BEGINNERS, 1.0), dict.fromkeys(OTHERS, 1.0)
    members = {1: one, 2: other, 3: one, 4: other}
    groups = two_groups(members, traits=traits(), most=4)
    assert {group.members for group in groups} == {(1, 3), (2, 4)}
    for group in groups:
        for key in group.members:
            assert set(group.cases) <= set(members[key])


@pytest.mark.parametrize(("in_groups", "n_groups"), [(0.74, 2), (0.72, 0), (0.5, 0)])
def test_two_groups_are_named_where_they_bring_fifteen_in_a_hundred_more(in_groups, n_groups):
    """A list of one case brings each .58 of their best, in two groups what ``in_groups`` says."""
    leanings: dict[int, dict[str, float]] = {3: {"oll-1": 0.1}, 4: {"oll-2": 0.1}}
    members = {
        key: {best: 1.0, of_group: in_groups, "oll-33": 0.58} | leanings.get(key, {})
        for key, best, of_group in (
            (1, "oll-1", "pll-T"),
            (2, "oll-2", "pll-Y"),
            (3, "oll-5", "pll-T"),
            (4, "oll-6", "pll-Y"),
        )
    }
    groups = two_groups(members, traits=traits(), most=1)
    assert [group.members for group in groups] == [(1, 3), (2, 4)][:n_groups]


@pytest.mark.parametrize("n", [2, 3, 8])
def test_one_list_where_all_are_missing_the_same(n):
    assert two_groups(dict.fromkeys(range(n), missing(oll_33=2, oll_35=1)), traits=traits()) == ()


def test_speed_parts_nobody():
    """The same shares at a tenth of the size: what is missing is alike, however much it is."""
    one = missing(oll_33=2.0, oll_35=1.0, oll_51=1.5)
    tenth = {code: value / 10 for code, value in one.items()}
    assert two_groups({1: one, 2: tenth, 3: one, 4: tenth}, traits=traits(), most=2) == ()


def test_a_lone_odd_member_is_no_group():
    one = dict.fromkeys(BEGINNERS, 1.0)
    members = {1: one, 2: one, 3: one, 4: dict.fromkeys(OTHERS, 1.0)}
    assert two_groups(members, traits=traits(), most=2) == ()


@given(st.dictionaries(st.sampled_from(CODES), st.floats(0.1, 9), max_size=30))
def test_a_list_brings_at_most_what_one_s_own_would(wanted):
    best = sorted(wanted, key=lambda code: -wanted[code])[:PROPOSED_CASES]
    assert fit(wanted, best) == pytest.approx(1)
    assert 0 <= fit(wanted, CODES[:PROPOSED_CASES]) <= 1 + 1e-9


def test_the_next_lesson_is_on_the_same_day_of_the_week():
    """1 March 2026 is a Sunday and 3 March a Tuesday, by any calendar."""
    tuesday = date(2026, 3, 3)
    assert next_same_weekday(tuesday, date(2026, 3, 4)) == date(2026, 3, 10)
    assert next_same_weekday(tuesday, date(2026, 3, 9)) == date(2026, 3, 10)
    assert next_same_weekday(tuesday, date(2026, 3, 10)) == date(2026, 3, 17)
