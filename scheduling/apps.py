"""The scheduling app."""

from django.apps import AppConfig


class SchedulingConfig(AppConfig):
    """See DEVELOPERS.md for what lives here."""

    name = "scheduling"
