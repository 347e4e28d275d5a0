"""The API's lines of the access table: each route, what it is about, the grid of each method.

The grids are those of the pages: ``in`` is 401 here, and a redirect that changes nothing is 409.
"""

from tests.logs.web import access_draws as draws
from tests.logs.web import access_homework as homework
from tests.logs.web import access_mapping as mapping
from tests.logs.web import access_people as people
from tests.logs.web import access_progress as progress
from tests.logs.web import access_rules as rules
from tests.logs.web import access_teaching as teaching
from tests.logs.web import access_undo as undo
from tests.logs.web.access_rules import Grid
from tests.logs.web.access_table import Route, an_answer
from tests.logs.web.access_world import Person, World

A_LOG = {"text": "scramble,time\nR,1.2\n"}
A_TABLE = {"text": "mixed;took\nR U F';12,34\n"}
A_SOLVE = {"scramble": "R U", "time": 2.5}
A_ROW = {"text": "2026-03-01T13:00:00Z,R U,1.23,,U' R',,"}

A_WORD = homework.A_REASON | {"case": "pll-T", "kind": "pin"}


def a_homework(world: World, person: Person | None) -> dict[str, object]:
    """What sets a homework for a member of the sender's club."""
    planned = homework.a_plan(world, person)
    return {name: planned[name] for name in ("member", "case", "goal")}


def a_change(world: World, person: Person | None) -> dict[str, object]:
    """What changes a homework of the sender's club."""
    planned = homework.a_plan(world, person)
    return {name: planned[name] for name in ("member", "case")}


def a_lesson(world: World, person: Person | None) -> dict[str, object]:
    """What keeps a lesson with a member of the sender's club."""
    planned = homework.a_lesson(world, person)
    del planned["case"]
    return planned | {"cases": [{"case": "oll-27"}]}


def a_mapping(world: World, person: Person | None) -> dict[str, object]:
    """What keeps the mapping of the sender's waiting file for them alone."""
    return {"draft_id": world.things[f"draft-{person.key}"] if person else 0, "name": "Mine"}


def joining(world: World, person: Person | None) -> dict[str, object]:
    """What lets somebody into the first club."""
    return {"code": world.code, "display_name": "Canary joiner", "visibility": "coach"}


def changed(grid: Grid, cell: str, to: str) -> Grid:
    """A page's grid with other words in some of its cells."""
    return Grid(grid.objects, {key: to if c == cell else c for key, c in grid.cells.items()})


NOWHERE = changed(rules.OPEN, "ok", "404")
STRANGERS = {(role, "-"): "in" for role in ("anonymous", "locked")}
JOINING = Grid(("-",), rules.JOINING.cells | STRANGERS)


def stopped(grid: Grid) -> Grid:
    """Of a job that is over: to stop it, or to go on with it, is refused to its own member."""
    return changed(grid, "ok", "409")


def unchanged(grid: Grid) -> Grid:
    """Where a page goes back without a change, the answer is a conflict."""
    return changed(grid, "302", "409")


A_SEAT_ANSWER = {"asked": 0, "answer": "0"}

