"""Where each app's pages hang."""

from django.contrib import admin
from django.urls import include, path

from safety.views.home import home

urlpatterns = [
    path("", home, name="home"),
    path("", include("safety.urls")),
    path("", include("scheduling.urls")),
    path("", include("jobs.urls")),
    path("libraries/", admin.site.urls),
]
