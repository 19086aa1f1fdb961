"""Many jobs out of a few, row by row, for measuring what a page costs in a large firm.

Copies skip the services on purpose: five hundred jobs are made in seconds. They are of
no use for anything but reading.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from itertools import count
from typing import Any
from uuid import uuid4

from django.db import connection, models, transaction

from jobs.models import (
    Approval,
    ApprovalEvent,
    BomLine,
    Document,
    FactsRevision,
    Job,
    JobDimensions,
    Person,
    Task,
    TaskLink,
    Ticket,
)
from safety.models import (
    Attendance,
    CheckAnswer,
    DailyCheck,
    JudgedMoment,
    Measurement,
    PlanEdit,
    SignOn,
    Statement,
)
from scheduling.models import (
    BookedDay,
    Booking,
    Crew,
    CrewMember,
    CrewSlot,
    Delivery,
    DeliveryLine,
    LostDay,
    PersonSlot,
    Receipt,
    ReceiptLine,
    Visit,
)

# What belongs to a job, parents first, with the way to the job.
OF_A_JOB: tuple[tuple[type[models.Model], str], ...] = (
    (JobDimensions, "job"),
    (FactsRevision, "job"),
    (Document, "job"),
    (Task, "job"),
    (TaskLink, "predecessor__job"),
    (Approval, "job"),
    (ApprovalEvent, "approval__job"),
    (BomLine, "job"),
    (Delivery, "job"),
    (DeliveryLine, "delivery__job"),
    (Receipt, "delivery__job"),
    (ReceiptLine, "receipt__delivery__job"),
    (Visit, "job"),
    (Visit.tasks.through, "visit__job"),
    (Booking, "visit__job"),
    (BookedDay, "booking__visit__job"),
    (CrewSlot, "booking__visit__job"),
    (PersonSlot, "booking__visit__job"),
    (LostDay, "job"),
    (PlanEdit, "job"),
    (Statement, "job"),
    (SignOn, "statement__job"),
    (DailyCheck, "job"),
    (CheckAnswer, "check_of__job"),
    (Attendance, "job"),
    (Measurement, "task__job"),
    (JudgedMoment, "job"),
)
ON_THE_PLAN = (Booking, BookedDay, CrewSlot, PersonSlot)
CREW_SETS = 10  # copies of the firm's crews; beyond them bookings move to other years
APART = timedelta(weeks=52)  # further than the bookings of one set reach
BATCH = 500


def _last_number() -> int:
    last: int = Job.objects.aggregate(last=models.Max("number"))["last"]
    return last


@dataclass(slots=True)
class Copies:
    """Which new row stands for which old one, in each round of copying."""

    rounds: int
    _new: dict[tuple[type[models.Model], int, int], int] = field(default_factory=dict)
    _number: Iterator[int] = field(default_factory=lambda: count(_last_number() + 1))

    def make(self, rows: Sequence[models.Model], rounds: int | None = None) -> None:
        """Copy every row once a round, its foreign keys led to the copies."""
        if not rows:
            return
        pairs = [(row, of) for of in range(rounds or self.rounds) for row in rows]
        new = [self._copied(row, of) for row, of in pairs]
        made = type(rows[0])._default_manager.bulk_create(new, batch_size=BATCH)
        for (row, of), copied in zip(pairs, made, strict=True):
            self._new[type(row), row.pk, of] = copied.pk

    def make_crews(self, jobs: Sequence[Job]) -> None:
        """Copy the crews of these jobs with their people, so that bookings do not meet."""
        crews = Crew.objects.filter(bookings__visit__job__in=jobs).distinct()
        places = list(CrewMember.objects.filter(crew__in=crews))
        people = Person.objects.filter(crew_places__in=places).distinct()
        tickets = Ticket.objects.filter(person__in=people)
        rounds = min(self.rounds, CREW_SETS)
        for rows in (list(people), list(crews), places, list(tickets)):
            self.make(rows, rounds)

    def _copied(self, row: models.Model, of: int) -> models.Model:
        columns = (c for c in row._meta.concrete_fields if not c.primary_key)
        return type(row)(**{c.attname: self._value(row, c, of) for c in columns})

    def _value(self, row: models.Model, column: Any, of: int) -> Any:
        """A foreign key to the copy of what it named; unique values made anew."""
        old = getattr(row, column.attname)
        if isinstance(column, models.ForeignKey):
            kind = column.related_model
            shared = of % CREW_SETS if kind in (Crew, Person) else of
            return self._new.get((kind, old, shared), old)
        if isinstance(column, models.UUIDField):
            return uuid4()
        if isinstance(row, ON_THE_PLAN) and type(column) is models.DateField:
            return old + APART * (of // CREW_SETS)
        return self._named(row, column.name, old)

    def _named(self, row: models.Model, name: str, old: Any) -> Any:
        match row, name:
            case Person(), "email":
                return None
            case Job(), "number":
                return next(self._number)
            case Crew(), "name":
                return f"{old} {next(self._number)}"
            case _:
                return old


@transaction.atomic
def multiply(jobs: Sequence[Job], rounds: int) -> None:
    """Copy these jobs and all that belongs to them so many times more."""
    copies = Copies(rounds)
    copies.make_crews(jobs)
    copies.make(jobs)
    for kind, way in OF_A_JOB:
        found = kind._default_manager.filter(**{f"{way}__in": jobs}).order_by("pk")
        copies.make(list(found))
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")  # as the database does by itself in its own time
