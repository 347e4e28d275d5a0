"""Which case is asked next, beside a simulated learner whose forgetting is known."""

from random import Random
from statistics import mean, stdev

from cubecore.cases import CASES, CaseId, Stage
from logs.practice.figures import first_half_life_h, next_case, recall_shares

OLLS = [case for case in CASES if case.stage is Stage.OLL]
A_DAY, MOST_DAYS, WANTED = 30, 60, 0.75
SUNE, ANTISUNE, H = (CaseId(Stage.OLL, number) for number in (27, 26, 21))


class Learner:
    """A member who forgets by a rule of their own, unlike the one that spaces the questions.

    The chance to tell a case falls as a power of the time since (Wixted and Ebbesen 1991, "On the
    form of forgetting"), and each answer known after a rest slows that by a factor that differs
    from case to case.
    """

    def __init__(self, rng: Random, *, slow_h: float) -> None:
        self.rng, self.slow_h = rng, slow_h
        self.strength = dict.fromkeys(OLLS, slow_h)
        self.last: dict[CaseId, float] = {}
        self.gain = {case: rng.uniform(1.6, 3.0) for case in OLLS}

    def recall(self, case: CaseId, hour: float) -> float:
        if case not in self.last:
            return 0.0
        return float((1 + (hour - self.last[case]) / self.strength[case]) ** -0.7)

    def answer(self, case: CaseId, hour: float) -> bool:
        knows = self.rng.random() < self.recall(case, hour)
        if knows:
            rested = hour - self.last[case] > 1 / 6
            self.strength[case] *= self.gain[case] if rested else 1.05
        self.last[case] = hour
        return knows or self.rng.random() < 0.2


def n_until_kept(seed: int, *, is_spaced: bool, slow_h: float) -> int:
    """Questions until three of four cases would be told a day later, 30 an evening."""
    rng, learner = Random(seed), Learner(Random(seed + 1), slow_h=slow_h)
    histories: dict[CaseId, list[tuple[float, bool]]] = {}
    after = None
    for n in range(A_DAY * MOST_DAYS):
        day, place = divmod(n, A_DAY)
        hour = 24.0 * day + place / 180
        if is_spaced:
            shares = recall_shares(histories, hour=hour)
            case = next_case(OLLS, shares, rng=rng, after=after)
        else:
            case = rng.choice([case for case in OLLS if case != after])
        histories.setdefault(case, []).append((hour, learner.answer(case, hour)))
        after = case
        if place == A_DAY - 1 and mean(learner.recall(one, hour + 24) for one in OLLS) >= WANTED:
            return n + 1
    return A_DAY * MOST_DAYS


def test_spaced_questions_need_fewer_than_random_ones_for_as_much_that_is_kept():
    """The whole range of the mean ratio, two standard errors to each side, is below 1."""
    ratios = [
        n_until_kept(seed, is_spaced=True, slow_h=12.0)
        / n_until_kept(seed, is_spaced=False, slow_h=12.0)
        for seed in range(5)
    ]
    assert mean(ratios) + 2 * stdev(ratios) / 5**0.5 < 1, ratios


def drawn(histories, *, hour: float, after: CaseId | None = None) -> set[CaseId]:
    shares = recall_shares(histories, hour=hour)
    return {
        next_case([SUNE, ANTISUNE, H], shares, rng=Random(seed), after=after) for seed in range(20)
    }


def test_what_was_told_wrongly_comes_again_in_the_same_round_before_what_is_new():
    histories = {SUNE: [(0.0, False)], H: [(0.0, True)]}
    assert drawn(histories, hour=0.02) == {SUNE}
    assert drawn(histories, hour=0.02, after=SUNE) == {ANTISUNE}


def test_what_is_known_waits_until_it_fades():
    histories = {SUNE: [(0.0, True)], H: [(0.0, True)]}
    assert drawn(histories, hour=0.1) == {ANTISUNE}
    assert drawn(histories, hour=24.0) == {SUNE, H}


def test_right_answers_spaced_out_make_a_case_wait_longer():
    often = [(0.0, True), (24.0, True), (48.0, True)]
    shares = recall_shares({SUNE: often, H: [(48.0, True)]}, hour=60.0)
    assert shares[SUNE] > shares[H]
    assert 0 < shares[H] < 1


def test_the_first_half_life_is_the_member_s():
    """Who forgets overnight gets a short one, who keeps everything for days a long one."""
    keeps = {case: [(0.0, True), (72.0, True)] for case in OLLS[:20]}
    nothing = first_half_life_h({})
    assert first_half_life_h({SUNE: [(0.0, True)]}) == nothing
    assert first_half_life_h(keeps) > nothing
    several = {case: [(0.0, True), (10.0, False)] for case in OLLS[:10]}
    assert first_half_life_h(several) < nothing
