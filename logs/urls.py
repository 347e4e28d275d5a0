"""The app's addresses."""

from django.urls import URLPattern, URLResolver

app_name = "logs"

urlpatterns: list[URLPattern | URLResolver] = []
