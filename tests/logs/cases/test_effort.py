import pytest

from logs.cases.figures import CarryOver, effort_h


@pytest.mark.parametrize(
    ("carry_over", "hours"),
    # Start values, common practice, no source: -20 % for a trigger, -40 % for a mirror or inverse.
    [
        (CarryOver(), 2.0),
        (CarryOver(knows_trigger=True), 1.6),
        (CarryOver(knows_mirror=True), 1.2),
        (CarryOver(knows_trigger=True, knows_mirror=True), 0.96),
    ],
)
def test_what_is_known_carries_over(carry_over, hours):
    assert effort_h(2.0, carry_over) == pytest.approx(hours)


def test_a_club_may_tune_it():
    assert effort_h(2.0, CarryOver(knows_trigger=True), trigger_factor=0.5) == 1.0


def test_no_effort_is_none():
    with pytest.raises(ValueError, match=r"base_h is 0: it must be above 0"):
        effort_h(0, CarryOver())
