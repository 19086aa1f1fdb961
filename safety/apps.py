"""The safety app."""

from django.apps import AppConfig


class SafetyConfig(AppConfig):
    """See DEVELOPERS.md for what lives here."""

    name = "safety"
