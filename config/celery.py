"""The Celery app: one queue, tasks found in each app's ``tasks`` module."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

app = Celery("eavesline")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
