"""One line for each route: what it is about, and which grid each of its methods is held to.

A new route needs its line here. A method without a grid must answer 405 (strangers are sent to
sign in first). HEAD is held to GET's grid. To add

- a kind of thing that addresses name: `tests.logs.web.access_world.KINDS` and ``BUILDERS``;
- a grid: `tests.logs.web.access_rules`.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from django.utils import timezone

from cubecore.cases import CaseId, Stage
from cubecore.questions import Question, Task
from logs.practice.services import question_seal
from tests.factories import make_csv, make_row
from tests.logs.web import access_api as api
from tests.logs.web import access_draws as draws
from tests.logs.web import access_homework as homework
from tests.logs.web import access_mapping as mapping
from tests.logs.web import access_people as people
from tests.logs.web import access_progress as progress
from tests.logs.web import access_rules as rules
from tests.logs.web import access_teaching as teaching
from tests.logs.web import access_undo as undo
from tests.logs.web import access_writeups as writeups
from tests.logs.web.access_rules import Grid
from tests.logs.web.access_world import PASSWORD, Person, World

Sent = Mapping[str, object]


@dataclass(frozen=True)
class Route:
    """A line of the table.

    Attributes:
        name: As ``reverse`` takes it.
        about: The kind of thing its address names.
        GET, POST, PUT, PATCH, DELETE, OPTIONS: The grid of a method that is answered.
        sends: What a POST carries so that it does what it is there for.
        ok: The status of such a POST.
        query: What follows the address of a GET or HEAD; ``{shown}`` and so on are membership ids, and
            ``{code}`` that of an invitation.
        looks: The kind of page, when whoever is named on it must find a look at theirs.
        event: The verb of the one event in the audit trail when it is ``ok``.
        opens: The club that the code in ``sends`` or ``query``, or the address, opens: its name may be
            shown.
        is_proof: Whether the address itself proves who sends, so that no form's token is asked.
    """

    name: str
    about: str = ""
    GET: Grid | None = None
    POST: Grid | None = None
    PUT: Grid | None = None
    PATCH: Grid | None = None
    DELETE: Grid | None = None
    OPTIONS: Grid | None = None
    sends: Sent | Callable[[World, Person | None], Sent] = field(default_factory=dict)
    ok: int = 302
    query: str = ""
    looks: str = ""
    event: str = ""
    opens: str = ""
    is_proof: bool = False


def _joining(world: World, person: Person | None) -> Sent:
    sent = {"code": world.code, "display_name": "Canary joiner", "visibility": "coach"}
    if person is None or not person.user.is_active:
        sent |= {"username": "new-one", "password": PASSWORD, "password_again": PASSWORD}
    return sent


def _erasing(world: World, person: Person | None) -> Sent:
    return {"typed": person.user.username if person else "", "password": PASSWORD}


def an_answer(world: World, person: Person | None) -> Sent:
    if person is None:
        return {}
    case = CaseId(Stage.OLL, 27)
    seal = question_seal(
        actor=person.user, task=Task.CASE, question=Question(case, 0, (case,)), hold=0,
        now=timezone.now(),
    )  # fmt: skip
    return {"seal": seal, "answer": "27", "ms": "900"}


_A_LOG = {"text": make_csv([make_row("R U R'", "F", done_at=None)]).decode()}
_A_ROW = {"text": "2026-03-01T13:00:00Z,R U,1.23,,U' R',,"}
_AN_INVITATION: Sent = {"role": "member", "max_uses": 3, "days": 7}
_A_PASSWORD: Sent = {
    "old_password": PASSWORD,
    "new_password1": "barn-quilt-seven-otter",
    "new_password2": "barn-quilt-seven-otter",
    "keeps_programs": "on",  # tokens that end are events of their own
}

ROUTES: tuple[Route, ...] = (
    # Accounts
    Route("accounts:sign-in", GET=rules.STRANGERS, POST=rules.STRANGERS, ok=200),
    Route("accounts:sign-out", POST=rules.OPEN),
    Route("accounts:password-change", GET=rules.OPEN, POST=rules.OPEN, sends=_A_PASSWORD, event="password_change"),
    Route("accounts:sign-ins", GET=rules.OPEN, POST=rules.OPEN, sends={"which": "others"}),
    # One's own log
    Route("logs:home", GET=rules.FIRST_PAGE),
    Route("logs:own-home", GET=rules.OPEN),
    Route("logs:desk", "club", GET=rules.COACHES, looks="desk"),
    Route("logs:letter", "club", POST=rules.COACHES, sends=people.A_LETTER),
    Route("logs:letter-end", "letter", GET=rules.PUBLIC, POST=rules.PUBLIC, ok=200, is_proof=True),
    Route("logs:calendar", GET=rules.OPEN, POST=rules.OPEN, sends={"what": "make"}),
    Route("logs:calendar-feed", "calendar", GET=rules.PUBLIC, opens="first"),
    Route("logs:log", GET=rules.OPEN),
    Route("logs:template", GET=rules.OPEN),
    Route("logs:upload-add", POST=rules.OPEN, sends=_A_LOG),
    Route("logs:upload", "upload", GET=rules.OWN),
    Route("logs:sent-file", "upload", GET=rules.OWN),
    Route("logs:set-aside", "upload", GET=rules.OWN),
    Route("logs:take-back", "upload", POST=rules.OWN, event="upload_take_back"),
    Route("logs:put-back", "back", POST=rules.OWN, event="upload_put_back"),
    Route("logs:read-again", "upload", POST=rules.OWN),
    Route("logs:on-hold", "upload", GET=rules.OWN, POST=rules.OWN, sends=undo.A_CHOICE),
    Route("logs:decide", "held", POST=rules.OWN, sends=undo.A_CHOICE, event="solve_decide"),
    Route("logs:taken-out", GET=rules.OPEN),
    Route("logs:solve-correct", "solve", GET=rules.OWN, POST=rules.OWN, sends=undo.A_CORRECTION, event="solve_correct"),
    Route("logs:solve-delete", "solve", POST=rules.OWN, event="solve_delete"),
    Route("logs:restore", "deleted", POST=rules.OWN, event="solve_put_back"),
    Route("logs:job", "job", GET=rules.OWN),
    Route("logs:job-stop", "job", POST=rules.OWN),
    Route("logs:job-go-on", "job", POST=rules.OWN),
    Route("logs:mapping", "draft", GET=rules.OWN, POST=rules.OWN, sends=mapping.THE_ANSWERS),
    Route("logs:mapping-discard", "draft", POST=rules.OWN),
    Route("logs:kept-mappings", GET=rules.OPEN),
    Route("logs:kept-mapping-rename", "kept_mapping", POST=mapping.CHANGING, sends=mapping.A_NAME),
    Route("logs:kept-mapping-forget", "kept_mapping", POST=mapping.CHANGING),
    Route("logs:mend", "row", POST=rules.OWN, sends=_A_ROW),
    Route("logs:leave-out", "row", POST=rules.OWN),
    Route("logs:writeup-begin", GET=rules.OPEN, POST=rules.OPEN, sends={"scramble": "R U", "time": "9.87"}),
    Route("logs:writeup", "writeup", GET=rules.OWN, POST=rules.OWN, sends=writeups.THE_TURNS),
    Route("logs:writeup-read", "writeup", POST=rules.OWN, sends={"solution": "U'", "edition": "1"}, ok=200),
    Route("logs:writeup-drop", "writeup", POST=rules.OWN),
    Route("logs:drawn", GET=rules.OPEN, POST=rules.OPEN, sends=draws.A_DRAW),
    Route("logs:drawn-more", "draw", POST=rules.OWN),
    Route("logs:solve-list", GET=rules.OPEN),
    Route("logs:progress", GET=rules.OPEN),
    Route("logs:mark-add", POST=rules.OPEN, sends=progress.A_MARK),
    Route("logs:mark-remove", "mark", POST=rules.OWN),
    Route("logs:case-list", GET=rules.OPEN),
    Route("logs:case", "case", GET=rules.CASES),
    Route("logs:how", GET=rules.OPEN),
    # Others' logs
    Route("logs:solve", "solve", GET=rules.SIGHT, looks="solve"),
    Route("logs:member-list", GET=rules.OPEN, looks="members"),
    Route("logs:member-progress", "membership", GET=rules.MEMBER_SIGHT, looks="progress"),
    Route("logs:member-solve-list", "membership", GET=rules.MEMBER_SIGHT, looks="solves"),
    Route("logs:mistaken", GET=rules.OPEN),
    Route("logs:member-mistaken", "membership", GET=rules.MEMBER_SIGHT, looks="mistaken"),
    # A club's coverage
    Route("logs:club", "club", GET=rules.IN_CLUB, looks="club"),
    Route("logs:club-compare", "club", GET=rules.IN_CLUB, query="?member={shown}&member={member}&member={to_coach}&member={hidden}&member={other}"),
    Route("logs:club-mistaken", "club", GET=rules.IN_CLUB, looks="mistaken"),
    Route("logs:club-case", "book_case", GET=rules.COACHES, looks="club_case"),
    # Clubs and people
    Route("logs:club-list", GET=rules.OPEN),
    Route("logs:join", GET=rules.PUBLIC, POST=rules.JOINING, sends=_joining, event="join"),
    Route("logs:new-password", GET=rules.PUBLIC, POST=rules.PUBLIC, ok=422, sends={"username": "x"}),
    Route("logs:password-mail", GET=rules.PUBLIC, POST=rules.PUBLIC, ok=200, sends={"typed": "x"}),
    Route("logs:password-link", "password_link", GET=rules.PUBLIC, POST=rules.PUBLIC, ok=200),
    Route("logs:mail-address", GET=rules.OPEN, POST=rules.OPEN, sends={"forget": "yes"}, event="mail_address"),
    Route("logs:mail-address-keep", "mail_link", GET=rules.OPEN, POST=rules.OPEN, event="mail_address"),
    Route("logs:group-new", "club", POST=rules.COACHES, sends=people.A_GROUP),
    Route("logs:group", "group", POST=rules.CLUB_THING, sends=people.A_GROUP),
    Route("logs:welcome", "club", GET=rules.IN_CLUB),
    Route("logs:contact", "club", POST=rules.OWNER, sends={"name": "A grown-up", "reach": "0"}, event="contact"),
    Route("logs:leave", "club", GET=rules.IN_CLUB, POST=rules.LEAVING, event="leave"),
    Route("logs:visibility", "club", POST=rules.IN_CLUB, sends={"visibility": "coach"}, event="visibility"),
    Route("logs:display-name", "club", POST=rules.IN_CLUB, sends={"display_name": "N"}, event="rename"),
    Route("logs:club-people", "club", GET=rules.COACHES),
    Route("logs:research", "club", GET=rules.COACHES),
    Route("logs:research-export", "club", GET=rules.TOO_FEW),
    Route("logs:research-change", "club", POST=rules.IN_CLUB, sends={"research": "yes"}, event="research"),
    Route("logs:invite", "club", POST=rules.COACHES, sends=_AN_INVITATION, ok=200, event="invite"),
    Route("logs:invitation-withdraw", "invitation", POST=rules.CLUB_THING, event="invite_withdraw"),
    Route("logs:remove", "club_person", POST=rules.REMOVING, event="remove"),
    Route("logs:role", "club_person", POST=rules.ROLE_CHANGING, sends={"role": "coach"}, event="role"),
    Route("logs:password-code", "club_person", GET=rules.HANDING_OVER_ASKED, POST=rules.HANDING_OVER_ASKED, ok=200, event="password_code"),
    Route("logs:owner", "club_person", GET=rules.HANDING_OVER_ASKED, POST=rules.HANDING_OVER, event="hand_over"),
    # Homework, next up, lessons
    Route("logs:homework-own", GET=rules.OPEN),
    Route("logs:homework-desk", "club", GET=rules.COACHES, looks="homework"),
    Route("logs:homework-new", "club", GET=rules.COACHES, POST=rules.COACHES, sends=homework.a_plan, looks="homework"),
    Route("logs:homework", "homework", GET=homework.HOMEWORK, looks="homework"),
    Route("logs:homework-close", "homework", POST=homework.CLOSING, sends=homework.A_REASON),
    Route("logs:homework-edit", "homework", GET=homework.CLOSING, POST=homework.CLOSING, sends=homework.a_plan, looks="homework"),
    Route("logs:homework-take-back", "homework", POST=homework.CLOSING),
    Route("logs:assignment-shown", "assignment", POST=homework.SHOWING, sends=homework.A_CASE),
    Route("logs:assignment", "assignment", GET=homework.ASSIGNMENT, looks="homework"),
    Route("logs:assignment-excuse", "assignment", POST=rules.COACHED, sends=homework.AN_EXCUSE),
    Route("logs:next-up", GET=rules.OPEN),
    Route("logs:member-next-up", "membership", GET=rules.MEMBER_SIGHT, looks="next_up"),
    Route("logs:next-up-override", "membership", POST=rules.COACHED, sends=homework.A_WORD),
    Route("logs:next-up-withdraw", "word", POST=rules.COACHED),
    Route("logs:lesson-list", "club", GET=rules.COACHES),
    Route("logs:lesson-new", "club", GET=rules.COACHES, POST=rules.COACHES, sends=homework.a_lesson),
    Route("logs:lesson", "lesson", GET=rules.COACHES, looks="lesson"),
    Route("logs:lesson-took", "lesson", GET=rules.COACHES, looks="lesson"),
    Route("logs:lesson-homework-all", "lesson", POST=rules.COACHES),
    Route("logs:lesson-copy", "lesson", POST=rules.COACHES),
    Route("logs:lesson-missing", "lesson", POST=rules.COACHES),
    Route("logs:lesson-delete", "lesson", POST=rules.COACHES),
    Route("logs:lesson-edit", "lesson", GET=rules.COACHES, POST=rules.COACHES, sends=homework.a_lesson),
    Route(
        "logs:lesson-homework",
        "lesson",
        GET=rules.COACHES,
        POST=rules.COACHES,
        sends=homework.a_plan,
        looks="homework",
    ),
    Route("logs:lesson-wall", "lesson", GET=rules.COACHES, POST=rules.COACHES),
    Route("logs:wall-show", "lesson", POST=rules.COACHES, sends={"asked": "0"}, ok=204),
    Route("logs:wall-counts", "lesson", GET=rules.COACHES),
    Route("logs:wall-close", "lesson", POST=rules.COACHES),
    Route("logs:wall-join", GET=rules.OPEN, POST=teaching.JOINING, sends=teaching.a_code),
    Route("logs:wall-seat", "wall", GET=rules.IN_CLUB),
    Route("logs:wall-now", "wall", GET=rules.IN_CLUB),
    Route("logs:wall-answer", "wall", POST=rules.IN_CLUB, sends=teaching.AN_ANSWER),
    # Drills, and the most practice a day
    Route("logs:drills", GET=rules.OPEN, query="?case=oll-27"),
    Route("logs:drill-one", GET=rules.OPEN, POST=rules.OPEN, sends=homework.a_drill_word),
    Route("logs:drill-sheet", GET=rules.OPEN, query="?case=oll-27&n=10&last=yellow&seed=7"),
    Route("logs:drill-pdf", GET=rules.OPEN, query="?case=oll-27&seed=7"),
    Route("logs:drill-text", GET=rules.OPEN, query="?case=oll-27&seed=7"),
    Route("logs:drill-log", GET=rules.OPEN, query="?case=oll-27&seed=7"),
    Route("logs:practice-cap", "club", POST=rules.COACHES, sends={"practice_cap": "12"}),
    # Teaching: the club's book, sheets to print
    Route("logs:book", "club", GET=rules.IN_CLUB, query="?try=R U R'"),
    Route("logs:book-relabel", "club", POST=rules.COACHES),
    Route("logs:trigger-name", "club", POST=rules.COACHES, sends=teaching.A_NAME),
    Route("logs:trigger-forget", "club", POST=rules.COACHES, sends=teaching.THE_NAME),
    Route("logs:book-case", "book_case", GET=rules.IN_CLUB, looks="book_case"),
    Route("logs:book-add", "book_case", POST=rules.COACHES, sends=teaching.AN_ALGORITHM),
    Route("logs:book-words", "book_case", POST=rules.COACHES, sends={"words": "Slowly."}),
    Route("logs:book-hold", "book_case", POST=rules.COACHES, sends=teaching.A_HOLD),
    Route("logs:book-retire", "book_case", POST=rules.COACHES, sends=teaching.ITS_SUNE),
    Route("logs:book-move", "book_case", POST=rules.COACHES, sends=teaching.ITS_SUNE),
    Route("logs:sheet", GET=rules.OPEN, query="?case=oll-27"),
    Route("logs:sheet-pdf", GET=rules.OPEN, query="?case=oll-27"),
    Route("logs:lesson-sheet", "lesson", GET=rules.COACHES),
    Route("logs:lesson-sheet-pdf", "lesson", GET=rules.COACHES),
    Route("logs:homework-sheet", "homework", GET=homework.HOMEWORK),
    Route("logs:homework-sheet-pdf", "homework", GET=homework.HOMEWORK),
    Route("logs:information", GET=rules.OPEN),
    Route("logs:research-dictionary", GET=rules.OPEN),
    # Practice
    Route("logs:case-say", POST=rules.OPEN, sends={"case": "oll-27"}),
    Route("logs:case-poster", GET=rules.OPEN, query="?paper=a3"),
    Route("logs:case-poster-pdf", GET=rules.OPEN),
    Route("logs:practice", GET=rules.OPEN),
    Route("logs:practice-question", GET=rules.OPEN, query="?what=oll-27&task=hold"),
    Route("logs:practice-answer", POST=rules.OPEN, sends=an_answer),
    # Privacy
    Route("logs:privacy", GET=rules.OPEN),
    Route("logs:what-we-keep", GET=rules.PUBLIC),
    Route("logs:log-copy", GET=rules.OPEN, event="export"),
    Route("logs:data-copy", GET=rules.OPEN, event="export"),
    Route("logs:tokens", GET=rules.OPEN, POST=rules.OPEN, sends=api.A_TOKEN, ok=200, event="token_make"),
    Route("logs:token-withdraw", "token", POST=rules.OWN, event="token_withdraw"),
    Route("logs:api:guide", GET=rules.OPEN),
    Route("logs:api:schema", GET=rules.PUBLIC),
    Route("logs:erase", GET=rules.OPEN, POST=rules.ERASING, sends=_erasing, ok=200, event="erase"),
)  # fmt: skip
