"""A second reading of a solve, written plainly from the rules and slow: a judge of the engine.

It shares no code with the engine but the tables' texts of the algorithms. Turns are tokens such as
``R2``, named by colours; positions are those of the tests' own cube. Times are the ends of turns.
"""

from dataclasses import dataclass
from typing import Any

from tests.cubecore import twin
from tests.cubecore.naive_stages import (
    SLOTS,
    UPSIDE,
    held_for,
    is_cross_home,
    is_of_one_kind,
    n_pairs,
)
from tests.cubecore.plain_turns import (
    SIDES,
    Move,
    cut_orientations,
    is_coarse,
    median_gap,
    n_turns,
    normal,
    read_moves,
    recogniser,
    unseen,
    whose,
)
from tests.cubecore.solves import held_anew

# --- Stages ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Colour:
    """What there is of one cross colour: when its parts were home, each position held below."""

    face: str
    held: list[str]
    pairs: list[int]
    cross: list[bool]
    home: list[bool]

    @property
    def f2l(self) -> int:
        return self.home.index(True)

    @property
    def is_built(self) -> bool:
        if self.f2l == 0:
            return True
        is_all_solved = twin.is_oriented(self.held[self.f2l]) and twin.is_permuted(
            self.held[self.f2l]
        )
        cross = self.cross.index(True)
        if cross > 1 and self.pairs[cross] > (1 if is_all_solved else 2):
            return False  # cross and pairs by one turn: blocks
        return max(self.pairs[: self.f2l]) >= (3 if is_all_solved else 2)

    def rank(self) -> tuple[object, ...]:
        turns = [next(n for n, p in enumerate(self.pairs) if p >= k) for k in (1, 2, 3, 4)]
        most = max(self.pairs[: self.f2l], default=0)
        return -most, self.cross.index(True), self.f2l, turns


def read_colour(positions: list[str], hidden: set[int], face: str) -> Colour:
    held = [held_for(colours, face) for colours in positions]
    seen = [n not in hidden for n in range(len(positions))]
    pairs = [n_pairs(colours) if seen[n] else 0 for n, colours in enumerate(held)]
    cross = [seen[n] and is_cross_home(colours) for n, colours in enumerate(held)]
    return Colour(face, held, pairs, cross, [p == len(SLOTS) for p in pairs])


def choose_colour(colours: list[Colour]) -> Colour | None:
    """The colour that was built: the first home; the best of all where everything is solved."""
    built = [colour for colour in colours if any(colour.home) and colour.is_built]
    if not built:
        return None
    first = min(built, key=lambda colour: colour.f2l)
    if first.f2l and twin.is_permuted(first.held[first.f2l]):
        return min(built, key=Colour.rank)
    return first


# --- Looks -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Trip:
    """Turns that leave the first two layers and bring them back, from move to move."""

    begin: int
    end: int


def find_trips(colour: Colour, hidden: set[int]) -> list[Trip]:
    """From F2L on; the middle of an AUF's half turn is no trip."""
    home = list(colour.home)
    for n in range(len(home)):
        left = n
        while left in hidden:
            left -= 1
        right = n
        while right in hidden:
            right += 1
        if n in hidden and left >= 0 and right < len(home):
            between = colour.held[left : right + 1]
            home[n] = all(n_pairs(colours) == len(SLOTS) for colours in between)
    trips = []
    n = colour.f2l
    while False in home[n:]:
        begin = home.index(False, n) - 1
        if True not in home[begin + 1 :]:
            break
        n = home.index(True, begin + 1)
        trips.append(Trip(begin, n))
    return trips


