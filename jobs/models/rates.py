"""What the office decided about the rates of tasks, from hours that came back."""

from django.db import models
from django.db.models import Q


class RateDecision(models.Model):
    """One decision about one kind of task. Append-only; the last one counts.

    ``factor`` multiplies the library's minutes in jobs opened from then on; 1 keeps the
    library's. ``evidence`` is what was shown when it was decided.
    """

    kind = models.CharField(max_length=60)  # key of the task kinds table
    factor = models.FloatField()
    accepted = models.BooleanField()  # False: the office kept the rate it had
    evidence = models.JSONField(default=dict)
    decided_at = models.DateTimeField()
    decided_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["kind", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(factor__gt=0), name="rate_factor_positive"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} × {self.factor:.2f}"
