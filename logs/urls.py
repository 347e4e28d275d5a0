"""The app's addresses."""

from django.urls import include, path

from logs.book import page as book
from logs.club import page as club
from logs.home import page as home
from logs.homework import page as homework
from logs.how import page as how
from logs.jobs import page as jobs
from logs.lessons import page as lessons
from logs.next_up import page as next_up
from logs.people.page import clubs, people
from logs.people.page import clubs as tokens
from logs.practice.page import drills, practice
from logs.practice.page import drills as drill
from logs.privacy import page as privacy
from logs.progress import page as progress
from logs.research import page as research
from logs.sheets import page as sheets
from logs.solves.page import log, solves

app_name = "logs"


urlpatterns = [
    path("", home.home, name="home"),
    path("home/", home.own, name="own-home"),
    path("clubs/<slug:slug>/desk/", home.desk, name="desk"),
    path("log/", log.log, name="log"),
    path("log-template.csv", log.template, name="template"),
    path("uploads/", log.upload_add, name="upload-add"),
    path("uploads/<int:upload_id>/", log.upload, name="upload"),
    path("uploads/<int:upload_id>/file/", privacy.sent_file, name="sent-file"),
    path("uploads/<int:upload_id>/set-aside/", log.set_aside, name="set-aside"),
    path("jobs/<int:job_id>/", jobs.job, name="job"),
    path("jobs/<int:job_id>/stop/", jobs.cancel, name="job-stop"),
    path("jobs/<int:job_id>/go-on/", jobs.resume, name="job-go-on"),
    path("waiting/<int:draft_id>/", log.mapping, name="mapping"),
    path("waiting/<int:draft_id>/discard/", log.discard, name="mapping-discard"),
    path("mappings/", log.kept_list, name="kept-mappings"),
    path("mappings/<int:mapping_id>/rename/", log.rename, name="kept-mapping-rename"),
    path("mappings/<int:mapping_id>/forget/", log.forget, name="kept-mapping-forget"),
    path("set-aside/<int:set_aside_id>/mend/", log.mend, name="mend"),
    path("set-aside/<int:set_aside_id>/leave-out/", log.leave_out, name="leave-out"),
    path("solves/", solves.solve_list, name="solve-list"),
    path("solves/<int:solve_id>/", solves.solve, name="solve"),
    path("progress/", progress.progress, name="progress"),
    path("progress/marks/", progress.mark_add, name="mark-add"),
    path("progress/marks/<int:mark_id>/remove/", progress.mark_remove, name="mark-remove"),
    path("cases/", progress.case_list, name="case-list"),
    path("cases/<slug:stage>/<slug:number>/", progress.case, name="case"),
    path("members/", people.member_list, name="member-list"),
    path("members/<int:membership_id>/progress/", progress.progress, name="member-progress"),
    path("members/<int:membership_id>/solves/", solves.solve_list, name="member-solve-list"),
    path("members/<int:membership_id>/mistaken/", club.member_mistaken, name="member-mistaken"),
    path("mistaken/", club.member_mistaken, name="mistaken"),
    path("clubs/<slug:slug>/", club.club, name="club"),
    path("clubs/<slug:slug>/compare/", club.compare, name="club-compare"),
    path("clubs/<slug:slug>/mistaken/", club.mistaken, name="club-mistaken"),
    path("clubs/<slug:slug>/cases/<slug:stage>/<slug:number>/", club.case, name="club-case"),
    path("clubs/", clubs.club_list, name="club-list"),
    path("clubs/<slug:slug>/people/", people.people, name="club-people"),
    path("clubs/<slug:slug>/people/<int:membership_id>/role/", people.change_role, name="role"),
    path("clubs/<slug:slug>/people/<int:membership_id>/remove/", people.remove, name="remove"),
    path("clubs/<slug:slug>/people/<int:membership_id>/owner/", people.hand_over, name="owner"),
    path("clubs/<slug:slug>/invitations/", people.invite, name="invite"),
    path(
        "clubs/<slug:slug>/invitations/<int:invitation_id>/withdraw/",
        people.withdraw,
        name="invitation-withdraw",
    ),
    path("clubs/<slug:slug>/welcome/", people.welcome, name="welcome"),
    path("clubs/<slug:slug>/contact/", people.contact, name="contact"),
    path(
        "clubs/<slug:slug>/people/<int:membership_id>/password/",
        people.password_code,
        name="password-code",
    ),
    path("clubs/<slug:slug>/leave/", clubs.leave, name="leave"),
    path("clubs/<slug:slug>/visibility/", clubs.visibility, name="visibility"),
    path("clubs/<slug:slug>/research/", research.research, name="research"),
    path("clubs/<slug:slug>/research.parquet", research.export, name="research-export"),
    path("clubs/<slug:slug>/research/mine/", research.change, name="research-change"),
    path("clubs/<slug:slug>/name/", clubs.display_name, name="display-name"),
    path("new-password/", people.new_password, name="new-password"),
    path("join/", people.join, name="join"),
    path("privacy/", privacy.privacy, name="privacy"),
    path("privacy/my-log.jsonl", privacy.log_copy, name="log-copy"),
    path("privacy/about-me.json", privacy.data_copy, name="data-copy"),
    path("privacy/tokens/", tokens.tokens, name="tokens"),
    path("privacy/tokens/<int:token_id>/withdraw/", tokens.withdraw, name="token-withdraw"),
    path("privacy/erase/", privacy.erase, name="erase"),
    path("what-we-keep/", privacy.what_we_keep, name="what-we-keep"),
    path("homework/", homework.own, name="homework-own"),
    path("homework/<int:homework_id>/", homework.one, name="homework"),
    path("homework/<int:homework_id>/close/", homework.close, name="homework-close"),
    path("homework/<int:homework_id>/edit/", homework.edit, name="homework-edit"),
    path("homework/<int:homework_id>/take-back/", homework.take_back, name="homework-take-back"),
    path(
        "homework/<int:homework_id>/members/<int:membership_id>/shown/",
        homework.mark_shown,
        name="assignment-shown",
    ),
    path(
        "homework/<int:homework_id>/members/<int:membership_id>/",
        homework.assignment,
        name="assignment",
    ),
    path(
        "homework/<int:homework_id>/members/<int:membership_id>/excuse/",
        homework.excuse,
        name="assignment-excuse",
    ),
    path("clubs/<slug:slug>/homework/", homework.desk, name="homework-desk"),
    path("clubs/<slug:slug>/homework/new/", homework.new, name="homework-new"),
    path("next-up/", next_up.next_up, name="next-up"),
    path("members/<int:membership_id>/next-up/", next_up.next_up, name="member-next-up"),
    path("members/<int:membership_id>/next-up/words/", next_up.override, name="next-up-override"),
    path(
        "members/<int:membership_id>/next-up/words/<int:override_id>/withdraw/",
        next_up.withdraw,
        name="next-up-withdraw",
    ),
    path("clubs/<slug:slug>/lessons/", lessons.lesson_list, name="lesson-list"),
    path("clubs/<slug:slug>/lessons/new/", lessons.new, name="lesson-new"),
    path("lessons/<int:lesson_id>/", lessons.lesson, name="lesson"),
    path("lessons/<int:lesson_id>/edit/", lessons.edit, name="lesson-edit"),
    path("lessons/<int:lesson_id>/homework/", lessons.homework, name="lesson-homework"),
    path(
        "lessons/<int:lesson_id>/homework/all/",
        lessons.homework_for_all,
        name="lesson-homework-all",
    ),
    path("lessons/<int:lesson_id>/took/", lessons.took, name="lesson-took"),
    path("lessons/<int:lesson_id>/copy/", lessons.copy, name="lesson-copy"),
    path("lessons/<int:lesson_id>/missing/", lessons.missing, name="lesson-missing"),
    path("lessons/<int:lesson_id>/delete/", lessons.delete, name="lesson-delete"),
    path("clubs/<slug:slug>/book/", book.book, name="book"),
    path("clubs/<slug:slug>/book/relabel/", book.relabel, name="book-relabel"),
    path("clubs/<slug:slug>/book/triggers/", book.name_trigger, name="trigger-name"),
    path("clubs/<slug:slug>/book/triggers/forget/", book.forget_trigger, name="trigger-forget"),
    path("clubs/<slug:slug>/book/<slug:stage>/<slug:number>/", book.book_case, name="book-case"),
    path("clubs/<slug:slug>/book/<slug:stage>/<slug:number>/add/", book.add, name="book-add"),
    path(
        "clubs/<slug:slug>/book/<slug:stage>/<slug:number>/retire/",
        book.retire,
        name="book-retire",
    ),
    path("clubs/<slug:slug>/book/<slug:stage>/<slug:number>/move/", book.move, name="book-move"),
    path("sheet/", sheets.sheet, name="sheet"),
    path("sheet.pdf", sheets.pdf, name="sheet-pdf"),
    path("lessons/<int:lesson_id>/sheet/", sheets.lesson, name="lesson-sheet"),
    path("lessons/<int:lesson_id>/sheet.pdf", sheets.lesson_pdf, name="lesson-sheet-pdf"),
    path("homework/<int:homework_id>/sheet/", sheets.homework, name="homework-sheet"),
    path("homework/<int:homework_id>/sheet.pdf", sheets.homework_pdf, name="homework-sheet-pdf"),
    path("drills/", drills.start, name="drills"),
    path("drills/one/", drill.drill, name="drill-one"),
    path("drills/sheet/", drills.sheet, name="drill-sheet"),
    path("drills/sheet.pdf", drills.pdf, name="drill-pdf"),
    path("drills/scrambles.txt", drills.text, name="drill-text"),
    path("drills/log.csv", drills.log, name="drill-log"),
    path("clubs/<slug:slug>/practice-cap/", practice.change, name="practice-cap"),
    path("practice/", practice.start, name="practice"),
    path("practice/question/", practice.question, name="practice-question"),
    path("practice/answer/", practice.answer, name="practice-answer"),
    path("how/", how.how, name="how"),
    path("how/research/", research.dictionary, name="research-dictionary"),
    path("how/information/", progress.information, name="information"),
    path("api/v1/", include("logs.api_urls")),
]
