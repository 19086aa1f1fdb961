"""Work that was stopped, and how it was let go on."""

from django.db import models
from django.db.models import Q


class StopWork(models.Model):
    """All work on a job stopped by somebody on site, until the office or the owner has
    looked into it and released it with what they found. A row is never taken away.
    """

    class Kind(models.TextChoices):
        """What happened."""

        INCIDENT = "incident", "Somebody was hurt, or nearly"
        UNSAFE = "unsafe", "It is not safe to go on"

    class Statement(models.TextChoices):
        """What the review says of the statement."""

        FITS = "fits", "It was read again, and still fits"
        NEW = "new", "A new version was issued since"

    client_uid = models.UUIDField(unique=True)
    job = models.ForeignKey("jobs.Job", models.PROTECT, related_name="stops")
    kind = models.CharField(max_length=10, choices=Kind)
    what = models.TextField()
    stopped_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")
    device_at = models.DateTimeField()
    at = models.DateTimeField()
    released_by = models.ForeignKey(
        "jobs.Person", models.PROTECT, null=True, blank=True, related_name="+"
    )
    released_at = models.DateTimeField(null=True, blank=True)
    found = models.TextField(blank=True)
    statement_says = models.CharField(max_length=10, choices=Statement, blank=True)

    class Meta:
        ordering = ["job", "-device_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(what=""), name="stop_says_what"),
            models.CheckConstraint(
                condition=Q(
                    released_at__isnull=True,
                    released_by__isnull=True,
                    found="",
                    statement_says="",
                )
                | (
                    Q(released_at__isnull=False, released_by__isnull=False)
                    & ~Q(found="")
                    & ~Q(statement_says="")
                ),
                name="stop_released_with_a_finding",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} on job {self.job_id}"
