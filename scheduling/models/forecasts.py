"""Forecasts as they were made, kept to be compared with what happened."""

from django.db import models
from django.db.models import F, Q


class Forecast(models.Model):
    """When a job was forecast to be done, at the time a plan was published.

    Half of such jobs are done by ``half_on`` (P50), four in five by ``most_on`` (P80).
    Never changed; kept although the plan moves on.
    """

    job = models.ForeignKey("jobs.Job", models.CASCADE, related_name="forecasts")
    plan_number = models.PositiveIntegerField()
    made_at = models.DateTimeField()
    half_on = models.DateField()
    most_on = models.DateField()
    evidence = models.JSONField(default=dict)  # counts of what it rests on

    class Meta:
        ordering = ["job", "plan_number"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "plan_number"], name="forecast_once_per_plan"
            ),
            models.CheckConstraint(
                condition=Q(most_on__gte=F("half_on")), name="forecast_in_order"
            ),
        ]

    def __str__(self) -> str:
        return f"job {self.job_id}: {self.half_on} to {self.most_on}"
