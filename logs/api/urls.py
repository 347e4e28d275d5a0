"""The API's addresses: version 1. Within it fields are added, never taken away or renamed."""

from django.urls import path, re_path

from logs.api import book, clubs, drills, guide, logs, managing, people, research, uploads, views

app_name = "api"

urlpatterns = [
    path("", guide.guide, name="guide"),
    path("schema", guide.schema, name="schema"),
    path("log", logs.Log.as_view(), name="log"),
    path("uploads", uploads.Uploads.as_view(), name="uploads"),
    path("uploads/<int:upload_id>", uploads.Upload.as_view(), name="upload"),
    path("uploads/<int:upload_id>/set-aside", logs.SetAside.as_view(), name="set-aside"),
    path("set-aside/<int:set_aside_id>/mend", uploads.Mending.as_view(), name="mend"),
    path("mappings", uploads.Mappings.as_view(), name="mappings"),
    path("jobs", uploads.Jobs.as_view(), name="jobs"),
    path("jobs/<int:job_id>", uploads.Job.as_view(), name="job"),
    path("jobs/<int:job_id>/cancel", uploads.JobCancel.as_view(), name="job-cancel"),
    path("jobs/<int:job_id>/resume", uploads.JobResume.as_view(), name="job-resume"),
    path("solves", uploads.Solves.as_view(), name="solves"),
    path("solves/<int:solve_id>", logs.Solve.as_view(), name="solve"),
    path("progress", logs.Progress.as_view(), name="progress"),
    path("mistaken", logs.Mistaken.as_view(), name="mistaken"),
    path("next-up", logs.NextUp.as_view(), name="next-up"),
    path("cases", logs.Cases.as_view(), name="cases"),
    path("cases/<slug:stage>/<slug:number>", logs.Case.as_view(), name="case"),
    path("information", clubs.Information.as_view(), name="information"),
    path("members", logs.Members.as_view(), name="members"),
    path("members/<int:membership_id>/solves", logs.SolvesOf.as_view(), name="member-solves"),
    path("members/<int:membership_id>/progress", logs.Progress.as_view(), name="member-progress"),
    path("members/<int:membership_id>/mistaken", logs.Mistaken.as_view(), name="member-mistaken"),
    path("members/<int:membership_id>/next-up", logs.NextUp.as_view(), name="member-next-up"),
    path("homework", clubs.OwnHomeworks.as_view(), name="homework-own"),
    path("homework/<int:homework_id>", clubs.Homework.as_view(), name="homework"),
    path("homework/<int:homework_id>/own", clubs.Assignment.as_view(), name="assignment-own"),
    path(
        "homework/<int:homework_id>/members/<int:membership_id>",
        clubs.Assignment.as_view(),
        name="assignment",
    ),
    path("homework/<int:homework_id>/close", managing.HomeworkClosing.as_view(), name="close"),
    path(
        "homework/<int:homework_id>/members/<int:membership_id>/excuse",
        managing.Excusing.as_view(),
        name="excuse",
    ),
    path("members/<int:membership_id>/next-up/words", managing.Words.as_view(), name="words"),
    path(
        "members/<int:membership_id>/next-up/words/<int:override_id>",
        managing.Word.as_view(),
        name="word",
    ),
    path("lessons/<int:lesson_id>", managing.ManagedLesson.as_view(), name="lesson"),
    path("drills", drills.Dealing.as_view(), name="drills"),
    path("privacy", clubs.Privacy.as_view(), name="privacy"),
    path("clubs", clubs.Clubs.as_view(), name="clubs"),
    path("join", people.Joining.as_view(), name="join"),
    path("clubs/<slug:slug>", clubs.Club.as_view(), name="club"),
    path("clubs/<slug:slug>/compare", clubs.Compare.as_view(), name="club-compare"),
    path("clubs/<slug:slug>/mistaken", clubs.ClubMistaken.as_view(), name="club-mistaken"),
    path(
        "clubs/<slug:slug>/cases/<slug:stage>/<slug:number>",
        clubs.ClubCase.as_view(),
        name="club-case",
    ),
    path("clubs/<slug:slug>/people", clubs.People.as_view(), name="club-people"),
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
    path("clubs/<slug:slug>/homework", managing.ManagedHomeworks.as_view(), name="club-homework"),
    path("clubs/<slug:slug>/lessons", managing.ManagedLessons.as_view(), name="club-lessons"),
    path("clubs/<slug:slug>/lessons/proposal", clubs.Proposal.as_view(), name="proposal"),
    path("clubs/<slug:slug>/visibility", managing.Visibility.as_view(), name="visibility"),
    path("clubs/<slug:slug>/name", managing.DisplayName.as_view(), name="display-name"),
    path("clubs/<slug:slug>/invitations", managing.Invitations.as_view(), name="invitations"),
    path(
        "clubs/<slug:slug>/invitations/<int:invitation_id>",
        managing.Invitation.as_view(),
        name="invitation",
    ),
    path("clubs/<slug:slug>/book", clubs.Book.as_view(), name="book"),
    path("clubs/<slug:slug>/book/relabel", book.BookLabels.as_view(), name="book-relabel"),
    path("clubs/<slug:slug>/book/triggers", book.Triggers.as_view(), name="triggers"),
    path(
        "clubs/<slug:slug>/book/triggers/forget",
        book.TriggerForgetting.as_view(),
        name="trigger-forget",
    ),
    path(
        "clubs/<slug:slug>/book/<slug:stage>/<slug:number>",
        clubs.BookCase.as_view(),
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
    path("clubs/<slug:slug>/practice-cap", drills.Capping.as_view(), name="practice-cap"),
    path("clubs/<slug:slug>/research", research.Research.as_view(), name="research"),
    path(
        "clubs/<slug:slug>/research.parquet",
        research.ResearchExport.as_view(),
        name="research-export",
    ),
    path("clubs/<slug:slug>/research/mine", research.ResearchWord.as_view(), name="research-word"),
    re_path(r"^(?P<rest>[\s\S]+)$", views.Nowhere.as_view(), name="nowhere"),  # line ends too
]
