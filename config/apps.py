"""The admin site, under our own name."""

from django.apps import AppConfig
from django.contrib.admin import apps


class AdminConfig(apps.AdminConfig):
    """The admin is there for the library tables only."""

    default_site = "config.admin_site.LibraryAdminSite"


class ConfigConfig(AppConfig):
    """Commands that start and test the whole."""

    name = "config"
