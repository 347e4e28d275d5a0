"""The API's addresses: version 1. Within it fields are added, never taken away or renamed."""

from django.urls import path, re_path

from logs.book import api as book
from logs.case_map import api as case_map
from logs.cases import api as cases
from logs.club import api as club
from logs.home import api as home
from logs.homework import api as homework
from logs.http import api as http
from logs.jobs import api as jobs
from logs.lessons import api as lessons
from logs.next_up import api as next_up
from logs.people import api as people
from logs.people.page import clubs as tokens
from logs.practice import api as drills
from logs.practice import api as practice
from logs.privacy import api as privacy
from logs.progress import api as progress
from logs.research import api as research
from logs.solves.api import drawn, mappings, solves, undo
from logs.wall import api as wall

app_name = "api"


urlpatterns = [
    path("", tokens.guide, name="guide"),
    path("schema", tokens.schema, name="schema"),
    path("log", solves.Log.as_view(), name="log"),
    path("uploads", solves.Uploads.as_view(), name="uploads"),
    path("uploads/<int:upload_id>", solves.Upload.as_view(), name="upload"),
    path("uploads/<int:upload_id>/meaning", home.Meaning.as_view(), name="upload-meaning"),
    path("uploads/<int:upload_id>/file", privacy.SentFile.as_view(), name="sent-file"),
    path("uploads/<int:upload_id>/set-aside", solves.SetAside.as_view(), name="set-aside"),
    path("uploads/<int:upload_id>/take-back", undo.TakingBack.as_view(), name="take-back"),
    path("uploads/<int:upload_id>/put-back", undo.PuttingBack.as_view(), name="put-back"),
    path("uploads/<int:upload_id>/read-again", undo.ReadingAgain.as_view(), name="read-again"),
    path("uploads/<int:upload_id>/on-hold", undo.OnHold.as_view(), name="on-hold"),
    path("on-hold/<int:row_id>", undo.Deciding.as_view(), name="decide"),
    path("taken-out", undo.TakenOut.as_view(), name="taken-out"),
    path("solves/<int:solve_id>/correct", undo.Correcting.as_view(), name="solve-correct"),
    path("solves/<int:solve_id>/history", undo.SolveHistory.as_view(), name="solve-history"),
    path("solves/<int:solve_id>/put-back", undo.Restoring.as_view(), name="restore"),
    path("set-aside/<int:set_aside_id>/mend", solves.Mending.as_view(), name="mend"),
    path("set-aside/<int:set_aside_id>/leave-out", solves.LeavingOut.as_view(), name="leave-out"),
    path("drafts", mappings.Drafts.as_view(), name="drafts"),
    path("drafts/<int:draft_id>", mappings.Draft.as_view(), name="draft"),
    path("drafts/<int:draft_id>/cut", mappings.DraftCut.as_view(), name="draft-cut"),
    path("drafts/<int:draft_id>/answers", mappings.DraftAnswers.as_view(), name="draft-answers"),
    path("drafts/<int:draft_id>/add", mappings.DraftAdding.as_view(), name="draft-add"),
    path("mappings", mappings.Mappings.as_view(), name="mappings"),
    path("mappings/<int:mapping_id>", mappings.Mapping.as_view(), name="mapping"),
    path("mappings/<int:mapping_id>/name", mappings.MappingName.as_view(), name="mapping-name"),
    path("jobs", jobs.Jobs.as_view(), name="jobs"),
    path("jobs/<int:job_id>", jobs.Job.as_view(), name="job"),
    path("jobs/<int:job_id>/cancel", jobs.JobCancel.as_view(), name="job-cancel"),
    path("jobs/<int:job_id>/resume", jobs.JobResume.as_view(), name="job-resume"),
    path("solves", solves.Solves.as_view(), name="solves"),
    path("solves/<int:solve_id>", undo.OwnSolve.as_view(), name="solve"),
    path("draws", drawn.Draws.as_view(), name="draws"),
    path("draws/<int:draw_id>/more", drawn.DrawRounds.as_view(), name="draw-more"),
    path("progress", progress.Progress.as_view(), name="progress"),
    path("progress/marks", progress.Marks.as_view(), name="marks"),
    path("progress/marks/<int:mark_id>", progress.Mark.as_view(), name="mark"),
    path("mistaken", club.Mistaken.as_view(), name="mistaken"),
    path("next-up", next_up.NextUp.as_view(), name="next-up"),
    path("cases", progress.Cases.as_view(), name="cases"),
    path("cases/words", case_map.CaseWords.as_view(), name="case-words"),
    path("cases/<slug:stage>/<slug:number>", progress.Case.as_view(), name="case"),
    path("information", cases.Information.as_view(), name="information"),
    path("members", people.Members.as_view(), name="members"),
    path("members/<int:membership_id>/solves", solves.SolvesOf.as_view(), name="member-solves"),
    path(
        "members/<int:membership_id>/progress", progress.Progress.as_view(), name="member-progress"
    ),
    path("members/<int:membership_id>/mistaken", club.Mistaken.as_view(), name="member-mistaken"),
    path("members/<int:membership_id>/next-up", next_up.NextUp.as_view(), name="member-next-up"),
    path("homework", homework.OwnHomeworks.as_view(), name="homework-own"),
    path("homework/<int:homework_id>", homework.ManagedHomework.as_view(), name="homework"),
    path("homework/<int:homework_id>/own", homework.Assignment.as_view(), name="assignment-own"),
    path(
        "homework/<int:homework_id>/members/<int:membership_id>",
        homework.Assignment.as_view(),
        name="assignment",
    ),
    path("homework/<int:homework_id>/close", homework.HomeworkClosing.as_view(), name="close"),
    path(
        "homework/<int:homework_id>/members/<int:membership_id>/shown",
        homework.ShownCases.as_view(),
        name="shown",
    ),
    path(
        "homework/<int:homework_id>/members/<int:membership_id>/excuse",
        homework.Excusing.as_view(),
        name="excuse",
    ),
    path("members/<int:membership_id>/next-up/words", next_up.Words.as_view(), name="words"),
    path(
        "members/<int:membership_id>/next-up/words/<int:override_id>",
        next_up.Word.as_view(),
        name="word",
    ),
    path("lessons/<int:lesson_id>/took", lessons.Took.as_view(), name="took"),
    path(
        "lessons/<int:lesson_id>/homework",
        lessons.LessonHomework.as_view(),
        name="lesson-homework",
    ),
    path("lessons/<int:lesson_id>/wall", wall.LessonWall.as_view(), name="lesson-wall"),
    path("wall/<slug:code>", wall.WallSeat.as_view(), name="wall-seat"),
    path("wall/<slug:code>/answers", wall.SeatAnswers.as_view(), name="wall-answers"),
    path("lessons/<int:lesson_id>/copy", lessons.LessonCopy.as_view(), name="lesson-copy"),
    path("lessons/<int:lesson_id>/missing", lessons.Missing.as_view(), name="lesson-missing"),
    path("lessons/<int:lesson_id>", lessons.ManagedLesson.as_view(), name="lesson"),
    path("drills", drills.Dealing.as_view(), name="drills"),
    path("practice", practice.Start.as_view(), name="practice"),
    path("practice/question", practice.Question.as_view(), name="practice-question"),
    path("practice/answers", practice.Answers.as_view(), name="practice-answers"),
    path("privacy", privacy.Privacy.as_view(), name="privacy"),
    path("privacy/my-log.jsonl", privacy.LogCopy.as_view(), name="log-copy"),
    path("privacy/about-me.json", privacy.DataCopy.as_view(), name="data-copy"),
    path("clubs", people.Clubs.as_view(), name="clubs"),
    path("join", people.Joining.as_view(), name="join"),
    path("clubs/<slug:slug>", club.Club.as_view(), name="club"),
    path("clubs/<slug:slug>/compare", club.Compare.as_view(), name="club-compare"),
    path("clubs/<slug:slug>/mistaken", club.ClubMistaken.as_view(), name="club-mistaken"),
    path(
        "clubs/<slug:slug>/cases/<slug:stage>/<slug:number>",
        club.ClubCase.as_view(),
        name="club-case",
    ),
    path("clubs/<slug:slug>/members", home.ClubMembers.as_view(), name="club-members"),
    path("clubs/<slug:slug>/groups", people.Groups.as_view(), name="groups"),
    path("clubs/<slug:slug>/groups/<int:group_id>", people.Group.as_view(), name="group"),
    path("clubs/<slug:slug>/people", people.People.as_view(), name="club-people"),
    path(
        "clubs/<slug:slug>/people/<int:membership_id>", people.Person.as_view(), name="club-person"
    ),
    path(
        "clubs/<slug:slug>/people/<int:membership_id>/role",
        people.PersonRole.as_view(),
        name="role",
    ),
    path(
        "clubs/<slug:slug>/people/<int:membership_id>/owner",
        people.HandingOver.as_view(),
        name="owner",
    ),
    path("clubs/<slug:slug>/leave", people.Leaving.as_view(), name="leave"),
    path("clubs/<slug:slug>/homework", homework.ManagedHomeworks.as_view(), name="club-homework"),
    path("clubs/<slug:slug>/lessons", lessons.ManagedLessons.as_view(), name="club-lessons"),
    path("clubs/<slug:slug>/lessons/proposal", lessons.Proposal.as_view(), name="proposal"),
    path("clubs/<slug:slug>/visibility", people.Visibility.as_view(), name="visibility"),
    path("clubs/<slug:slug>/name", people.DisplayName.as_view(), name="display-name"),
    path("clubs/<slug:slug>/invitations", people.Invitations.as_view(), name="invitations"),
    path(
        "clubs/<slug:slug>/invitations/<int:invitation_id>",
        people.Invitation.as_view(),
        name="invitation",
    ),
    path("clubs/<slug:slug>/book", book.Book.as_view(), name="book"),
    path("clubs/<slug:slug>/book/relabel", book.BookLabels.as_view(), name="book-relabel"),
    path("clubs/<slug:slug>/book/triggers", book.Triggers.as_view(), name="triggers"),
    path(
        "clubs/<slug:slug>/book/triggers/forget",
        book.TriggerForgetting.as_view(),
        name="trigger-forget",
    ),
    path(
        "clubs/<slug:slug>/book/<slug:stage>/<slug:number>",
        book.BookCase.as_view(),
        name="book-case",
    ),
    path(
        "clubs/<slug:slug>/book/<slug:stage>/<slug:number>/algorithms",
        book.BookAlgorithms.as_view(),
        name="book-algorithms",
    ),
    path(
        "clubs/<slug:slug>/book/<slug:stage>/<slug:number>/retire",
        book.BookRetiring.as_view(),
        name="book-retire",
    ),
    path(
        "clubs/<slug:slug>/book/<slug:stage>/<slug:number>/move",
        book.BookMoving.as_view(),
        name="book-move",
    ),
    path(
        "clubs/<slug:slug>/book/<slug:stage>/<slug:number>/words",
        book.BookWords.as_view(),
        name="book-words",
    ),
    path(
        "clubs/<slug:slug>/book/<slug:stage>/<slug:number>/hold",
        book.BookHold.as_view(),
        name="book-hold",
    ),
    path("clubs/<slug:slug>/practice-cap", drills.Capping.as_view(), name="practice-cap"),
    path("clubs/<slug:slug>/research", research.Research.as_view(), name="research"),
    path(
        "clubs/<slug:slug>/research.parquet",
        research.ResearchExport.as_view(),
        name="research-export",
    ),
    path("clubs/<slug:slug>/research/mine", research.ResearchWord.as_view(), name="research-word"),
    re_path(r"^(?P<rest>[\s\S]+)$", http.Nowhere.as_view(), name="nowhere"),  # line ends too
]
