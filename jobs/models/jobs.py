"""Jobs and their dimensions."""

import uuid
from dataclasses import fields

from django.db import models
from django.db.models import Q

from jobs.domain.dimensions import Dimensions, Frame, Structure

STRUCTURE_NAMES = {
    Structure.ATTACHED_FLAT: "Attached flat roof",
    Structure.ATTACHED_GABLE: "Attached gable",
    Structure.FLAT_WITH_GABLE_BAY: "Flat roof with a raised gable bay",
    Structure.FREESTANDING_FLAT: "Freestanding flat carport",
    Structure.FREESTANDING_GABLE: "Freestanding gable carport",
    Structure.DECK_WITH_ROOF: "Raised deck with a roof",
}


class JobQuerySet(models.QuerySet["Job"]):
    """The vocabulary of jobs."""

    def open(self) -> "JobQuerySet":
        """Neither handed over nor called off."""
        return self.filter(closed_at__isnull=True)


class Job(models.Model):
    """One structure for one client at one site."""

    class Closed(models.TextChoices):
        """How a job ended."""

        HANDED_OVER = "handed_over", "Handed over"
        CALLED_OFF = "called_off", "Called off"

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    number = models.PositiveIntegerField(unique=True)
    title = models.CharField("what is it", max_length=120)
    client = models.ForeignKey("jobs.Client", models.PROTECT, related_name="jobs")
    site = models.ForeignKey("jobs.Site", models.PROTECT, related_name="jobs")
    structure = models.CharField(
        max_length=30, choices=[(k.value, v) for k, v in STRUCTURE_NAMES.items()]
    )
    method = models.CharField(max_length=60)  # key of the method it was made from
    site_lead = models.ForeignKey(
        "jobs.Person", models.PROTECT, null=True, blank=True, related_name="led_jobs"
    )
    wanted_on = models.DateField("client would like it by", null=True, blank=True)
    promised_on = models.DateField("promised by", null=True, blank=True)
    weight = models.PositiveSmallIntegerField(
        "how much lateness matters",
        choices=[(1, "As usual"), (2, "More than usual"), (3, "Most of all")],
        default=1,
    )
    note = models.TextField(blank=True)
    created_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_how = models.CharField(max_length=20, choices=Closed, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True, closed_how="")
                | (Q(closed_at__isnull=False) & ~Q(closed_how="")),
                name="job_closed_with_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(weight__range=(1, 3)), name="job_weight_1_to_3"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.title}"

    @property
    def chain(self) -> str:
        """The ledger chain this job's entries are in."""
        return f"job-{self.pk}"

    @property
    def structure_kind(self) -> Structure:
        """The structure as the engines know it."""
        return Structure(self.structure)

    @property
    def is_open(self) -> bool:
        """Whether there is still work to do."""
        return self.closed_at is None


class JobDimensions(models.Model):
    """The dimensions of a job's structure; see the domain class for their meaning."""

    job = models.OneToOneField(Job, models.CASCADE, related_name="dimensions")
    length_m = models.FloatField("length along the house, m")
    projection_m = models.FloatField("projection out from the house, m")
    pitch_deg = models.FloatField("roof pitch, degrees")
    clear_height_m = models.FloatField("clear height under the outer beam, m")
    overhang_m = models.FloatField("overhang past the outer beam, m", default=0.3)
    post_spacing_max_m = models.FloatField(
        "posts no further apart than, m", default=3.6
    )
    rafter_spacing_max_m = models.FloatField(
        "rafters no further apart than, m", default=0.9
    )
    purlin_spacing_max_m = models.FloatField(
        "purlins no further apart than, m", default=0.9
    )
    sheet_cover_m = models.FloatField("cover of one sheet, m", default=0.76)
    slab_fall_mm = models.FloatField(
        "floor falls away from the house by, mm", default=0
    )
    slab_cross_fall_mm = models.FloatField(
        "floor falls along the house by, mm", default=0
    )
    slab_thickness_mm = models.FloatField("slab thickness, mm", default=100)
    on_footings = models.BooleanField("posts stand in dug footings", default=False)
    footing_depth_m = models.FloatField("depth of a footing, m", default=0.6)
    footing_diameter_m = models.FloatField("width of a footing, m", default=0.4)
    anchors_per_post = models.PositiveSmallIntegerField(
        "anchors to each post", default=4
    )
    gable_bay_length_m = models.FloatField("raised gable bay length, m", default=0)
    gable_bay_pitch_deg = models.FloatField(
        "raised gable bay pitch, degrees", default=0
    )
    deck_height_m = models.FloatField("deck above the ground, m", default=0)
    joist_spacing_max_m = models.FloatField(
        "deck joists no further apart than, m", default=0.45
    )
    bearer_spacing_max_m = models.FloatField(
        "deck bearers no further apart than, m", default=2.4
    )
    stair_width_m = models.FloatField("width of the stair, m", default=1.0)
    frame = models.CharField(
        max_length=20,
        choices=[
            (Frame.LIGHT_STEEL.value, "Light steel"),
            (Frame.TIMBER.value, "Timber"),
        ],
        default=Frame.LIGHT_STEEL.value,
    )
    beam_section = models.CharField(max_length=60, default="beam_light_steel_150")
    rafter_section = models.CharField(max_length=60, default="rafter_light_steel_100")
    purlin_section = models.CharField(max_length=60, default="purlin_light_steel_61")
    post_section = models.CharField(max_length=60, default="post_light_steel_90")
    sheet_profile = models.CharField(max_length=60, default="sheet_steel_trapezoidal")
    joist_section = models.CharField(max_length=60, default="joist_timber_140")
    bearer_section = models.CharField(max_length=60, default="bearer_timber_190")
    board_section = models.CharField(max_length=60, default="board_timber_137")
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(length_m__gt=0)
                & Q(projection_m__gt=0)
                & Q(clear_height_m__gt=0)
                & Q(pitch_deg__gte=0)
                & Q(pitch_deg__lt=90),
                name="dimensions_are_positive",
            )
        ]

    def __str__(self) -> str:
        return f"{self.length_m:.2f} × {self.projection_m:.2f} m"

    def plain(self) -> Dimensions:
        """These columns as the plain dimensions the take-off reads."""
        values = {f.name: getattr(self, f.name) for f in fields(Dimensions)}
        values["frame"] = Frame(self.frame)
        return Dimensions(**values)


class FactsRevision(models.Model):
    """The facts of a job from one moment until the next revision.

    Append-only, so that a plan can be judged by the facts of any past day.
    """

    job = models.ForeignKey(Job, models.PROTECT, related_name="facts_revisions")
    number = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    facts = models.JSONField()
    cause = models.CharField(max_length=160)
    at = models.DateTimeField()
    actor = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["job", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "number"], name="facts_revision_numbered"
            )
        ]
        indexes = [models.Index(fields=["job", "-at"], name="facts_by_time")]

    def __str__(self) -> str:
        return f"facts {self.number} of job {self.job_id}"
