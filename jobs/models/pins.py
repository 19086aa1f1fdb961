"""A short secret to sign with on somebody else's phone."""

from django.db import models


class SitePin(models.Model):
    """What a person types to sign on another's phone; kept as passwords are.

    One that the office handed out counts once: the person then chooses their own.
    """

    person = models.OneToOneField(
        "jobs.Person", models.CASCADE, related_name="site_pin"
    )
    secret = models.CharField(max_length=128)
    once = models.BooleanField("to be replaced when used", default=False)
    set_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")
    set_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"PIN of {self.person_id}"
