"""The bill of materials of a job."""

from django.db import models
from django.db.models import Q


class BomLine(models.Model):
    """One line to be ordered: so many of a part, for one kind of piece."""

    job = models.ForeignKey("jobs.Job", models.CASCADE, related_name="bom_lines")
    position = models.PositiveIntegerField()
    code = models.CharField("supplier's code", max_length=60, blank=True)
    part = models.CharField(max_length=60, blank=True)  # piece key tasks wait for
    description = models.CharField(max_length=200)
    unit = models.CharField(max_length=20, default="each")
    quantity = models.FloatField()
    length_m = models.FloatField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["job", "position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity__gt=0), name="bom_quantity_positive"
            )
        ]

    def __str__(self) -> str:
        return self.description
