"""Pages of the base app."""

from django.urls import URLPattern

app_name = "jobs"
urlpatterns: list[URLPattern] = []
