"""Statements: drafts, reviews, issued versions, and who signed on to which."""

from django.db import models
from django.db.models import Q

from safety.domain.overrides import Action


class PlanEdit(models.Model):
    """A reviewer's change to the computed hazard plan of a job, with a reason.

    Edits are kept: taking one back sets ``undone_at``.
    """

    class Does(models.TextChoices):
        """What the edit does."""

        WORDS = Action.EDIT.value, "Change the words"
        RATING = Action.RATE.value, "Change the rating"
        CHANGE_CONTROL = Action.EDIT_CONTROL.value, "Change a control"
        ADD_CONTROL = Action.ADD_CONTROL.value, "Add a control"
        REMOVE_CONTROL = Action.REMOVE_CONTROL.value, "Leave a control out"
        REMOVE = Action.REMOVE.value, "Leave the hazard out"
        ADD = Action.ADD.value, "Add a hazard"

    job = models.ForeignKey("jobs.Job", models.CASCADE, related_name="plan_edits")
    does = models.CharField(max_length=20, choices=Does)
    line_key = models.CharField(max_length=200)
    control_key = models.CharField(max_length=120, blank=True)
    changes = models.JSONField(default=dict, blank=True)
    reason = models.CharField(max_length=240)
    made_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")
    by_name = models.CharField(max_length=120)  # as it was then; it prints
    made_at = models.DateTimeField()
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["job", "made_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(reason=""), name="plan_edit_has_a_reason"
            )
        ]

    def __str__(self) -> str:
        return f"{self.does} {self.line_key}"


class Statement(models.Model):
    """One version of a job's statement.

    From review on its content is frozen; the digest is of that content. A draft is never
    stored: it is what the engine says now. Issuing a version supersedes the one before.
    """

    class State(models.TextChoices):
        """Where the version stands."""

        REVIEWED = "reviewed", "Reviewed"
        ISSUED = "issued", "Issued"
        SUPERSEDED = "superseded", "Superseded"
        DROPPED = "dropped", "Dropped"  # reviewed, then never issued

    job = models.ForeignKey("jobs.Job", models.PROTECT, related_name="statements")
    number = models.PositiveIntegerField()
    state = models.CharField(max_length=10, choices=State)
    content = models.JSONField()
    digest = models.CharField(max_length=64)
    law_on = models.DateField("day whose law it follows")
    by_law = models.BooleanField("asked for by law")
    rests_on = models.JSONField()  # digests of all that it was made from
    facts = models.ForeignKey("jobs.FactsRevision", models.PROTECT, related_name="+")
    reviewed_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")
    reviewed_at = models.DateTimeField()
    review_note = models.TextField(blank=True)
    issued_by = models.ForeignKey(
        "jobs.Person", models.PROTECT, null=True, blank=True, related_name="+"
    )
    issued_at = models.DateTimeField(null=True, blank=True)
    dropped_at = models.DateTimeField(null=True, blank=True)
    superseded_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["job", "-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "number"], name="statement_numbered_in_job"
            ),
            models.UniqueConstraint(
                fields=["job"],
                condition=Q(state="issued"),
                name="one_issued_statement_per_job",
            ),
            models.CheckConstraint(
                condition=Q(state__in=["reviewed", "dropped"])
                | Q(issued_at__isnull=False, issued_by__isnull=False),
                name="issued_statement_says_by_whom",
            ),
        ]

    def __str__(self) -> str:
        return f"statement {self.number} of job {self.job_id}"


class SignOn(models.Model):
    """A person's word that they have read and will follow one version."""

    class How(models.TextChoices):
        """How they signed."""

        OWN_LOGIN = "own_login", "Own login"
        LEADS_PHONE = "leads_phone", "On the site lead's phone"
        OWN_PIN = "own_pin", "Own PIN, on the site lead's phone"

    client_uid = models.UUIDField(unique=True)
    statement = models.ForeignKey(Statement, models.PROTECT, related_name="sign_ons")
    person = models.ForeignKey("jobs.Person", models.PROTECT, related_name="sign_ons")
    how = models.CharField(max_length=20, choices=How)
    typed_name = models.CharField(max_length=120, blank=True)  # or drawn, with a PIN
    strokes = models.JSONField(default=list, blank=True)  # drawn beside the typed name
    witnessed_by = models.ForeignKey(
        "jobs.Person", models.PROTECT, null=True, blank=True, related_name="+"
    )
    device_at = models.DateTimeField()
    at = models.DateTimeField()

    class Meta:
        ordering = ["at"]
        constraints = [
            models.UniqueConstraint(
                fields=["statement", "person"], name="sign_on_once_per_version"
            ),
            models.CheckConstraint(
                condition=Q(how="own_login") | Q(witnessed_by__isnull=False),
                name="sign_on_elsewhere_is_witnessed",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} signed {self.statement_id}"
