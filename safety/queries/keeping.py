"""How long a statement is kept, by the law of the place."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.utils.formats import date_format
from django.utils.timezone import localtime

from jobs.domain.packs import Pack, PackValue
from jobs.domain.refusals import Refused
from jobs.models import Job
from safety.domain.periods import months_later
from safety.library import pack_of
from safety.models import Statement, StopWork


@dataclass(frozen=True, slots=True)
class Keep:
    """One rule of keeping, with what it comes to for this job."""

    says: str
    until: str
    source: str
    basis: str
    check_first: bool


def kept_until(job: Job, statement: Statement, on: date) -> list[Keep]:
    """What the law of the place says about keeping, as it stands on a day. One query."""
    try:
        pack = pack_of(str(statement.content["pack"]["key"]))
    except Refused:  # a place that this version no longer knows
        return []
    return list(_rules(job, pack, on))


def _rules(job: Job, pack: Pack, on: date) -> Iterator[Keep]:
    keep = pack.find("statement.keep", on)
    if keep is not None:
        done = job.closed_at
        until = (
            f"the job was closed on {date_format(localtime(done))}"
            if done
            else "the work goes on"
        )
        yield Keep(
            keep.says,
            f"{str(keep.value).capitalize()} ({until}).",
            keep.source.cite(),
            keep.source.basis.value,
            keep.source.needs_check,
        )
    after = pack.find("statement.keep_after_incident", on)
    if after is not None:
        yield Keep(
            after.says,
            _from_incident(after, _last_incident(job)),
            after.source.cite(),
            after.source.basis.value,
            after.source.needs_check,
        )


def _last_incident(job: Job) -> date | None:
    """The day of the last incident that stopped the job, by the firm's clock."""
    stops = StopWork.objects.filter(job=job, kind=StopWork.Kind.INCIDENT)
    last = stops.order_by("-device_at").first()
    return localtime(last.device_at).date() if last else None


def _from_incident(after: PackValue, incident: date | None) -> str:
    period = f"{after.quoted().capitalize()} from the incident"
    if incident is None:
        return f"{period}. None is on record here."
    if after.unit != "year":
        return f"{period} of {date_format(incident)}, where it had to be notified."
    until = months_later(incident, 12 * int(after.number))
    return (
        f"{period} of {date_format(incident)}, where it had to be notified: to "
        f"{date_format(until)}."
    )
