"""The day on site: the check, who was there, and hold-point measurements.

Rows are made on a phone that may be offline: each carries an id made on the phone, the
phone's time and the server's. ``device_at`` is when it happened and is never later than
``at``, when the server took it in; a page shows both where they lie apart.
"""

from django.db import models
from django.db.models import Q

from safety.domain.heat_limit import HeatDay


class DailyCheck(models.Model):
    """One hazard check of one job. Several a day are allowed; the last one counts."""

    class Outcome(models.TextChoices):
        """What the site lead decided."""

        GO = "go", "Go"
        GO_WITH_CHANGES = "go_with_changes", "Go with changes"
        NO_GO = "no_go", "No go"

    client_uid = models.UUIDField(unique=True)
    job = models.ForeignKey("jobs.Job", models.PROTECT, related_name="daily_checks")
    day = models.DateField()
    statement = models.ForeignKey(
        "safety.Statement", models.PROTECT, null=True, blank=True, related_name="+"
    )
    outcome = models.CharField(max_length=20, choices=Outcome)
    note = models.TextField(blank=True)
    wind_gust_ms = models.FloatField("strongest gust, m/s", null=True, blank=True)
    raining = models.BooleanField(default=False)
    temperature_c = models.FloatField("temperature, °C", null=True, blank=True)
    humidity_pct = models.FloatField("relative humidity, %", null=True, blank=True)
    wbgt_degc = models.FloatField(
        "measured wet bulb globe temperature, °C", null=True, blank=True
    )
    new_to_heat = models.BooleanField("somebody is new to the heat", default=False)
    uv_index = models.FloatField("highest UV index", null=True, blank=True)
    photo = models.ForeignKey(
        "jobs.Document", models.PROTECT, null=True, blank=True, related_name="+"
    )
    open_holds = models.JSONField(default=list, blank=True)  # rules shown to the lead
    checked_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")
    device_at = models.DateTimeField()
    at = models.DateTimeField()

    class Meta:
        ordering = ["job", "day", "device_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(outcome="go") | ~Q(note=""),
                name="changes_and_no_go_are_explained",
            )
        ]
        indexes = [models.Index(fields=["day", "job"], name="check_by_day")]

    def __str__(self) -> str:
        return f"{self.day} {self.outcome}"

    @property
    def heat(self) -> HeatDay:
        """What was read of the heat."""
        return HeatDay(
            self.temperature_c, self.humidity_pct, self.wbgt_degc, self.new_to_heat
        )


class CheckAnswer(models.Model):
    """One answered question, with its wording as it was asked."""

    class Answer(models.TextChoices):
        """The answers there are."""

        YES = "yes", "Yes"
        NO = "no", "No"
        NOT_HERE = "not_here", "Not here"

    check_of = models.ForeignKey(DailyCheck, models.CASCADE, related_name="answers")
    position = models.PositiveSmallIntegerField()
    key = models.CharField(max_length=200)
    asks = models.CharField(max_length=300)
    answer = models.CharField(max_length=10, choices=Answer)
    note = models.CharField(max_length=240, blank=True)

    class Meta:
        ordering = ["check_of", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["check_of", "key"], name="question_once_per_check"
            )
        ]

    def __str__(self) -> str:
        return f"{self.asks} {self.answer}"


class Attendance(models.Model):
    """A person who started work on a day. Evidence that work went ahead.

    A mistaken row is taken back with a reason, and stays.
    """

    client_uid = models.UUIDField(unique=True)
    job = models.ForeignKey("jobs.Job", models.PROTECT, related_name="attendances")
    day = models.DateField()
    person = models.ForeignKey(
        "jobs.Person", models.PROTECT, related_name="attendances"
    )
    recorded_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")
    device_at = models.DateTimeField()
    at = models.DateTimeField()
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_why = models.CharField(max_length=240, blank=True)

    class Meta:
        ordering = ["job", "day", "device_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "day", "person"],
                condition=Q(taken_back_at__isnull=True),
                name="attendance_once_per_day",
            ),
            models.CheckConstraint(
                condition=Q(taken_back_at__isnull=True) | ~Q(taken_back_why=""),
                name="attendance_taken_back_with_a_reason",
            ),
        ]
        indexes = [models.Index(fields=["day", "job"], name="attendance_by_day")]

    def __str__(self) -> str:
        return f"{self.person_id} on {self.day}"


class Measurement(models.Model):
    """A hold point measured: values in, worst difference and tolerance out."""

    client_uid = models.UUIDField(unique=True)
    task = models.ForeignKey("jobs.Task", models.PROTECT, related_name="measurements")
    kind = models.CharField(max_length=20)
    values = models.JSONField()  # {"diagonal_a_mm": 7211, "diagonal_b_mm": 7214}
    difference_mm = models.FloatField(null=True, blank=True)
    tolerance_mm = models.FloatField(null=True, blank=True)
    passed = models.BooleanField()
    note = models.CharField(max_length=240, blank=True)
    measured_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")
    device_at = models.DateTimeField()
    at = models.DateTimeField()

    class Meta:
        ordering = ["task", "device_at"]

    def __str__(self) -> str:
        return f"{self.kind}: {'passed' if self.passed else 'failed'}"
