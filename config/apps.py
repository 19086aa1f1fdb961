"""The admin site, under our own name."""

from django.contrib.admin import apps


class AdminConfig(apps.AdminConfig):
    """The admin is there for the library tables only."""

    default_site = "config.admin_site.LibraryAdminSite"
