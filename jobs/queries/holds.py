"""Holds as a page shows them: with a link to the record behind each."""

from collections.abc import Iterable, Mapping
from dataclasses import fields
from typing import Any

from django.urls import NoReverseMatch, reverse

from jobs.domain.holds import Hold
from jobs.models import Job, Task


def record_url(record: tuple[str, int] | None) -> str:
    """The page of the record behind a hold: ``app:model_detail``, or nothing."""
    if record is None:
        return ""
    label, pk = record
    try:
        return reverse(f"{label.replace('.', ':')}_detail", args=[pk])
    except NoReverseMatch:
        return ""


def hold_rows(
    holds: Iterable[Hold], jobs: Mapping[int, Job] | None = None
) -> list[dict[str, Any]]:
    """Holds for ``parts/hold.html``: the hold's own fields, and ``url``, ``tasks``.

    With ``jobs`` by id each row names its job as well (``job``, ``job_url``). One query
    for the names of the tasks held.
    """
    listed = list(holds)
    ids = {pk for hold in listed for pk in hold.task_ids}
    names = dict(Task.objects.filter(pk__in=ids).values_list("pk", "name"))
    return [_row(hold, names, jobs or {}) for hold in listed]


def _row(
    hold: Hold, names: Mapping[int, str], jobs: Mapping[int, Job]
) -> dict[str, Any]:
    row = {field.name: getattr(hold, field.name) for field in fields(Hold)}
    row["url"] = record_url(hold.record)
    row["tasks"] = [names[pk] for pk in sorted(hold.task_ids) if pk in names]
    job = jobs.get(hold.job_id)
    if job is not None:
        row["job"] = str(job)
        row["job_url"] = reverse("jobs:job_detail", args=[job.pk])
    return row
