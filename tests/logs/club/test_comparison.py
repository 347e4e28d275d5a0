import numpy as np
import pandas as pd
import pytest

from logs.club.figures import teachers
from logs.club.report.own_speed import Speed, named_cells
from logs.stats import two_way
from logs.stats.rates import worth_saying
from logs.stats.two_way import CellSums, OwnEffects, own_effects

W7A = [[1.80, 2.40, 2.10, 3.30], [3.10, 4.05, 3.70, 4.20], [2.45, 3.30, 2.80, 3.75]]


def sums_of(seconds: list[list[float]], *, n: int = 10) -> dict[tuple[int, str], CellSums]:
    return {
        (member, str(case)): CellSums(n, float(np.log(s)), (n - 1) * 0.15**2)
        for member, row in enumerate(seconds)
        for case, s in enumerate(row)
    }


def fitted(sums: dict[tuple[int, str], CellSums]) -> OwnEffects:
    found = own_effects(sums, shown=frozenset(member for member, _ in sums))
    assert found is not None
    return found


def effects(found: OwnEffects) -> dict[tuple[int, str], float]:
    return dict(zip(found.cells, found.means(), strict=True))


def test_w7a_what_is_slow_for_their_own_speed():
    """Worked example W7a names the same two cells, by median polish of the raw times."""
    found = effects(fitted(sums_of(W7A)))
    assert max(found, key=lambda cell: found[cell]) == (0, "3")
    assert min(found, key=lambda cell: found[cell]) == (1, "3")
    assert 0 < found[0, "3"] < np.log(1.195)  # drawn towards nothing


def test_it_is_the_textbooks_conditional_normal():
    """A brute force: all cells as one normal vector, conditioned as any textbook has it."""
    sums = sums_of(W7A)
    del sums[1, "2"]  # a gap
    sums[0, "0"] = CellSums(2, 0.9, 0.05)
    cells = sorted(sums)
    n, mean = np.zeros((3, 4)), np.zeros((3, 4))
    for member, case in cells:
        one = sums[member, case]
        n[member, int(case)], mean[member, int(case)] = one.n, one.mean
    variance, tau, own = np.array([0.02, 0.03, 0.04]), 0.3, 0.2
    at = [(member, int(case)) for member, case in cells]
    log_likelihood, means, variances = two_way._node(n, mean, variance, tau, own, at)
    other = two_way._node(n, mean, variance, 0.5, 0.05, at)[0]

    def dense(tau: float, own: float) -> tuple[float, np.ndarray, np.ndarray]:
        same_member = np.array([[a[0] == b[0] for b in at] for a in at], dtype=float)
        same_case = np.array([[a[1] == b[1] for b in at] for a in at], dtype=float)
        noise = np.diag([variance[m] / n[m, c] for m, c in at])
        whole = 1e6 * same_member + tau**2 * same_case + own**2 * np.eye(len(at)) + noise
        y = np.array([mean[cell] for cell in at])
        gain = own**2 * np.linalg.inv(whole)
        density = -0.5 * (np.linalg.slogdet(whole)[1] + y @ np.linalg.solve(whole, y))
        return density, gain @ y, own**2 - np.diag(gain) * own**2

    density, dense_means, dense_variances = dense(tau, own)
    assert means == pytest.approx(dense_means, abs=1e-6)
    assert variances == pytest.approx(dense_variances, abs=1e-6)
    assert log_likelihood - other == pytest.approx(density - dense(0.5, 0.05)[0], abs=1e-3)


def test_a_fast_and_a_slow_member_of_one_shape_differ_in_nothing():
    shape = [1.0, 1.5, 2.0]
    found = fitted(sums_of([shape, [2 * s for s in shape]]))
    assert found.means() == pytest.approx(
        0, abs=0.03
    )  # a little of the shape may be both their own
    assert {cell.speed for cell in named_cells(found)} == {Speed.EVEN}


def test_the_unit_of_time_changes_no_effect():
    """Logs of ms or of seconds: a member's speed is free."""
    found = effects(fitted(sums_of(W7A)))
    scaled = effects(fitted(sums_of([[1000 * s for s in row] for row in W7A])))
    assert list(scaled.values()) == pytest.approx(list(found.values()), abs=1e-4)


def test_nothing_is_said_where_no_case_was_timed_by_two():
    one = CellSums(5, 0.5, 0.1)
    assert own_effects({}, shown=frozenset()) is None
    assert own_effects({(1, "27"): one, (1, "26"): one}, shown=frozenset({1})) is None
    assert own_effects({(1, "27"): one, (2, "26"): one}, shown=frozenset({1})) is None
    assert own_effects({(1, "27"): one, (2, "27"): one}, shown=frozenset({3})) is None


def test_of_all_that_is_picked_out_a_tenth_may_be_wrong():
    """Newton and others 2004: the mean chance to be wrong of what is said is at most the share."""
    p = np.array([0.99, 0.70, 0.95, 0.97, 0.60, 0.30, 0.92])
    said = worth_saying(p)
    assert said.tolist() == [True, True, True, True, False, False, True]
    assert (1 - p[said]).mean() <= 0.10
    assert (1 - np.append(p[said], 0.60)).mean() > 0.10
    assert worth_saying([0.65] * 3, false_share=0.5).sum() == 0  # not likely by itself
    assert worth_saying([0.66, 0.65], false_share=0.5).tolist() == [True, False]
    assert worth_saying([]).size == 0


def test_who_could_teach_whom():
    rates = pd.DataFrame(
        [
            ("ann", "27", 0.95, 5),
            ("ada", "27", 0.95, 4),
            ("bo", "27", 0.05, 0),
            ("cy", "27", 0.5, 3),
            ("bo", "33", 0.99, 6),
        ],
        columns=["member", "case", "p_one_look", "n_clean"],
    )
    assert teachers(rates).to_numpy().tolist() == [["27", "ann", "bo"]]
    assert teachers(rates[:0]).empty
