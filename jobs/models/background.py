"""Work done in the background, with progress that a page can show."""

import uuid

from django.db import models
from django.db.models import Q


class BackgroundRun(models.Model):
    """One piece of background work, from asked for to done."""

    class State(models.TextChoices):
        """Where it stands."""

        WAITING = "waiting", "Waiting"
        RUNNING = "running", "Running"
        DONE = "done", "Done"
        FAILED = "failed", "Failed"
        STOPPED = "stopped", "Stopped"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    task = models.CharField(max_length=80)
    label = models.CharField(max_length=120)
    job = models.ForeignKey(
        "jobs.Job", models.CASCADE, null=True, blank=True, related_name="+"
    )
    asked_by = models.ForeignKey(
        "jobs.Person", models.PROTECT, null=True, related_name="+"
    )
    state = models.CharField(max_length=10, choices=State, default=State.WAITING)
    fraction = models.FloatField(default=0)
    says = models.CharField(max_length=240, blank=True)
    result = models.JSONField(default=dict, blank=True)
    result_url = models.CharField(max_length=240, blank=True)
    stop_asked = models.BooleanField(default=False)
    asked_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-asked_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(fraction__range=(0, 1)), name="fraction_0_to_1"
            )
        ]

    def __str__(self) -> str:
        return f"{self.label}: {self.state}"

    @property
    def is_over(self) -> bool:
        """Whether nothing more will happen to it."""
        return self.state in {
            self.State.DONE,
            self.State.FAILED,
            self.State.STOPPED,
        }
