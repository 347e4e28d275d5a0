import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logs.cases.facts import Traits
from logs.next_up.order import (
    ALL_RULES,
    Override,
    OverrideKind,
    Rule,
    open_cases_allowed,
    teaching_order,
)

RANKED = pd.DataFrame({"tie_group": [1, 1, 2, 2, 3]}, index=["9", "20", "10", "35", "37"])
TRAITS = {
    "9": Traits(4 / 216, "fish", frozenset({"10"})),
    "10": Traits(4 / 216, "fish", frozenset({"9"})),
    "35": Traits(4 / 216, "fish"),
    "37": Traits(4 / 216, "fish"),
    "20": Traits(1 / 216, "dots"),
    "1": Traits(2 / 216, "dots"),
}


def order(**changes):
    return teaching_order(RANKED, traits=TRAITS, **changes)


def names(lessons):
    return [lesson.case for lesson in lessons]


def test_without_rules_or_overrides_the_order_is_the_models():
    assert names(order(rules=())) == list(RANKED.index)
    assert all(lesson.is_now for lesson in order(rules=()))


def test_look_alikes_are_not_new_in_the_same_week():
    lessons = {lesson.case: lesson for lesson in order()}
    assert lessons["9"].is_now
    assert not lessons["10"].is_now
    assert lessons["10"].blocked_by == "9"
    assert Rule.LOOK_ALIKES_APART in lessons["10"].rules


def test_a_look_alike_may_be_taught_once_the_first_goes_in_one_look():
    rest = RANKED.drop(index="9")
    lessons = teaching_order(rest, traits=TRAITS, one_look=["9"])
    assert {lesson.case: lesson for lesson in lessons}["10"].is_now


def test_few_cases_are_open_at_a_time():
    lessons = order(open_cases=["1"], max_open=2)
    assert [lesson.case for lesson in lessons if lesson.is_now] == ["9"]
    assert {lesson.case: lesson for lesson in lessons}["35"].rules == (Rule.FEW_OPEN,)
    assert all(lesson.is_now for lesson in order(max_open=1, rules=()))


def test_a_case_being_learnt_goes_on():
    lessons = order(open_cases=["37"], max_open=1)
    assert [lesson.case for lesson in lessons if lesson.is_now] == ["37"]


def test_inside_a_tie_the_frequent_case_comes_first():
    tied = RANKED.set_axis(["20", "9", "10", "35", "37"])
    lessons = teaching_order(tied, traits=TRAITS)
    assert names(lessons)[:2] == ["9", "20"]
    assert lessons[0].rules == (Rule.FREQUENT_FIRST,)
    switched_off = teaching_order(tied, traits=TRAITS, rules=ALL_RULES - {Rule.FREQUENT_FIRST})
    assert names(switched_off)[:2] == ["20", "9"]


def test_a_case_completes_no_family_of_which_more_are_left():
    tied = RANKED.set_axis(["20", "9", "10", "35", "37"]).drop(index="37")
    lessons = teaching_order(tied, traits=TRAITS, one_look=["37"], rules={Rule.COMPLETE_FAMILY})
    assert names(lessons) == ["20", "9", "10", "35"]


def test_inside_a_tie_the_last_case_of_a_family_comes_first():
    lessons = order(one_look=["1"])
    assert names(lessons)[:2] == ["20", "9"]
    assert Rule.COMPLETE_FAMILY in lessons[0].rules
    assert names(order(one_look=["1"], rules=ALL_RULES - {Rule.COMPLETE_FAMILY}))[0] == "9"


def test_a_pin_a_skip_and_a_move_do_as_they_say():
    overrides = [
        Override("37", OverrideKind.PIN, "asked for it"),
        Override("9", OverrideKind.SKIP, "sore thumb"),
        Override("35", OverrideKind.MOVE, "goes with the next sheet", place=2),
    ]
    lessons = order(overrides=overrides)
    assert names(lessons) == ["37", "35", "20", "10", "9"]
    assert lessons[-1].override == overrides[1]
    assert not lessons[-1].is_now
    assert lessons[0].override == overrides[0]


some_overrides = st.lists(
    st.builds(
        lambda case, kind, place: Override(
            case, kind, "why", place if kind is OverrideKind.MOVE else None
        ),
        st.sampled_from([*RANKED.index, "57"]),
        st.sampled_from(OverrideKind),
        st.integers(1, 9),
    ),
    unique_by=lambda one: one.case,
)


@settings(deadline=None, max_examples=40)
@given(some_overrides)
def test_overrides_survive_recomputation_and_leave_no_trace(overrides):
    before = order()
    kept = order(overrides=overrides)
    assert all(order(overrides=overrides) == kept for _ in range(5))
    assert sorted(names(kept)) == sorted(names(before))
    assert order() == before


def test_one_pin_survives_a_hundred_recomputations():
    pin = [Override("37", OverrideKind.PIN, "asked for it")]
    ranked = RANKED
    for i in range(100):
        ranked = ranked.iloc[[*range(1, len(ranked)), 0]].assign(tie_group=range(1, 6))
        assert names(teaching_order(ranked, traits=TRAITS, overrides=pin))[0] == "37", i


def test_an_override_of_a_case_no_longer_listed_waits():
    pin = [Override("57", OverrideKind.PIN, "later")]
    assert names(order(overrides=pin)) == names(order())


def test_three_cases_only_for_those_who_meet_them_in_four_weeks():
    assert open_cases_allowed(78) == 3
    assert open_cases_allowed(77) == 2
    assert open_cases_allowed(0) == 2


def test_nothing_to_teach():
    assert teaching_order(RANKED[:0], traits={}) == ()


def test_bad_input_is_named():
    with pytest.raises(ValueError, match="traits has no entry for case '9'"):
        teaching_order(RANKED, traits={})
    with pytest.raises(ValueError, match="name a case twice"):
        order(overrides=[Override("9", OverrideKind.PIN, "a")] * 2)
    with pytest.raises(ValueError, match="a move, and only a move, names a place"):
        Override("9", OverrideKind.PIN, "why", place=2)
    with pytest.raises(ValueError, match="place is 0, the first is 1"):
        Override("9", OverrideKind.MOVE, "why", place=0)
    with pytest.raises(ValueError, match="needs a reason"):
        Override("9", OverrideKind.SKIP, " ")
