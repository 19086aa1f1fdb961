"""Holds as a page shows them: with a link to the record behind each."""

from collections.abc import Iterable, Mapping
from dataclasses import fields
from typing import Any

from django.urls import NoReverseMatch, reverse

from jobs.domain.holds import Hold
from jobs.models import Job, Task

_NOUNS = {
    "plan": "hazard plan",
    "lostday": "lost day",
    "site_day": "day on site",
    "stop_work": "stopped work",
    "tool_item": "tool",
}


def record_url(record: tuple[str, int] | None) -> str:
    """The page of the record behind a hold: ``app:model_detail``, or nothing.

    What follows a # in the label is the part of that page.
    """
    if record is None:
        return ""
    label, pk = record
    page, _, part = label.partition("#")
    try:
        url = reverse(f"{page.replace('.', ':')}_detail", args=[pk])
    except NoReverseMatch:
        return ""
    return f"{url}#{part}" if part else url


def record_link(record: tuple[str, int] | None) -> str:
    """What the link to that page says: "Open the delivery"."""
    page, _, part = (record[0] if record else "").partition("#")
    noun = page.rpartition(".")[2]
    return f"Go to {part}" if part else f"Open the {_NOUNS.get(noun, _plain(noun))}"


def _plain(noun: str) -> str:
    return noun.replace("_", " ")


def hold_rows(
    holds: Iterable[Hold], jobs: Mapping[int, Job] | None = None
) -> list[dict[str, Any]]:
    """Holds for ``parts/hold.html``: the hold's own fields, ``url``, ``link``, ``tasks``.

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
    row["url"], row["link"] = record_url(hold.record), record_link(hold.record)
    row["tasks"] = [names[pk] for pk in sorted(hold.task_ids) if pk in names]
    job = jobs.get(hold.job_id)
    if job is not None:
        row["job"] = str(job)
        row["job_url"] = reverse("jobs:job_detail", args=[job.pk])
    return row
