"""Versions of statements, and which was in force at a moment."""

from collections.abc import Iterable
from datetime import datetime

from django.db.models import Count, Q

from jobs.models import Job
from safety.models import Consultation, SignOn, Statement

State = Statement.State


def issued_at(jobs: Iterable[Job], at: datetime) -> dict[int, Statement]:
    """The statement in force at a moment by job id, without its content. One query."""
    rows = Statement.objects.filter(
        Q(superseded_at__isnull=True) | Q(superseded_at__gt=at),
        job__in=list(jobs),
        issued_at__lte=at,
    )
    return {row.job_id: row for row in rows.defer("content")}


def waiting_at(jobs: Iterable[Job], at: datetime) -> dict[int, Statement]:
    """The version reviewed and not issued at a moment by job id. One query."""
    rows = Statement.objects.filter(
        Q(issued_at__isnull=True) | Q(issued_at__gt=at),
        Q(dropped_at__isnull=True) | Q(dropped_at__gt=at),
        job__in=list(jobs),
        reviewed_at__lte=at,
    )
    return {row.job_id: row for row in rows.defer("content").order_by("number")}


def versions(job: Job) -> list[Statement]:
    """All versions of a job, the newest first, with how many ``signed``. One query."""
    rows = Statement.objects.filter(job=job).defer("content")
    people = rows.select_related("reviewed_by", "issued_by")
    return list(people.annotate(signed=Count("sign_ons")).order_by("-number"))


def version_before(statement: Statement) -> Statement | None:
    """The version that was issued before this one. One query."""
    return (
        Statement.objects.filter(
            job_id=statement.job_id,
            number__lt=statement.number,
            issued_at__isnull=False,
        )
        .order_by("-number")
        .first()
    )


def sign_ons_of(statement: Statement) -> list[SignOn]:
    """Who signed on to a version, in order. One query."""
    rows = SignOn.objects.filter(statement=statement)
    return list(
        rows.select_related("person", "witnessed_by").order_by("device_at", "pk")
    )


def signed_at(
    statements: Iterable[Statement], at: datetime
) -> dict[int, dict[int, datetime]]:
    """When each person had signed which version: statement id, person id. One query."""
    wanted = [statement.pk for statement in statements]
    rows = SignOn.objects.filter(statement__in=wanted, device_at__lte=at)
    signed: dict[int, dict[int, datetime]] = {pk: {} for pk in wanted}
    for statement, person, when in rows.values_list(
        "statement_id", "person_id", "device_at"
    ):
        signed[statement][person] = when
    return signed


def consultations_of(statement: Statement) -> list[Consultation]:
    """Talks about a version, in order. One query."""
    rows = Consultation.objects.filter(statement=statement)
    return list(rows.select_related("noted_by").order_by("held_on", "pk"))
