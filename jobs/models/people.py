"""People of the firm, the parts they play, and the tickets they hold."""

from datetime import date
from typing import Any, ClassVar

from django.contrib.auth.models import (
    AbstractBaseUser,
    BaseUserManager,
    PermissionsMixin,
)
from django.db import models
from django.db.models import F, Q

from jobs.domain.roles import Can, Role, capabilities


class PersonManager(BaseUserManager["Person"]):
    """Makes people; ``createsuperuser`` comes through here."""

    def create_user(
        self, email: str | None, password: str | None = None, **fields: Any
    ) -> "Person":
        """Make a person. Without an email they cannot log in, only sign on site."""
        person = self.model(
            email=self.normalize_email(email).lower() if email else None, **fields
        )
        person.set_password(password)
        person.save(using=self._db)
        return person

    def create_superuser(
        self, email: str, password: str | None = None, **fields: Any
    ) -> "Person":
        """Make an owner who may also enter the admin."""
        fields.setdefault("name", email.split("@", maxsplit=1)[0])
        fields.update(is_staff=True, is_superuser=True, is_owner=True)
        return self.create_user(email, password, **fields)

    def get_by_natural_key(self, username: str | None) -> "Person":
        """Emails are compared without regard to case."""
        return self.get(email__iexact=username)


class Person(AbstractBaseUser, PermissionsMixin):
    """Someone who works for the firm. Logs in by email when they have one."""

    email = models.EmailField("email", unique=True, null=True, blank=True)
    name = models.CharField("full name", max_length=120)
    phone = models.CharField("phone", max_length=40, blank=True)
    is_office = models.BooleanField("office", default=False)
    is_site_lead = models.BooleanField("site lead", default=False)
    is_owner = models.BooleanField("owner", default=False)
    is_crew = models.BooleanField("crew member", default=False)
    is_active = models.BooleanField("works here", default=True)
    is_staff = models.BooleanField("may edit the libraries", default=False)
    joined_on = models.DateField("started on", null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects: ClassVar[PersonManager] = PersonManager()

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    class Meta:
        ordering = ["name", "pk"]
        verbose_name_plural = "people"

    def __str__(self) -> str:
        return self.name

    @property
    def roles(self) -> frozenset[Role]:
        """The parts this person plays."""
        flags = {
            Role.OFFICE: self.is_office,
            Role.SITE_LEAD: self.is_site_lead,
            Role.OWNER: self.is_owner,
            Role.CREW: self.is_crew,
        }
        return frozenset(role for role, plays in flags.items() if plays)

    def can(self, capability: Can) -> bool:
        """Whether their roles allow it. Never queries."""
        return self.is_active and capability in capabilities(self.roles)

    def get_short_name(self) -> str:
        """First name."""
        return self.name.split(" ")[0]


class Ticket(models.Model):
    """A licence or competency that a person holds, from one day to another."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="tickets")
    kind = models.CharField(max_length=60)  # key of the ticket kinds table
    number = models.CharField(max_length=60, blank=True)
    issued_on = models.DateField(null=True, blank=True)
    expires_on = models.DateField(null=True, blank=True)
    evidence = models.ForeignKey(
        "jobs.Document", models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["kind", "-expires_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(issued_on__isnull=True)
                | Q(expires_on__isnull=True)
                | Q(expires_on__gte=F("issued_on")),
                name="ticket_expires_after_issue",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.number}".strip()

    def holds_on(self, day: date) -> bool:
        """Whether the ticket is good on that day (its last day included)."""
        started = self.issued_on is None or self.issued_on <= day
        return started and (self.expires_on is None or day <= self.expires_on)
