"""Where each app's pages hang."""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("", include("safety.urls")),
    path("", include("scheduling.urls")),
    path("", include("jobs.urls")),
    path("libraries/", admin.site.urls),
]
