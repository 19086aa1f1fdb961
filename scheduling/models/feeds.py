"""Secret links to calendars."""

from django.db import models
from django.db.models import Q


class FeedLink(models.Model):
    """A link that lets a calendar program read one calendar until it is revoked."""

    class Kind(models.TextChoices):
        """Whose calendar it is."""

        CREW = "crew", "Crew"
        PERSON = "person", "Person"
        JOB = "job", "Job"
        FIRM = "firm", "Whole firm"
        DELIVERIES = "deliveries", "All deliveries"

    kind = models.CharField(max_length=10, choices=Kind)
    crew = models.ForeignKey(
        "scheduling.Crew", models.CASCADE, null=True, blank=True, related_name="+"
    )
    person = models.ForeignKey(
        "jobs.Person", models.CASCADE, null=True, blank=True, related_name="feed_links"
    )
    job = models.ForeignKey(
        "jobs.Job", models.CASCADE, null=True, blank=True, related_name="+"
    )
    nonce = models.CharField(
        max_length=32, unique=True
    )  # the link is a signature of it
    made_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    kind="crew",
                    crew__isnull=False,
                    person__isnull=True,
                    job__isnull=True,
                )
                | Q(
                    kind="person",
                    person__isnull=False,
                    crew__isnull=True,
                    job__isnull=True,
                )
                | Q(
                    kind="job",
                    job__isnull=False,
                    crew__isnull=True,
                    person__isnull=True,
                )
                | Q(
                    kind__in=["firm", "deliveries"],
                    job__isnull=True,
                    crew__isnull=True,
                    person__isnull=True,
                ),
                name="feed_link_of_one_thing",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} calendar link {self.pk}"
