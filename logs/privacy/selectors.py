"""All that belongs to the actor, for their own copy of it."""

from collections.abc import Iterator

from django.db.models import Prefetch, QuerySet

from clubsite.accounts.models import Session, User
from logs.algorithms.models import BookAlgorithm, CaseWords
from logs.errors import NotFoundError
from logs.home.models import CalendarFeed, DeskVisit, WeeklyLetter
from logs.homework.models import Assignment, AssignmentCase, DrillAnswer, Excuse, Homework
from logs.jobs.models import Job
from logs.lessons.models import Lesson, LessonMember
from logs.next_up.models import Override
from logs.people.models import Invitation
from logs.solves.models.draws import Draw, DrawnSolve, WrittenSolve
from logs.solves.models.kept_rows import KeptRow, SolveChange
from logs.solves.models.solves import KeptMapping, Solve, Upload, UploadDraft
from logs.writeups.models import Writeup


def own_solves(*, actor: User) -> Iterator[Solve]:
    """The actor's solves, one at a time: file by file, in the order they stand there."""
    return Solve.objects.filter(member=actor).order_by("upload", "line").iterator()


def own_uploads(*, actor: User) -> QuerySet[Upload]:
    """The actor's uploads with the rows kept beside the log of each, the oldest first; not their bytes.

    Those that were taken back are among them: they are kept for a while.
    """
    uploads = Upload.all_uploads.filter(member=actor).defer("content")
    said = KeptRow.objects.exclude(sent=None).order_by("line")
    beside = Prefetch("kept_rows", said, to_attr="rows_beside")
    return uploads.prefetch_related("set_aside_rows", beside).order_by("received_at", "id")


def own_changes(*, actor: User) -> QuerySet[SolveChange]:
    """What the actor changed of their solves by hand, the oldest first."""
    return SolveChange.objects.filter(member=actor).order_by("at", "id")


def own_jobs(*, actor: User) -> QuerySet[Job]:
    """The work on the actor's log behind requests, the oldest first."""
    return Job.objects.filter(member=actor).order_by("made_at", "id")


def own_drafts(*, actor: User) -> QuerySet[UploadDraft]:
    """The actor's files that wait to be read, the oldest first; not their bytes."""
    return UploadDraft.objects.filter(member=actor).defer("content").order_by("made_at", "id")


def own_writeups(*, actor: User) -> QuerySet[Writeup]:
    """The solves that the actor is writing down, the oldest first."""
    return Writeup.objects.filter(member=actor).order_by("begun_at", "id")


def own_draws(*, actor: User) -> QuerySet[Draw]:
    """What was drawn to be written down, with all its places, the oldest first."""
    places = Prefetch("places", DrawnSolve.objects.order_by("round", "part"))
    return Draw.objects.filter(member=actor).prefetch_related(places).order_by("drawn_at", "id")


def own_written(*, actor: User) -> QuerySet[WrittenSolve]:
    """The solves that the actor wrote down by hand, the oldest first."""
    return WrittenSolve.objects.filter(member=actor).order_by("at", "id")


def mappings_made(*, actor: User) -> QuerySet[KeptMapping]:
    """The mappings that the actor kept, for a club or alone, the oldest first."""
    made = KeptMapping.objects.filter(made_by=actor) | KeptMapping.objects.filter(member=actor)
    return made.select_related("club").order_by("changed_at", "id")


def own_file(*, actor: User, upload_id: int) -> Upload:
    """One of the actor's uploads with its bytes.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    upload = Upload.objects.filter(member=actor, pk=upload_id).first()
    if upload is None or not actor.is_active:
        raise NotFoundError("upload")
    return upload


def own_assignments(*, actor: User) -> QuerySet[Assignment]:
    """What was asked of the actor, with its cases and the actor's excuses; the oldest first."""
    return (
        Assignment.objects.filter(member=actor)
        .select_related("homework__club")
        .prefetch_related("cases", "excuses")
        .order_by("homework__set_at", "id")
    )


