"""What was open when work went ahead: a cache of the holds of past moments."""

from django.db import models


class JudgedMoment(models.Model):
    """The holds of one job at one moment at which somebody worked.

    Only a cache: it can be thrown away and is then worked out again by the same call
    that every page makes for the present. ``as_known_at`` says which records it knew;
    a record that arrives later and speaks of an earlier time has it judged again.
    """

    job = models.ForeignKey("jobs.Job", models.CASCADE, related_name="judged_moments")
    at = models.DateTimeField()
    holds = models.JSONField(default=list)
    as_known_at = models.DateTimeField()

    class Meta:
        ordering = ["job", "at"]
        constraints = [
            models.UniqueConstraint(fields=["job", "at"], name="moment_judged_once")
        ]

    def __str__(self) -> str:
        return f"job {self.job_id} at {self.at}"
