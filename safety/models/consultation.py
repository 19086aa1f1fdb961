"""Who was asked about a statement, what they said, and what came of it."""

from django.db import models
from django.db.models import Q


class Consultation(models.Model):
    """One talk with the people who do the work, about one version. It is never changed:
    a slip is put right by one more.
    """

    client_uid = models.UUIDField(unique=True)
    statement = models.ForeignKey(
        "safety.Statement", models.PROTECT, related_name="consultations"
    )
    held_on = models.DateField()
    who = models.CharField(max_length=240)  # names; some are not of the firm
    said = models.TextField()
    came_of_it = models.TextField()
    noted_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["statement", "held_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(who="") & ~Q(said="") & ~Q(came_of_it=""),
                name="consultation_says_who_and_what",
            )
        ]

    def __str__(self) -> str:
        return f"{self.who} about statement {self.statement_id}"
