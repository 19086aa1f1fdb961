"""Engineer's certificates, council approvals, and others that a firm adds."""

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import Q

from jobs.domain.approvals import Step

MOST_USUAL_DAYS = 365  # a longer wait is no usual one, and no plan looks so far


class ApprovalKind(models.Model):
    """A kind of approval. The office may add its own."""

    key = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    given_by = models.CharField(max_length=80)
    usual_days = models.PositiveSmallIntegerField(
        "usual calendar days from lodging to decision",
        default=14,
        validators=[MaxValueValidator(MOST_USUAL_DAYS)],
    )
    needed_before_booking = models.BooleanField(default=True)
    needed_when_attached = models.BooleanField(default=True)
    needed_when_freestanding = models.BooleanField(default=True)
    why = models.CharField(max_length=240, blank=True)
    basis = models.CharField(max_length=40, default="law")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(usual_days__lte=MOST_USUAL_DAYS),
                name="approval_usual_days_within_a_year",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Approval(models.Model):
    """One approval of one job: needed or not, and the steps it went through."""

    job = models.ForeignKey("jobs.Job", models.CASCADE, related_name="approvals")
    kind = models.ForeignKey(ApprovalKind, models.PROTECT, related_name="+")
    required = models.BooleanField(default=True)
    not_required_reason = models.CharField(max_length=240, blank=True)
    expected_on = models.DateField("expected back", null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["job", "kind"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "kind"], name="one_approval_per_kind"
            ),
            models.CheckConstraint(
                condition=Q(required=True) | ~Q(not_required_reason=""),
                name="not_required_needs_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} for job {self.job_id}"


class ApprovalEvent(models.Model):
    """One step of an approval. Append-only; a mistake is mended by a later step."""

    approval = models.ForeignKey(Approval, models.CASCADE, related_name="events")
    step = models.CharField(max_length=20, choices=[(s.value, s.says) for s in Step])
    happened_on = models.DateField()
    reference = models.CharField(max_length=80, blank=True)
    conditions = models.TextField(blank=True)
    expires_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)
    document = models.ForeignKey(
        "jobs.Document", models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["approval", "happened_on", "pk"]

    def __str__(self) -> str:
        return f"{self.step} {self.happened_on}"
