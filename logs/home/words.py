"""The first page in words."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from urllib.parse import urlsplit

from django.template import Library
from icalendar import Calendar, Event

from logs.home.report.calendar import CalendarDay
from logs.home.report.desk import CaseOfMember, DeskReport, DueHomework
from logs.home.report.home import HomeReport
from logs.home.report.members import CasesKnown, MemberOrder
from logs.home.report.uploads import UploadMeaning
from logs.homework.report.data import OpenHomework
from logs.words import day_words, moment, solves, times

register = Library()

ORDERS = (
    (MemberOrder.NAME.value, "name"),
    (MemberOrder.LOG.value, "newest log"),
    (MemberOrder.HOMEWORK.value, "most open homework"),
    (MemberOrder.STANDING.value, "cases in one look"),
)
"""Value and words."""

MOST = 6
"""Names on a line; the rest are counted."""

FEW = 3
"""Cases of a homework on a line; the rest are counted."""


@register.filter
def names(of: Iterable[str]) -> str:
    """``Ada, Milo and 3 more``."""
    each = list(dict.fromkeys(of))
    if len(each) > MOST:
        return f"{', '.join(each[:MOST])} and {len(each) - MOST} more"
    return ", ".join(each)


@register.filter
def by_member(cases: Iterable[CaseOfMember]) -> list[tuple[str, list[CaseOfMember]]]:
    """The cases of each member, by name."""
    groups: dict[str, list[CaseOfMember]] = {}
    for case in cases:
        groups.setdefault(case.name, []).append(case)
    return sorted(groups.items())


def _n(n: int, word: str) -> str:
    return f"{n} {word}" if n == 1 else f"{n:,} {word}s"


@register.filter
def desk_finding(report: DeskReport) -> str:
    """The one sentence of the desk: what came in, and what waits for the coach."""
    n = len(report.logged)
    logged = f"{_n(n, 'member')} logged {solves(report.n_solves)}" if n else "No log came in"
    tasks = []
    if report.ready:
        tasks.append(
            f"{_n(len(report.ready), 'case')} wait{'s' * (len(report.ready) == 1)} to be seen"
        )
    if report.together:
        tasks.append(f"{_n(len(report.together), 'case')} to look at together")
    if report.verified:
        tasks.append(f"{_n(len(report.verified), 'case')} verified")
    return f"{logged}; {', '.join(tasks)}." if tasks else f"{logged}."


@register.filter
def home_finding(report: HomeReport) -> str:
    """The one sentence of a member's home: how far the homework is."""
    if not report.homework:
        return "No homework is open. Here is what would help you next."
    if report.n_learnt == report.n_asked:
        return f"All {_n(report.n_asked, 'homework case')} learnt. Your solves will show the rest."
    return f"{report.n_learnt} of {_n(report.n_asked, 'homework case')} learnt so far."


@register.filter
def upload_finding(meaning: UploadMeaning) -> str:
    """``3 homework cases came up, 2 in one look.``: of a log that was added."""
    n, k = len(meaning.homework), meaning.n_homework_one_look
    in_one = "" if not k else ", in one look" if n == 1 else f", {k} in one look"
    return f"{_n(n, 'homework case')} came up{in_one}." if n else ""


def calendar_text(days: Iterable[CalendarDay], *, site: str, name: str, now: datetime) -> bytes:
    """The days as an iCalendar object (RFC 5545): each a whole day that keeps nobody from anything.

    Args:
        days: What stands in it.
        site: Where the site is, such as ``https://cubes.example.org``.
        name: What the site is called.
        now: When it is written.
    """
    host = urlsplit(site).hostname or "localhost"
    calendar = Calendar()
    calendar.add("prodid", f"-//{host}//club notebook//EN")
    calendar.add("version", "2.0")
    calendar.add("name", name)  # RFC 7986, 5.1
    calendar.add("x-wr-calname", name)  # what calendar programs read in its place
    calendar.add(
        "refresh-interval", timedelta(hours=12), parameters={"VALUE": "DURATION"}
    )  # RFC 7986, 5.7
    for day in days:
        event = Event()
        event.add("uid", f"{day.kind}-{day.id}@{host}")
        event.add("dtstamp", now)
        event.add("dtstart", day.on)
        event.add("summary", summary(day))
        if day.kind == "homework" or day.is_coach:  # a lesson's page is for its coaches
            event.add("url", f"{site}/{_pages(day)}/{day.id}/")
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    text: bytes = calendar.to_ical()
    return text


