"""What the firm has decided about its plans: what comes first, and rain by month."""

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q

MONTHS = 12
MOST_RAIN_PERCENT = 80  # beyond that nothing would ever be finished


class Leaning(models.TextChoices):
    """What counts most once hard rules and promised dates are kept."""

    DATES = "dates", "Finish on the wanted dates, even if the plan changes"
    CALM = "calm", "Leave the published plan alone where promises allow"
    NEAR = "near", "Drive less before chasing wanted dates"


class PlanChoice(models.Model):
    """One row. ``rain_percent`` is the share of half-days that rain takes in a month.

    January first, empty for none at all; it lengthens only tasks that stop in rain.
    """

    leaning = models.CharField(
        "what comes first",
        max_length=10,
        choices=Leaning,
        default=Leaning.DATES,
    )
    rain_percent = models.JSONField(
        "half-days lost to rain, %", default=list, blank=True
    )
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="there_is_one_plan_choice")
        ]

    def __str__(self) -> str:
        return self.get_leaning_display()

    def clean(self) -> None:
        """Twelve whole percentages, or none."""
        known = [type(n) is int and 0 <= n <= MOST_RAIN_PERCENT for n in self.rain]
        if len(known) != MONTHS or not all(known):
            raise ValidationError(
                {"rain_percent": f"Give twelve figures from 0 to {MOST_RAIN_PERCENT}."}
            )

    @property
    def rain(self) -> tuple[int, ...]:
        """Percent by month, January first."""
        return tuple(self.rain_percent) or (0,) * MONTHS
