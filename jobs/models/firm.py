"""The firm that runs this installation."""

from django.db import models
from django.db.models import Q


class Firm(models.Model):
    """One row: the firm's name, place and choices."""

    name = models.CharField(max_length=120)
    pack = models.CharField("law that applies", max_length=20, default="au-nsw")
    time_zone = models.CharField(max_length=60, default="Australia/Sydney")
    phone = models.CharField(max_length=40, blank=True)
    address = models.CharField(max_length=240, blank=True)
    starts_at = models.TimeField("morning half-day starts", default="07:00")
    midday_at = models.TimeField("afternoon half-day starts", default="11:30")
    ends_at = models.TimeField("work ends", default="15:30")
    works_saturday = models.BooleanField(default=False)
    risk_matrix = models.CharField(max_length=60, blank=True)
    risk_tolerance = models.CharField(max_length=60, blank=True)
    # by tool: noise_dba, vibration_ms2, source; what is not known is left out
    own_tools = models.JSONField(default=dict, blank=True)
    risk_own_matrix = models.TextField(blank=True)  # as YAML; empty until there is one
    # rule, limit_degc, clothing: when heat stops work; empty while there is no limit
    heat_limit = models.JSONField(default=dict, blank=True)
    tool_tests_off = models.BooleanField(
        "electrical tests hold no work where no law asks for them", default=False
    )
    is_demo = models.BooleanField(default=False, editable=False)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="there_is_one_firm"),
            models.CheckConstraint(
                condition=Q(starts_at__lt=models.F("midday_at"))
                & Q(midday_at__lt=models.F("ends_at")),
                name="firm_day_in_order",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_set_up(self) -> bool:
        """Whether the firm has its row; before that a stand-in goes about."""
        return not self._state.adding
