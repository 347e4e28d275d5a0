"""What an upload meant: homework that came up in it, mix-ups again, cases in one look at last."""

from dataclasses import dataclass
from datetime import datetime

from clubsite.accounts.models import User
from cubecore.cases import CaseId
from logs.cases.report import CaseName, name_of
from logs.club.report.mistaken import member_mistaken_report
from logs.home.selectors import first_one_looks, solve_ids
from logs.homework.report.data import AskedCase, CaseState, MeetingLine
from logs.homework.report.homework import own_homework
from logs.people.sight import Sight, sight_of


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeworkMet:
    """A homework case that came up in an upload, in solves done since it was asked.

    Attributes:
        homework_id: Number of the homework.
        case: The case.
        n: Solves of the upload in which it came up and was tried.
        n_one_look: Those that went in one look by an algorithm of the book.
        is_verified: Whether solves verify it now, one of these among them.
    """

    homework_id: int
    case: AskedCase
    n: int
    n_one_look: int
    is_verified: bool


@dataclass(frozen=True, slots=True)
class MixUpAgain:
    """A finding of one case taken for another that happened in an upload.

    Attributes:
        case: The case that came up.
        done: The case whose algorithm was made.
        n: Solves of the upload in which it happened.
    """

    case: CaseName
    done: CaseName
    n: int


@dataclass(frozen=True, slots=True, kw_only=True)
class UploadMeaning:
    """What an upload meant to its member; each part is empty where there is nothing to say.

    Attributes:
        homework: Homework cases that came up, in the order they were asked.
        again: Mix-ups that are known of the member and happened again, the most often first.
        first: Cases that were met in earlier logs, never in one look, and went in one look here.
    """

    homework: tuple[HomeworkMet, ...]
    again: tuple[MixUpAgain, ...]
    first: tuple[CaseName, ...]

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to say."""
        return not (self.homework or self.again or self.first)

    @property
    def n_homework_one_look(self) -> int:
        """How many of the homework cases went in one look each time."""
        return sum(one.n_one_look == one.n for one in self.homework)


def upload_meaning(*, actor: User, upload_id: int, now: datetime) -> UploadMeaning:
    """What one of the actor's uploads meant.

    Raises:
        NotFoundError: There is no such upload, or it is somebody else's.
    """
    solves = solve_ids(actor=actor, upload_id=upload_id)
    if not solves:
        return UploadMeaning(homework=(), again=(), first=())
    sight = sight_of(actor=actor)
    return UploadMeaning(
        homework=_homework(actor, solves, now),
        again=_again(sight, solves),
        first=tuple(
            name_of(CaseId.read(stage, case))
            for stage, case in first_one_looks(sight=sight, upload_id=upload_id)
        ),
    )


def _homework(actor: User, solves: set[int], now: datetime) -> tuple[HomeworkMet, ...]:
    """Each case once: in the newest homework that asks for it."""
    met: dict[str, HomeworkMet] = {}
    for asked in own_homework(actor=actor, now=now).open:
        for case in asked.member.cases:
            meetings = [one for one in case.meetings if one.solve_id in solves]
            if meetings and case.state is not CaseState.EXCUSED:
                met.setdefault(
                    case.case.code,
                    HomeworkMet(
                        homework_id=asked.head.id,
                        case=case.case,
                        n=len(meetings),
                        n_one_look=sum(map(_is_one_look, meetings)),
                        is_verified=case.state is CaseState.VERIFIED,
                    ),
                )
    return tuple(met.values())


def _is_one_look(meeting: MeetingLine) -> bool:
    return meeting.n_looks == 1 and meeting.is_of_book


def _again(sight: Sight, solves: set[int]) -> tuple[MixUpAgain, ...]:
    first = min(solves)  # solves are numbered as they come in
    again = []
    for line in member_mistaken_report(member=sight).lines.other_case:
        ids = [one.solve_id for one in line.solves]
        n = sum(pk in solves for pk in ids)
        if n and any(pk < first for pk in ids):
            again.append(MixUpAgain(line.case, line.done, n))
    return tuple(sorted(again, key=lambda one: -one.n))
