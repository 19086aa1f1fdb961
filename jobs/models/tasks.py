"""The task sequence of one job, copied from its method and then the job's own."""

from django.db import models
from django.db.models import F, Q

from jobs.domain.methods import LagKind

LAG_KINDS = [
    (LagKind.CALENDAR.value, "Hours by the clock"),
    (LagKind.WORKING.value, "Working hours"),
]


class Task(models.Model):
    """One task of one job."""

    job = models.ForeignKey("jobs.Job", models.CASCADE, related_name="tasks")
    key = models.SlugField(max_length=60)
    position = models.PositiveIntegerField()
    kind = models.CharField(max_length=60)
    name = models.CharField(max_length=120)
    spec = models.JSONField()  # the rest of the domain TaskSpec; links are rows
    started_at = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.ForeignKey(
        "jobs.Person", models.PROTECT, null=True, blank=True, related_name="+"
    )
    # Of all people together: what it took, and what its rate said on that day.
    actual_minutes = models.PositiveIntegerField(null=True, blank=True)
    estimated_minutes = models.FloatField(null=True, blank=True)
    rate_factor = models.FloatField(
        default=1.0
    )  # on the library's minutes, when copied
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["job", "position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["job", "key"], name="task_key_in_job"),
            models.CheckConstraint(
                condition=Q(done_at__isnull=True)
                | Q(started_at__isnull=True)
                | Q(done_at__gte=F("started_at")),
                name="task_done_after_start",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class TaskLink(models.Model):
    """``successor`` may start ``lag_hours`` after ``predecessor`` is done."""

    predecessor = models.ForeignKey(Task, models.CASCADE, related_name="links_out")
    successor = models.ForeignKey(Task, models.CASCADE, related_name="links_in")
    lag_hours = models.FloatField(default=0)
    lag_kind = models.CharField(
        max_length=10,
        choices=LAG_KINDS,
        default=LagKind.CALENDAR.value,
    )
    why = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering = ["successor", "predecessor"]
        constraints = [
            models.UniqueConstraint(
                fields=["predecessor", "successor"], name="one_link_per_pair"
            ),
            models.CheckConstraint(
                condition=~Q(predecessor=F("successor")), name="no_link_to_itself"
            ),
            models.CheckConstraint(
                condition=Q(lag_hours__gte=0), name="lag_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.predecessor_id} → {self.successor_id}"