@register.filter
def summary(day: CalendarDay) -> str:
    """What a day of a calendar is: ``Dots first (Riverside Turners)``."""
    if day.kind == "lesson":
        return f"{day.title} ({day.club})"
    return f"Homework: {', '.join(day.cases) or 'no cases'} ({day.club})"


def _pages(day: CalendarDay) -> str:
    return "lessons" if day.kind == "lesson" else "homework"


@register.filter
def homework_words(homework: OpenHomework | None) -> str:
    """``3 of 5 learnt``; of who shows no log ``5 set``."""
    if homework is None:
        return "none"
    if homework.n_learnt is None:
        return f"{homework.n_asked} set"
    return f"{homework.n_learnt} of {homework.n_asked} learnt"


@register.filter
def known_words(known: Iterable[CasesKnown]) -> str:
    """``31 of 57 OLL, 12 of 21 PLL``."""
    words = [f"{one.n_one_look} of {one.n_cases} {one.stage.upper()}" for one in known]
    return ", ".join(words) or "no solves with a solution yet"


@register.filter
def due_soon(report: DeskReport) -> list[DueHomework]:
    """Homework whose date is near, the nearest first."""
    return sorted((one for one in report.due if not one.head.is_due_past), key=due_day_of)


@register.filter
def past_date(report: DeskReport) -> list[DueHomework]:
    """Homework whose date is over, the latest first."""
    past = (one for one in report.due if one.head.is_due_past)
    return sorted(past, key=due_day_of, reverse=True)


def due_day_of(due: DueHomework) -> date:
    """The date of homework that has one."""
    assert due.head.due_on is not None
    return due.head.due_on


@register.filter
def due_day(due: DueHomework) -> str:
    """``3 Mar 2026``."""
    return day_words(due_day_of(due))


@register.filter
def due_words(due: DueHomework) -> str:
    """``OLL 40 Big lightning, PLL T and 2 more, 3 of 9 learnt``."""
    titles = [case.title for case in due.head.cases]
    few = ", ".join(titles[:FEW]) + (f" and {len(titles) - FEW} more" if titles[FEW:] else "")
    return f"{few}, {due.n_learnt} of {due.n_asked} learnt"


@register.filter
def desk_lines(report: DeskReport) -> list[tuple[str, list[str]]]:
    """The desk as a letter tells it: a heading and lines, without what there is nothing of."""
    zone = report.zone
    lesson = report.next_lesson
    parts = [
        ("Ready to be seen", _of_members(report.ready)),
        ("Look at it together", _of_members(report.together)),
        ("Due", [f"{due_day(one)}: {due_words(one)}" for one in due_soon(report)]),
        ("Past its date", [f"{due_day(one)}: {due_words(one)}" for one in past_date(report)]),
        (
            "Next lesson",
            [f"{lesson.title}, {day_words(lesson.on)}, {_n(lesson.n_cases, 'case')}"]
            if lesson
            else [],
        ),
        ("Logged", [f"{one.member.name}: {solves(one.n_solves)}" for one in report.logged]),
        ("Verified in solves", _of_members(report.verified)),
        ("Shown to a coach", _of_members(report.shown)),
        (
            "Mixed up again",
            [
                f"{one.case.title} taken for {one.done.title}, {times(one.n_more)} more"
                for one in report.grown
            ],
        ),
        ("Joined", list(report.joined)),
        (
            "No log for a while",
            [
                f"{one.member.name}, {'last ' + moment(one.last_at, zone) if one.last_at else 'none yet'}"
                for one in report.quiet
            ],
        ),
    ]
    return [(title, lines) for title, lines in parts if lines]


def _of_members(cases: Iterable[CaseOfMember]) -> list[str]:
    return [
        f"{name}: {', '.join(one.case.title for one in of_member)}"
        for name, of_member in by_member(cases)
    ]
