"""Suppliers, deliveries, and what really came off the truck."""

import uuid

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import Q

from scheduling.models.crews import Half

MOST_LEAD_DAYS = 365  # a longer wait is no usual one, and no plan looks so far
MOST_OF_A_LINE = 1e6  # of one line on one load


class Supplier(models.Model):
    """Who delivers."""

    name = models.CharField(max_length=120, unique=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    usual_lead_days = models.PositiveSmallIntegerField(
        default=10, validators=[MaxValueValidator(MOST_LEAD_DAYS)]
    )
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(usual_lead_days__lte=MOST_LEAD_DAYS),
                name="supplier_delivers_within_a_year",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Delivery(models.Model):
    """One load for one job."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    job = models.ForeignKey("jobs.Job", models.CASCADE, related_name="deliveries")
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="deliveries")
    reference = models.CharField(max_length=60, blank=True)
    ordered_on = models.DateField(null=True, blank=True)
    due_on = models.DateField("due", null=True, blank=True)
    due_half = models.CharField(max_length=2, choices=Half, default=Half.AM)
    note = models.CharField(max_length=240, blank=True)
    created_at = models.DateTimeField()
    cancelled_at = models.DateTimeField(null=True, blank=True)
    sequence = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["due_on", "pk"]
        verbose_name_plural = "deliveries"

    def __str__(self) -> str:
        return f"delivery {self.pk} for job {self.job_id}"


class DeliveryLine(models.Model):
    """How many of a bill-of-materials line this load should bring."""

    delivery = models.ForeignKey(Delivery, models.CASCADE, related_name="lines")
    bom_line = models.ForeignKey(
        "jobs.BomLine", models.PROTECT, related_name="delivery_lines"
    )
    ordered = models.FloatField()

    class Meta:
        ordering = ["delivery", "bom_line__position"]
        constraints = [
            models.UniqueConstraint(
                fields=["delivery", "bom_line"], name="bom_line_once_per_delivery"
            ),
            models.CheckConstraint(condition=Q(ordered__gt=0), name="ordered_positive"),
            models.CheckConstraint(
                condition=Q(ordered__lte=MOST_OF_A_LINE), name="ordered_fits_a_load"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.ordered:g} × {self.bom_line_id}"


class Receipt(models.Model):
    """A load checked in, on a phone that may have been offline."""

    delivery = models.ForeignKey(Delivery, models.PROTECT, related_name="receipts")
    client_uid = models.UUIDField(unique=True)  # made on the phone; sent twice is once
    device_at = models.DateTimeField()
    received_at = models.DateTimeField()
    received_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")
    note = models.TextField(blank=True)
    photo = models.ForeignKey(
        "jobs.Document", models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["received_at"]

    def __str__(self) -> str:
        return f"receipt of delivery {self.delivery_id}"


class ReceiptLine(models.Model):
    """What came of one line: good, damaged, and wrong ones are counted apart."""

    receipt = models.ForeignKey(Receipt, models.CASCADE, related_name="lines")
    line = models.ForeignKey(DeliveryLine, models.PROTECT, related_name="received")
    good = models.FloatField(default=0)
    damaged = models.FloatField(default=0)
    wrong = models.FloatField(default=0)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["receipt", "line"], name="line_once_per_receipt"
            ),
            models.CheckConstraint(
                condition=Q(good__gte=0) & Q(damaged__gte=0) & Q(wrong__gte=0),
                name="received_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.good:g} good"
