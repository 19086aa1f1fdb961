"""Visits, their bookings in the published plan, and drafts of the next plan.

The published plan is the set of bookings. Slots repeat each booking half-day by
half-day so that the database itself can refuse a crew or a person booked twice.
"""

import uuid

from django.db import models
from django.db.models import F, Q

from scheduling.models.choices import Leaning
from scheduling.models.crews import Half


class Visit(models.Model):
    """A run of tasks that one crew does without a break set from outside.

    ``halves`` maps the people at work to the half-days needed ({"2": 5, "3": 4});
    ``links`` says what it waits for ([{"after", "lag_hours", "lag_kind", "why"}], where
    ``after`` is an ordinal); both are what the visit cutter answered.
    """

    job = models.ForeignKey("jobs.Job", models.CASCADE, related_name="visits")
    ordinal = models.PositiveSmallIntegerField()
    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    name = models.CharField(max_length=120)
    tasks = models.ManyToManyField("jobs.Task", related_name="visits")
    person_minutes = models.FloatField()
    crew_min = models.PositiveSmallIntegerField(default=2)
    crew_max = models.PositiveSmallIntegerField(default=4)
    halves = models.JSONField(default=dict)
    links = models.JSONField(default=list, blank=True)
    tickets = models.JSONField(default=list, blank=True)  # keys of ticket kinds
    trade = models.CharField(max_length=40, blank=True)  # empty: the firm's own crews
    stops_in_rain = models.BooleanField(default=False)
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["job", "ordinal"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "ordinal"],
                condition=Q(dropped_at__isnull=True),
                name="visit_ordinal_in_job",
            )
        ]

    def __str__(self) -> str:
        return f"visit {self.ordinal} of job {self.job_id}"


class Booking(models.Model):
    """A visit in the published plan. Kept when cancelled, so calendars can say so.

    ``sequence`` rises only when crew or time change; it is the calendar's SEQUENCE.
    """

    visit = models.OneToOneField(Visit, models.PROTECT, related_name="booking")
    crew = models.ForeignKey("scheduling.Crew", models.PROTECT, related_name="bookings")
    start_on = models.DateField()
    start_half = models.CharField(max_length=2, choices=Half)
    end_on = models.DateField()  # last half-day worked, included
    end_half = models.CharField(max_length=2, choices=Half)
    is_pinned = models.BooleanField(default=False)
    why = models.CharField(max_length=240, blank=True)  # why not sooner, at that time
    cancelled_at = models.DateTimeField(null=True, blank=True)
    sequence = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField()
    published_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["start_on", "start_half", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(end_on__gt=F("start_on"))
                | (
                    Q(end_on=F("start_on"))
                    & ~Q(start_half=Half.PM.value, end_half=Half.AM.value)
                ),
                name="booking_in_order",
            )
        ]
        indexes = [
            models.Index(fields=["crew", "start_on"], name="booking_by_crew"),
            models.Index(fields=["start_on", "end_on"], name="booking_by_day"),
        ]

    def __str__(self) -> str:
        return f"booking of {self.visit_id} from {self.start_on} {self.start_half}"


class BookedDay(models.Model):
    """One day of a booking as a crew's calendar was told of it: one event each.

    Numbered within the visit, so that a visit that moves keeps its events, and a visit
    that gets shorter, or goes to another crew, leaves days behind that the calendars of
    the crew are told are off.
    """

    booking = models.ForeignKey(Booking, models.CASCADE, related_name="days")
    crew = models.ForeignKey("scheduling.Crew", models.PROTECT, related_name="+")
    number = models.PositiveSmallIntegerField()
    day = models.DateField()
    first_half = models.CharField(max_length=2, choices=Half)
    last_half = models.CharField(max_length=2, choices=Half)
    sequence = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField()
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["booking", "number", "sequence"]
        constraints = [
            models.UniqueConstraint(
                fields=["booking", "crew", "number"], name="booked_day_numbered"
            )
        ]
        indexes = [models.Index(fields=["day"], name="booked_day_by_day")]

    def __str__(self) -> str:
        return f"day {self.number} of booking {self.booking_id}"


