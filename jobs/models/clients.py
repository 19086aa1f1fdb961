"""Clients, and the sites that the work happens at."""

from dataclasses import fields

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from jobs.domain.site_facts import Access, ExistingRoof, Ground, SiteFacts

MOST_DRIVE_MINUTES = 1440  # a day and a night

ROOFS = [
    (ExistingRoof.NONE.value, "No existing roof"),
    (ExistingRoof.STEEL_SHEET.value, "Steel sheet"),
    (ExistingRoof.CONCRETE_TILE.value, "Concrete tile"),
    (ExistingRoof.CLAY_TILE.value, "Clay tile"),
    (ExistingRoof.FIBRE_CEMENT.value, "Fibre cement"),
    (ExistingRoof.OTHER.value, "Something else"),
]
GROUNDS = [
    (Ground.CONCRETE_SLAB.value, "Concrete slab"),
    (Ground.PAVERS.value, "Pavers"),
    (Ground.FIRM_SOIL.value, "Firm soil or lawn"),
    (Ground.SOFT_SOIL.value, "Soft or wet soil"),
    (Ground.SLOPING.value, "Sloping ground"),
]
ACCESSES = [
    (Access.TRUCK_TO_SLAB.value, "Truck reaches the slab"),
    (Access.SIDE_GATE.value, "Side gate, a metre or wider"),
    (Access.NARROW_SIDE.value, "Narrow side, under a metre"),
    (Access.THROUGH_HOUSE.value, "Through the house or garage"),
    (Access.OVER_ROOF.value, "Only over the roof"),
]


class Client(models.Model):
    """Who ordered the work."""

    name = models.CharField(max_length=120)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    address = models.CharField(max_length=240, blank=True)
    note = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name


class Site(models.Model):
    """A place, with the facts that drive hazards and time.

    A yes/no or a figure left empty means nobody has found out yet; the hazard plan then
    takes the worse case and says so.
    """

    client = models.ForeignKey(Client, models.PROTECT, related_name="sites")
    address = models.CharField(max_length=240)
    suburb = models.CharField(max_length=80)
    state = models.CharField("state", max_length=20, default="au-nsw")
    latitude = models.DecimalField(
        max_digits=9,
        decimal_places=6,
        null=True,
        blank=True,
        validators=[MinValueValidator(-90), MaxValueValidator(90)],
    )
    longitude = models.DecimalField(
        max_digits=9,
        decimal_places=6,
        null=True,
        blank=True,
        validators=[MinValueValidator(-180), MaxValueValidator(180)],
    )
    existing_roof = models.CharField(
        "roof the new one meets",
        max_length=20,
        choices=ROOFS,
        default=ExistingRoof.CONCRETE_TILE.value,
    )
    existing_eave_height_m = models.FloatField("eave height, m", null=True, blank=True)
    building_year = models.PositiveSmallIntegerField(
        "year the house was built", null=True, blank=True
    )
    fascia_is_metal = models.BooleanField("fascia is metal", null=True, blank=True)
    overhead_line = models.BooleanField(
        "overhead power line near the work", null=True, blank=True
    )
    overhead_line_distance_m = models.FloatField(
        "nearest distance to that line, m", null=True, blank=True
    )
    overhead_line_kv = models.FloatField("its voltage, kV", null=True, blank=True)
    buried_services_known = models.BooleanField(
        "buried services located", null=True, blank=True
    )
    ground = models.CharField(
        "ground people and props stand on",
        max_length=20,
        choices=GROUNDS,
        default=Ground.CONCRETE_SLAB.value,
    )
    slab_slope_pct = models.FloatField(
        "slope of slab or ground, %", null=True, blank=True
    )
    access = models.CharField(
        max_length=20,
        choices=ACCESSES,
        default=Access.SIDE_GATE.value,
    )
    carry_distance_m = models.FloatField(
        "carry from truck to work, m", null=True, blank=True
    )
    neighbour_distance_m = models.FloatField(
        "distance to the nearest boundary, m", null=True, blank=True
    )
    near_traffic = models.BooleanField(
        "beside a road or driveway in use", default=False
    )
    occupied = models.BooleanField("people live there during the work", default=True)
    children_or_pets = models.BooleanField("children or pets", default=False)
    power_on_site = models.BooleanField("power on site", default=True)
    water_on_site = models.BooleanField("water on site", default=True)
    yard_distance_km = models.FloatField(
        "distance from the yard, km", null=True, blank=True
    )
    drive_minutes = models.PositiveSmallIntegerField(
        "drive from the yard, minutes",
        null=True,
        blank=True,
        validators=[MaxValueValidator(MOST_DRIVE_MINUTES)],
    )
    note = models.TextField("anything else", blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["suburb", "address", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(building_year__isnull=True)
                | Q(building_year__range=(1800, 2200)),
                name="site_year_makes_sense",
            ),
            models.CheckConstraint(
                condition=Q(overhead_line_distance_m__isnull=True)
                | Q(overhead_line_distance_m__gte=0),
                name="site_line_distance_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(yard_distance_km__isnull=True) | Q(yard_distance_km__gte=0),
                name="site_yard_distance_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(drive_minutes__isnull=True)
                | Q(drive_minutes__lte=MOST_DRIVE_MINUTES),
                name="site_drive_within_a_day",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.address}, {self.suburb}"

    def facts(self) -> SiteFacts:
        """These columns as the plain facts the engines read."""
        values = {field.name: getattr(self, field.name) for field in fields(SiteFacts)}
        values["existing_roof"] = ExistingRoof(self.existing_roof)
        values["ground"] = Ground(self.ground)
        values["access"] = Access(self.access)
        return SiteFacts(**values)
