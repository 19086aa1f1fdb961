"""Tools on a lead that the firm has listed as its own, and their electrical tests."""

from django.db import models
from django.db.models import Q


class ToolItem(models.Model):
    """One tool of the firm's. It counts while it is on the list; the row stays."""

    kind = models.CharField(max_length=60)  # key of the tools table
    name = models.CharField(max_length=60)  # "Drop saw 1", as it is written on it
    added_by = models.ForeignKey(
        "jobs.Person", models.PROTECT, null=True, blank=True, related_name="+"
    )
    added_at = models.DateTimeField()
    gone_at = models.DateTimeField(null=True, blank=True)
    gone_why = models.CharField(max_length=240, blank=True)

    class Meta:
        ordering = ["kind", "name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["name"],
                condition=Q(gone_at__isnull=True),
                name="tool_name_once_on_the_list",
            ),
            models.CheckConstraint(
                condition=Q(gone_at__isnull=True) | ~Q(gone_why=""),
                name="tool_gone_with_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ToolTest(models.Model):
    """One electrical test. Never changed: a mistaken one is taken back, and stays."""

    item = models.ForeignKey(ToolItem, models.PROTECT, related_name="tests")
    tested_on = models.DateField()
    tested_by = models.CharField(max_length=120)
    tag = models.CharField(max_length=60, blank=True)
    passed = models.BooleanField()
    # the last day it is good for, where the tester gave one; else the place's law counts
    next_due = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=240, blank=True)
    recorded_by = models.ForeignKey(
        "jobs.Person", models.PROTECT, null=True, blank=True, related_name="+"
    )
    at = models.DateTimeField()
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_why = models.CharField(max_length=240, blank=True)

    class Meta:
        ordering = ["item", "tested_on", "at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(next_due__isnull=True)
                | Q(passed=True, next_due__gte=models.F("tested_on")),
                name="tool_test_due_after_it_passed",
            ),
            models.CheckConstraint(
                condition=Q(taken_back_at__isnull=True) | ~Q(taken_back_why=""),
                name="tool_test_taken_back_with_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item_id} on {self.tested_on}"