class CrewSlot(models.Model):
    """One half-day of a crew taken by a booking."""

    booking = models.ForeignKey(Booking, models.CASCADE, related_name="crew_slots")
    crew = models.ForeignKey("scheduling.Crew", models.PROTECT, related_name="slots")
    day = models.DateField()
    half = models.CharField(max_length=2, choices=Half)

    class Meta:
        ordering = ["day", "half"]
        constraints = [
            models.UniqueConstraint(
                fields=["crew", "day", "half"], name="crew_booked_once_per_half_day"
            )
        ]

    def __str__(self) -> str:
        return f"{self.crew_id} {self.day} {self.half}"


class PersonSlot(models.Model):
    """One half-day of a person taken by a booking."""

    booking = models.ForeignKey(Booking, models.CASCADE, related_name="person_slots")
    person = models.ForeignKey("jobs.Person", models.PROTECT, related_name="slots")
    day = models.DateField()
    half = models.CharField(max_length=2, choices=Half)

    class Meta:
        ordering = ["day", "half"]
        constraints = [
            models.UniqueConstraint(
                fields=["person", "day", "half"],
                name="person_booked_once_per_half_day",
            )
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.day} {self.half}"


class PlanHead(models.Model):
    """One row: the number of the published plan. Its lock puts publishers in line."""

    number = models.PositiveIntegerField(default=0)
    published_at = models.DateTimeField(null=True, blank=True)
    published_by = models.ForeignKey(
        "jobs.Person", models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="there_is_one_plan_head")
        ]

    def __str__(self) -> str:
        return f"plan {self.number}"


class Draft(models.Model):
    """A proposed plan, made by the solver or by hand, from one published plan."""

    class State(models.TextChoices):
        """What became of it."""

        MAKING = "making", "Being worked out"
        READY = "ready", "Draft"
        PUBLISHED = "published", "Published"
        DISCARDED = "discarded", "Discarded"
        FAILED = "failed", "Failed"

    run = models.OneToOneField(
        "jobs.BackgroundRun",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="draft",
    )
    state = models.CharField(max_length=10, choices=State, default=State.MAKING)
    why = models.CharField(max_length=160, blank=True)
    based_on = models.PositiveIntegerField()  # number of the published plan
    from_on = models.DateField()
    seed = models.PositiveIntegerField(default=1)
    leaning = models.CharField(max_length=10, choices=Leaning, default=Leaning.DATES)
    mends = models.BooleanField(default=False)  # made because something went wrong
    from_site = models.BooleanField(default=False)  # a lead called a day off
    cost = models.JSONField(default=dict, blank=True)  # objective by name
    bound = models.JSONField(default=dict, blank=True)
    notes = models.JSONField(default=list, blank=True)  # sentences: what could not be
    trades = models.JSONField(default=dict, blank=True)  # half-day by visit (id)
    told = models.JSONField(default=dict, blank=True)  # once published: whom, and what
    made_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"draft {self.pk} ({self.state})"


class DraftBooking(models.Model):
    """Where a draft would put a visit."""

    draft = models.ForeignKey(Draft, models.CASCADE, related_name="bookings")
    visit = models.ForeignKey(Visit, models.CASCADE, related_name="+")
    crew = models.ForeignKey("scheduling.Crew", models.CASCADE, related_name="+")
    start_on = models.DateField()
    start_half = models.CharField(max_length=2, choices=Half)
    end_on = models.DateField()
    end_half = models.CharField(max_length=2, choices=Half)
    is_pinned = models.BooleanField(default=False)
    why = models.CharField(max_length=240, blank=True)

    class Meta:
        ordering = ["draft", "start_on", "start_half"]
        constraints = [
            models.UniqueConstraint(
                fields=["draft", "visit"], name="draft_places_a_visit_once"
            )
        ]

    def __str__(self) -> str:
        return f"draft {self.draft_id}: visit {self.visit_id}"
