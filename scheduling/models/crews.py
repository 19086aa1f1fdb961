"""Crews, who is in them, and when they are away."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q


class Crew(models.Model):
    """People who work together and drive out together."""

    name = models.CharField(max_length=60, unique=True)
    lead = models.ForeignKey(
        "jobs.Person", models.PROTECT, null=True, blank=True, related_name="leads_crews"
    )
    base = models.CharField("starts from", max_length=120, blank=True)
    base_latitude = models.DecimalField(
        max_digits=9,
        decimal_places=6,
        null=True,
        blank=True,
        validators=[MinValueValidator(-90), MaxValueValidator(90)],
    )
    base_longitude = models.DecimalField(
        max_digits=9,
        decimal_places=6,
        null=True,
        blank=True,
        validators=[MinValueValidator(-180), MaxValueValidator(180)],
    )
    is_active = models.BooleanField("still working", default=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(base_latitude__isnull=True)
                | Q(base_latitude__range=(-90, 90)),
                name="crew_base_latitude_on_earth",
            ),
            models.CheckConstraint(
                condition=Q(base_longitude__isnull=True)
                | Q(base_longitude__range=(-180, 180)),
                name="crew_base_longitude_on_earth",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class CrewMember(models.Model):
    """A person in a crew, from one day to another (the last day included)."""

    crew = models.ForeignKey(Crew, models.CASCADE, related_name="members")
    person = models.ForeignKey(
        "jobs.Person", models.PROTECT, related_name="crew_places"
    )
    from_on = models.DateField("from")
    to_on = models.DateField("to", null=True, blank=True)

    class Meta:
        ordering = ["crew", "from_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(to_on__isnull=True) | Q(to_on__gte=F("from_on")),
                name="crew_place_in_order",
            ),
            models.UniqueConstraint(
                fields=["person"],
                condition=Q(to_on__isnull=True),
                name="one_open_crew_place_each",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} in {self.crew_id}"


class Half(models.TextChoices):
    """A half-day."""

    AM = "am", "morning"
    PM = "pm", "afternoon"


class Absence(models.Model):
    """A person or a whole crew away, both days included."""

    person = models.ForeignKey(
        "jobs.Person",
        models.CASCADE,
        null=True,
        blank=True,
        related_name="absences",
    )
    crew = models.ForeignKey(
        Crew, models.CASCADE, null=True, blank=True, related_name="absences"
    )
    from_on = models.DateField("from")
    to_on = models.DateField("to")
    reason = models.CharField(max_length=120)
    recorded_at = models.DateTimeField()
    cancelled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["from_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(to_on__gte=F("from_on")), name="absence_in_order"
            ),
            models.CheckConstraint(
                condition=Q(person__isnull=False, crew__isnull=True)
                | Q(person__isnull=True, crew__isnull=False),
                name="absence_of_person_or_crew",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.from_on} to {self.to_on}: {self.reason}"


class Closure(models.Model):
    """Days on which the whole firm is shut, both days included."""

    from_on = models.DateField("from")
    to_on = models.DateField("to")
    reason = models.CharField(max_length=120)

    class Meta:
        ordering = ["from_on"]
        constraints = [
            models.CheckConstraint(
                condition=Q(to_on__gte=F("from_on")), name="closure_in_order"
            )
        ]

    def __str__(self) -> str:
        return f"{self.from_on} to {self.to_on}: {self.reason}"


class LostDay(models.Model):
    """A day called off for weather, for one job or for all of them."""

    day = models.DateField()
    job = models.ForeignKey(
        "jobs.Job", models.CASCADE, null=True, blank=True, related_name="lost_days"
    )
    reason = models.CharField(max_length=120)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")
    cancelled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-day", "pk"]

    def __str__(self) -> str:
        return f"{self.day}: {self.reason}"
