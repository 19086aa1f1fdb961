"""The admin site, under our own name, and the queue, known to every process."""

from django.apps import AppConfig
from django.contrib.admin import apps

from config.celery import app


class AdminConfig(apps.AdminConfig):
    """The admin is there for the library tables only."""

    default_site = "config.admin_site.LibraryAdminSite"


class ConfigConfig(AppConfig):
    """Commands that start and test the whole."""

    name = "config"
    queue = app  # loaded with the apps, so that work is sent where the settings say
