"""The base app."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Jobs, people, approvals, materials, the ledger and the hold registry."""

    name = "jobs"