ROUTES: tuple[Route, ...] = (
    # One's own log
    Route("logs:api:log", GET=rules.OPEN),
    Route("logs:api:uploads", GET=rules.OPEN, POST=rules.OPEN, sends=A_LOG, ok=201),
    Route("logs:api:upload", "upload", GET=rules.OWN),
    Route("logs:api:upload-meaning", "upload", GET=rules.OWN),
    Route("logs:api:sent-file", "upload", GET=rules.OWN),
    Route("logs:api:set-aside", "upload", GET=rules.OWN),
    Route("logs:api:take-back", "upload", POST=rules.OWN, ok=204, event="upload_take_back"),
    Route("logs:api:put-back", "back", POST=rules.OWN, ok=200, event="upload_put_back"),
    Route("logs:api:read-again", "upload", POST=rules.OWN, ok=200),
    Route("logs:api:on-hold", "upload", GET=rules.OWN, POST=rules.OWN, sends=undo.A_CHOICE, ok=200),
    Route("logs:api:decide", "held", POST=rules.OWN, sends=undo.A_CHOICE, ok=200, event="solve_decide"),
    Route("logs:api:taken-out", GET=rules.OPEN),
    Route("logs:api:solve-correct", "solve", POST=rules.OWN, sends=undo.A_NOTE, ok=200, event="solve_correct"),
    Route("logs:api:solve-history", "solve", GET=rules.OWN),
    Route("logs:api:restore", "deleted", POST=rules.OWN, ok=200, event="solve_put_back"),
    Route("logs:api:mend", "row", POST=rules.OWN, sends=A_ROW, ok=200),
    Route("logs:api:leave-out", "row", POST=rules.OWN, ok=204),
    Route("logs:api:drafts", GET=rules.OPEN, POST=rules.OPEN, sends=A_TABLE, ok=201),
    Route("logs:api:draft", "draft", GET=rules.OWN, DELETE=rules.OWN),
    Route("logs:api:draft-cut", "draft", POST=rules.OWN, sends={"separator": ","}, ok=200),
    Route("logs:api:draft-answers", "draft", POST=rules.OWN, sends={"time_unit": "s"}, ok=200),
    Route("logs:api:draft-add", "draft", POST=rules.OWN, ok=201),
    Route("logs:api:mappings", GET=rules.OPEN, POST=rules.OPEN, sends=a_mapping, ok=201),
    Route("logs:api:mapping", "kept_mapping", DELETE=mapping.CHANGING),
    Route("logs:api:mapping-name", "kept_mapping", POST=mapping.CHANGING, sends=mapping.A_NAME, ok=200),
    Route("logs:api:jobs", GET=rules.OPEN),
    Route("logs:api:job", "job", GET=rules.OWN),
    Route("logs:api:job-cancel", "job", POST=stopped(rules.OWN)),
    Route("logs:api:job-resume", "job", POST=stopped(rules.OWN)),
    Route("logs:api:solves", GET=rules.OPEN, POST=rules.OPEN, sends=A_SOLVE, ok=201),
    Route("logs:api:draws", GET=rules.OPEN, POST=rules.OPEN, sends=draws.A_DRAW, ok=201),
    Route("logs:api:draw-more", "draw", POST=rules.OWN, ok=200),
    Route("logs:api:progress", GET=rules.OPEN),
    Route("logs:api:marks", POST=rules.OPEN, sends=progress.A_MARK, ok=201),
    Route("logs:api:mark", "mark", DELETE=rules.OWN),
    Route("logs:api:mistaken", GET=rules.OPEN),
    Route("logs:api:next-up", GET=rules.OPEN),
    Route("logs:api:cases", GET=rules.OPEN),
    Route("logs:api:case", "case", GET=rules.CASES),
    Route("logs:api:information", GET=rules.OPEN),
    Route("logs:api:homework-own", GET=rules.OPEN),
    Route("logs:api:privacy", GET=rules.OPEN),
    Route("logs:api:log-copy", GET=rules.OPEN, event="export"),
    Route("logs:api:data-copy", GET=rules.OPEN, event="export"),
    # Others' logs
    Route("logs:api:words", "membership", POST=rules.COACHED, sends=A_WORD, ok=201),
    Route("logs:api:word", "word", DELETE=rules.COACHED),
    Route("logs:api:solve", "solve", GET=rules.SIGHT, DELETE=rules.OWN, looks="solve", event="solve_delete"),
    Route("logs:api:members", GET=rules.OPEN),
    Route("logs:api:member-solves", "membership", GET=rules.MEMBER_SIGHT, looks="solves"),
    Route("logs:api:member-progress", "membership", GET=rules.MEMBER_SIGHT, looks="progress"),
    Route("logs:api:member-mistaken", "membership", GET=rules.MEMBER_SIGHT, looks="mistaken"),
    Route("logs:api:member-next-up", "membership", GET=rules.MEMBER_SIGHT, looks="next_up"),
    # Clubs
    Route("logs:api:clubs", GET=rules.OPEN),
    Route("logs:api:club", "club", GET=rules.IN_CLUB, looks="club"),
    Route(
        "logs:api:club-compare",
        "club",
        GET=rules.IN_CLUB,
        query="?member={shown}&member={member}&member={to_coach}&member={hidden}&member={other}",
    ),
    Route("logs:api:club-mistaken", "club", GET=rules.IN_CLUB),
    Route("logs:api:club-case", "book_case", GET=rules.COACHES, looks="club_case"),
    Route("logs:api:club-members", "club", GET=rules.IN_CLUB, looks="members"),
    Route("logs:api:groups", "club", GET=rules.COACHES, POST=rules.COACHES, sends=people.A_GROUP, ok=201),
    Route("logs:api:group", "group", PUT=rules.CLUB_THING, DELETE=rules.CLUB_THING, sends=people.A_GROUP),
    Route("logs:api:club-people", "club", GET=rules.COACHES),
    Route("logs:api:club-person", "club_person", DELETE=unchanged(rules.REMOVING), event="remove"),
    # A role that somebody has already is given again without a change.
    Route("logs:api:role", "club_person", POST=changed(rules.ROLE_CHANGING, "302", "200"), sends={"role": "coach"}, ok=200, event="role"),
    Route("logs:api:owner", "club_person", POST=unchanged(rules.HANDING_OVER), ok=200, event="hand_over"),
    Route("logs:api:leave", "club", POST=unchanged(rules.LEAVING), ok=204, event="leave"),
    Route("logs:api:join", GET=rules.OPEN, POST=unchanged(JOINING), sends=joining, ok=201, query="?code={code}", event="join", opens="first"),
    Route("logs:api:visibility", "club", POST=rules.IN_CLUB, sends={"visibility": "coach"}, ok=200, event="visibility"),
    Route("logs:api:display-name", "club", POST=rules.IN_CLUB, sends={"display_name": "N"}, ok=200, event="rename"),
    Route("logs:api:invitations", "club", POST=rules.COACHES, sends={"max_uses": 2}, ok=201, event="invite"),
    Route("logs:api:invitation", "invitation", DELETE=rules.CLUB_THING, event="invite_withdraw"),
    Route("logs:api:book", "club", GET=rules.IN_CLUB, query="?tried=R U R'"),
    Route("logs:api:book-case", "book_case", GET=rules.IN_CLUB),
    Route("logs:api:book-algorithms", "book_case", POST=rules.COACHES, sends=teaching.AN_ALGORITHM, ok=201),
    Route("logs:api:book-retire", "book_case", POST=rules.COACHES, sends={"text": teaching.SUNE}, ok=200),
    Route("logs:api:book-move", "book_case", POST=rules.COACHES, sends=teaching.ITS_SUNE, ok=204),
    Route("logs:api:book-words", "book_case", PUT=rules.COACHES, sends={"words": "Slowly."}),
    Route("logs:api:book-hold", "book_case", PUT=rules.COACHES, sends=teaching.A_HOLD),
    Route("logs:api:book-relabel", "club", POST=rules.COACHES, ok=200),
    Route("logs:api:triggers", "club", POST=rules.COACHES, sends=teaching.A_NAME, ok=201),
    Route("logs:api:trigger-forget", "club", POST=rules.COACHES, sends=teaching.THE_NAME, ok=204),
    Route("logs:api:research", "club", GET=rules.COACHES),
    Route("logs:api:research-export", "club", GET=unchanged(rules.TOO_FEW)),
    Route("logs:api:research-word", "club", POST=rules.IN_CLUB, sends={"is_in": True}, ok=200, event="research"),
    Route("logs:api:drills", GET=rules.OPEN, query="?case=oll-27&n=1&seed=7"),
    Route("logs:api:case-words", GET=rules.OPEN, PUT=rules.OPEN, sends={"case": ["oll-27"]}),
    Route("logs:api:practice", GET=rules.OPEN),
    Route("logs:api:practice-question", GET=rules.OPEN, query="?what=oll-27&task=hold"),
    Route("logs:api:practice-answers", POST=rules.OPEN, sends=an_answer, ok=201),
    Route("logs:api:practice-cap", "club", POST=rules.COACHES, sends={"practice_cap": 12}, ok=200),
    # A coach's desk
    Route("logs:api:club-homework", "club", GET=rules.COACHES, POST=rules.COACHES, sends=a_homework, ok=201, looks="homework"),
    Route("logs:api:close", "homework", POST=homework.CLOSING, sends=homework.A_REASON, ok=204),
    Route("logs:api:excuse", "assignment", POST=rules.COACHED, sends=homework.AN_EXCUSE, ok=204),
    Route(
        "logs:api:homework",
        "homework",
        GET=homework.CLOSING,
        PUT=homework.CLOSING,
        DELETE=homework.CLOSING,
        sends=a_change,
        looks="homework",
    ),
    Route("logs:api:shown", "assignment", POST=homework.SHOWING, sends=homework.A_CASE, ok=204),
    Route("logs:api:assignment-own", "homework", GET=homework.OWN_PART),
    Route("logs:api:assignment", "assignment", GET=homework.ASSIGNMENT, looks="homework"),
    Route("logs:api:club-lessons", "club", GET=rules.COACHES, POST=rules.COACHES, sends=a_lesson, ok=201),
    Route(
        "logs:api:proposal",
        "club",
        GET=rules.COACHES,
    ),
    Route(
        "logs:api:lesson",
        "lesson",
        GET=rules.COACHES,
        PUT=rules.COACHES,
        DELETE=rules.COACHES,
        sends=a_lesson,
    ),
    Route("logs:api:took", "lesson", GET=rules.COACHES, looks="lesson"),
    Route("logs:api:lesson-copy", "lesson", POST=rules.COACHES, ok=201),
    Route("logs:api:lesson-missing", "lesson", PUT=rules.COACHES),
    Route("logs:api:lesson-homework", "lesson", POST=rules.COACHES, ok=201),
    Route(
        "logs:api:lesson-wall",
        "lesson",
        GET=rules.COACHES,
        POST=rules.COACHES,
        PUT=rules.COACHES,
        DELETE=rules.COACHES,
        sends={"asked": 0},
        ok=201,
    ),
    Route("logs:api:wall-seat", "wall", GET=rules.IN_CLUB, POST=rules.IN_CLUB, ok=201),
    Route("logs:api:wall-answers", "wall", POST=rules.IN_CLUB, sends=A_SEAT_ANSWER, ok=201),
    Route(
        "logs:api:nowhere",
        "nowhere",
        GET=NOWHERE,
        POST=NOWHERE,
        PUT=NOWHERE,
        PATCH=NOWHERE,
        DELETE=NOWHERE,
    ),
)  # fmt: skip
