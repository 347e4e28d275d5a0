"""The app's addresses."""

from django.urls import path

from logs.web import cases, club, club_pages, log, progress, solves

app_name = "logs"

urlpatterns = [
    path("", log.log, name="log"),
    path("log-template.csv", log.template, name="template"),
    path("uploads/", log.upload_add, name="upload-add"),
    path("uploads/<int:upload_id>/", log.upload, name="upload"),
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
    path("how/", club.how, name="how"),
]