def own_drill_answers(*, actor: User) -> QuerySet[DrillAnswer]:
    """How drills went by the actor's own word, the oldest first."""
    return DrillAnswer.objects.filter(member=actor).order_by("at", "id")


def own_overrides(*, actor: User) -> QuerySet[Override]:
    """What coaches said of the order of the actor's next cases; the oldest first."""
    return Override.objects.filter(member=actor).select_related("club").order_by("at", "id")


def own_lessons(*, actor: User) -> QuerySet[LessonMember]:
    """The lessons the actor was planned for, the oldest first."""
    return (
        LessonMember.objects.filter(member=actor)
        .select_related("lesson__club")
        .order_by("lesson__on", "id")
    )


def homework_made(*, actor: User) -> QuerySet[Homework]:
    """The homework that the actor set or closed as a coach, the oldest first."""
    made = Homework.objects.filter(set_by=actor) | Homework.objects.filter(closed_by=actor)
    return made.select_related("club").prefetch_related("cases").order_by("set_at", "id")


def lessons_made(*, actor: User) -> QuerySet[Lesson]:
    """The lessons that the actor planned as a coach, the oldest first."""
    made = Lesson.objects.filter(by=actor).select_related("club").prefetch_related("cases")
    return made.order_by("on", "id")


def overrides_made(*, actor: User) -> QuerySet[Override]:
    """The actor's word as a coach on what is next for others, the oldest first."""
    made = Override.objects.filter(by=actor) | Override.objects.filter(withdrawn_by=actor)
    return made.select_related("club").order_by("at", "id")


def cases_shown_to(*, actor: User) -> QuerySet[AssignmentCase]:
    """The cases of which the actor as a coach said that they were shown them, the oldest first."""
    rows = AssignmentCase.objects.filter(shown_to=actor)
    return rows.select_related("assignment__homework__club").order_by("shown_at", "id")


def excuses_made(*, actor: User) -> QuerySet[Excuse]:
    """The cases that the actor as a coach excused others from, the oldest first."""
    made = Excuse.objects.filter(by=actor).select_related("assignment__homework__club")
    return made.order_by("at", "id")


def invitations_made(*, actor: User) -> QuerySet[Invitation]:
    """The invitations that the actor made, the oldest first."""
    made = Invitation.objects.filter(created_by=actor).select_related("club")
    return made.order_by("created_at", "id")


def case_words_written(*, actor: User) -> QuerySet[CaseWords]:
    """What the actor said of cases in clubs' books, the oldest first."""
    written = CaseWords.objects.filter(written_by=actor).select_related("club")
    return written.order_by("written_at", "id")


def algorithms_added(*, actor: User) -> QuerySet[BookAlgorithm]:
    """The algorithms that the actor added to clubs' books, the oldest first."""
    added = BookAlgorithm.objects.filter(added_by=actor).select_related("club")
    return added.order_by("added_at", "id")


def own_sign_ins(*, actor: User) -> QuerySet[Session]:
    """Where the actor is or was signed in, the oldest first; not what opens it."""
    return Session.objects.filter(user=actor).order_by("signed_in_at", "session_key")


def own_calendar(*, actor: User) -> QuerySet[CalendarFeed]:
    """The secret address of the actor's calendar, if there is one."""
    return CalendarFeed.objects.filter(member=actor)


def own_letters(*, actor: User) -> QuerySet[WeeklyLetter]:
    """The weekly letters that the actor wants, by club."""
    wanted = WeeklyLetter.objects.filter(membership__user=actor)
    return wanted.select_related("membership__club").order_by("membership__club__name", "id")


def own_desk_visits(*, actor: User) -> QuerySet[DeskVisit]:
    """When the actor last opened the desk of each club, by club."""
    visits = DeskVisit.objects.filter(membership__user=actor)
    return visits.select_related("membership__club").order_by("membership__club__name", "id")
