"""Shared plant: what the firm owns few of, so that jobs wait for it."""

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q

MOST_OF_A_KIND = 1000  # more than that nobody runs short of


class Plant(models.Model):
    """A kind of plant and how many the firm has.

    ``tool`` is a key of the tools table: a visit needs one for as long as it lasts when
    one of its tasks uses that tool.
    """

    tool = models.CharField("what it is", max_length=40, unique=True)
    name = models.CharField("what the firm calls it", max_length=80)
    count = models.PositiveSmallIntegerField(
        "how many", default=1, validators=[MaxValueValidator(MOST_OF_A_KIND)]
    )
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(count__lte=MOST_OF_A_KIND), name="plant_can_be_counted"
            )
        ]

    def __str__(self) -> str:
        return self.name


class PlantOut(models.Model):
    """Pieces of plant that cannot be used, both days included."""

    plant = models.ForeignKey(Plant, models.CASCADE, related_name="out")
    from_on = models.DateField("from")
    to_on = models.DateField("to")
    count = models.PositiveSmallIntegerField("how many", default=1)
    reason = models.CharField(max_length=120)
    recorded_at = models.DateTimeField()
    cancelled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["from_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(to_on__gte=F("from_on")), name="plant_out_in_order"
            ),
            models.CheckConstraint(
                condition=Q(count__gte=1), name="plant_out_at_least_one"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} × {self.plant_id}, {self.from_on} to {self.to_on}"
