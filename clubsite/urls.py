"""The site's addresses: accounts here, everything else in the logs app."""

from django.urls import include, path

urlpatterns = [
    path("", include("clubsite.accounts.urls")),
    path("", include("logs.urls")),
]

handler400 = "clubsite.faults.bad_request"
handler500 = "clubsite.faults.server_error"