class Reading:
    """A solve, read: `told` is what the engine has to say of it too."""

    def __init__(self, scramble: str, tokens: list[str], ends: list[int] | None):
        self.log_ends = ends
        fine = None if ends is None or is_coarse(ends) else ends
        self.is_coarse = ends is not None and fine is None
        self.moves = read_moves(tokens, fine)
        if self.is_coarse:
            assert ends is not None
            self.moves = [Move(m.token, e, m.count) for m, e in zip(self.moves, ends, strict=True)]
        median = None if fine is None else median_gap([move.end or 0 for move in self.moves])
        self.is_fine = fine is not None
        self.hesitation = None if median is None else 2.5 * median
        positions = [twin.after(twin.SOLVED, scramble)]
        for move in self.moves:
            positions.append(twin.after(positions[-1], move.token))
        hidden = unseen(self.moves, median if fine else None)
        self.colour = choose_colour([read_colour(positions, hidden, face) for face in UPSIDE])
        if self.colour is None:
            return
        second, third = (
            next(n for n, stood in enumerate(self.colour.pairs) if stood >= k) for k in (2, 3)
        )
        in_sight = ["" if n in hidden else colours for n, colours in enumerate(positions)]
        if self.colour.f2l and is_of_one_kind(in_sight, second, third):
            self.colour = None  # edges first, or corners first
            return
        self.held = self.colour.held
        rotation = UPSIDE[self.colour.face]
        self.up = [held_anew(move.token, rotation) for move in self.moves]
        self.trips = find_trips(self.colour, hidden)

    def told(self) -> dict[str, Any]:
        """What is said: cross, cases, skips, looks, splits."""
        if self.colour is None:
            return {"cross": None}
        f2l = self.colour.f2l
        oll, oriented = self.stage("oll", f2l)
        told: dict[str, Any] = {"cross": self.colour.face, "f2l": self.count(f2l), "oll": oll}
        if oll["case"] == "skip":
            oll["skip"] = self.last_pair_skip()
        if oriented is not None:
            told["pll"], _ = self.stage("pll", oriented)
            if told["pll"]["case"] == "skip":
                told["pll"]["skip"] = oll["skip"] or self.orientation_skip(oll["looks"][-1])
        return told

    def count(self, move: int) -> int:
        return self.moves[move - 1].count if move else 0

    def time(self, move: int) -> int:
        return (self.moves[move - 1].end or 0) if move else 0

    def is_goal(self, stage: str, move: int) -> bool:
        reached = twin.is_oriented if stage == "oll" else twin.is_permuted
        return reached(self.held[move])

    def case(self, stage: str, move: int) -> tuple[str, str]:
        """The case to be done: an OLL in the permute stage where the layer is not oriented."""
        if stage == "pll" and not twin.is_oriented(self.held[move]):
            stage = "oll"
        return stage, recogniser().case(stage, twin.renamed(self.held[move])).number

    def stage(self, stage: str, begin: int) -> tuple[dict[str, Any], int | None]:
        told: dict[str, Any] = {"case": self.case(stage, begin)[1], "skip": None, "looks": []}
        trips = [trip for trip in self.trips if trip.begin >= begin]
        goal: int | None = begin
        if not self.is_goal(stage, begin):
            goal = next((trip.end for trip in trips if self.is_goal(stage, trip.end)), None)
            trips = [trip for trip in trips if goal is None or trip.end <= goal]
            before = begin
            for look in self.looks(stage, trips, goal):
                told["looks"].append(self.look(stage, look, before, goal))
                before = look[-1].end
        told["stage_ms"] = None
        if goal is not None and self.log_ends is not None:
            told["stage_ms"] = self.time(goal) - self.time(begin)
        return told, goal

    def looks(self, stage: str, trips: list[Trip], goal: int | None) -> list[list[Trip]]:
        """Trips joined where they are the book's algorithm to the goal, or without a hesitation."""
        tail = len(trips)
        for n in range(len(trips) - 1):
            run = self.up[trips[n].begin : trips[-1].end]
            is_whole = not any(self.is_nothing(trip) for trip in trips[n:])
            if goal is not None and is_whole and whose(run) == self.case(stage, trips[n].begin):
                tail = n
                break
        looks: list[list[Trip]] = []
        for n, trip in enumerate(trips):
            if looks and (n > tail or self.goes_on(stage, looks[-1], trip)):
                looks[-1].append(trip)
            else:
                looks.append([trip])
        return looks

    def is_nothing(self, trip: Trip) -> bool:
        return normal(self.up[trip.begin : trip.end]) == ()

    def goes_on(self, stage: str, look: list[Trip], trip: Trip) -> bool:
        """Without a hesitation, or as a permutation that the book has in parts."""
        entry = whose(self.up[look[0].begin : trip.end])
        if stage == "pll" and entry is not None and entry[0] == "pll":
            return True
        if not self.is_fine or self.hesitation is None:
            return False
        pauses = [self.time(n + 1) - self.time(n) for n in range(look[-1].end, trip.begin + 1)]
        return all(pause < self.hesitation for pause in pauses)

    def look(self, stage: str, trips: list[Trip], before: int, goal: int | None) -> dict[str, Any]:
        real = [trip for trip in trips if not self.is_nothing(trip)] or trips
        run: list[str] = []
        for n, trip in enumerate(trips):
            if trip in real and run:
                first = trips.index(real[real.index(trip) - 1])
                for rest in range(first, n):
                    run += self.up[trips[rest].end : trips[rest + 1].begin]
            if trip in real:
                run += self.up[trip.begin : trip.end]
        met, end = real[0].begin, trips[-1].end
        case, done = self.case(stage, met), whose(run)
        off = None
        if done == case:
            off = next(
                k
                for k, auf in enumerate(twin.AUF)
                if self.solves(case[0], met, f"{auf} {' '.join(run)}")
            )
        told: dict[str, Any] = {
            "outcome": self.outcome(stage, before, end, case, done, off),
            "case": case,
            "done": None if done is None else (*done, off),
            "start": self.count(trips[0].begin),
            "end": self.count(end),
            "times": (None, None, None),
        }
        if self.is_fine:
            first = self.time(before + 1)
            lined_up = self.time(trips[0].begin) - first if trips[0].begin > before else 0
            told["times"] = (first - self.time(before), self.time(end) - first, lined_up)
        return told

    def solves(self, stage: str, move: int, turns: str) -> bool:
        after = twin.after(self.held[move], turns)
        return twin.is_oriented(after) if stage == "oll" else twin.is_permuted(after)

    def outcome(
        self, stage: str, before: int, end: int, case: Any, done: Any, off: int | None
    ) -> str:
        if self.is_goal(stage, end):
            return "finished"
        was, now = self.held[before], self.held[end]
        if stage == "oll" or not twin.is_oriented(was):
            if are_edges_up(was) and not are_edges_up(now):
                return "misfire"
            if stage == "pll":
                if twin.is_oriented(now):
                    return "repair" if done == case and off == 0 else "step"
                return "misfire" if done == case else "step"
            if are_edges_up(now) and not are_edges_up(was):
                return "edges"
            return "corners" if are_corners_up(now) and not are_corners_up(was) else "step"
        if not twin.is_oriented(now):
            return "misfire"
        if are_corners_placed(now):
            return "step" if are_corners_placed(was) else "corners"
        if are_corners_placed(was) or (are_edges_placed(was) and not are_edges_placed(now)):
            return "misfire"
        return "step" if are_edges_placed(was) or not are_edges_placed(now) else "edges"

    def last_pair_skip(self) -> str:
        """Clean after an insert of four turns at most, from three pairs standing."""
        colour = self.colour
        assert colour is not None
        if colour.f2l == 0:
            return "clean"
        stood = [n for n in range(colour.f2l) if colour.pairs[n] == len(SLOTS) - 1]
        is_plain = bool(stood) and n_turns(self.up[stood[-1] : colour.f2l]) <= 4
        is_seam = any(
            (n_turns(run), normal(run)) in cut_orientations()
            for n in range(colour.f2l)
            if (run := self.up[n : colour.f2l])
        )
        return "clean" if is_plain and not is_seam else "with_last_pair"

    def orientation_skip(self, look: dict[str, Any]) -> str:
        if look["done"] is not None and look["done"][:2] == look["case"]:
            return "clean"
        trip = next(trip for trip in self.trips if self.count(trip.end) == look["end"])
        is_book = whose(self.up[trip.begin : trip.end]) is not None
        return "clean" if is_book else "with_oll"


def _top(colours: str) -> list[bool]:
    return [colours[twin.NUMBER[f"U{n}"]] == colours[twin.NUMBER["U5"]] for n in range(1, 10)]


def are_edges_up(colours: str) -> bool:
    top = _top(colours)
    return all(top[n] for n in (1, 3, 5, 7))


def are_corners_up(colours: str) -> bool:
    top = _top(colours)
    return all(top[n] for n in (0, 2, 6, 8))


def _ring(colours: str, column: int) -> list[str]:
    return [colours[twin.NUMBER[f"{side}{column}"]] for side in SIDES]


def _centres(colours: str) -> list[str]:
    return [colours[twin.NUMBER[f"{side}5"]] for side in SIDES]


def are_corners_placed(colours: str) -> bool:
    """Whether the corners of an oriented layer are home to one another."""
    return _ring(colours, 1) == _ring(colours, 3) and are_in_turn(_ring(colours, 1), colours)


def are_edges_placed(colours: str) -> bool:
    """Whether its edges are."""
    return are_in_turn(_ring(colours, 2), colours)


def are_in_turn(ring: list[str], colours: str) -> bool:
    centres = _centres(colours)
    return any(ring == centres[n:] + centres[:n] for n in range(4))
