"""The app's addresses."""

from django.urls import path

from logs.web import cases, club, club_pages, clubs, join, log, people, privacy, progress, solves

app_name = "logs"

urlpatterns = [
    path("", log.log, name="log"),
    path("log-template.csv", log.template, name="template"),
    path("uploads/", log.upload_add, name="upload-add"),
    path("uploads/<int:upload_id>/", log.upload, name="upload"),
    path("uploads/<int:upload_id>/file/", privacy.sent_file, name="sent-file"),
    path("uploads/<int:upload_id>/set-aside/", log.set_aside, name="set-aside"),
    path("set-aside/<int:set_aside_id>/mend/", log.mend, name="mend"),
    path("solves/", solves.solve_list, name="solve-list"),
    path("solves/<int:solve_id>/", solves.solve, name="solve"),
    path("progress/", progress.progress, name="progress"),
    path("cases/", cases.case_list, name="case-list"),
    path("cases/<slug:stage>/<slug:number>/", cases.case, name="case"),
    path("members/", club.member_list, name="member-list"),
    path("members/<int:membership_id>/progress/", progress.progress, name="member-progress"),
    path("members/<int:membership_id>/solves/", solves.solve_list, name="member-solve-list"),
    path(
        "members/<int:membership_id>/mistaken/", club_pages.member_mistaken, name="member-mistaken"
    ),
    path("mistaken/", club_pages.member_mistaken, name="mistaken"),
    path("clubs/<slug:slug>/", club_pages.club, name="club"),
    path("clubs/<slug:slug>/compare/", club_pages.compare, name="club-compare"),
    path("clubs/<slug:slug>/mistaken/", club_pages.mistaken, name="club-mistaken"),
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
    path("clubs/<slug:slug>/leave/", clubs.leave, name="leave"),
    path("clubs/<slug:slug>/visibility/", clubs.visibility, name="visibility"),
    path("clubs/<slug:slug>/name/", clubs.display_name, name="display-name"),
    path("join/", join.join, name="join"),
    path("privacy/", privacy.privacy, name="privacy"),
    path("privacy/my-log.jsonl", privacy.log_copy, name="log-copy"),
    path("privacy/about-me.json", privacy.data_copy, name="data-copy"),
    path("privacy/erase/", privacy.erase, name="erase"),
    path("what-we-keep/", privacy.what_we_keep, name="what-we-keep"),
    path("how/", club.how, name="how"),
]
