"""Put shipped library texts in place, and keep the firm's own edits."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.domain.verbs import Verb
from jobs.library import Shipped, parse, shipped, text_digest
from jobs.models import ApprovalKind, LibraryText, Person
from jobs.permissions import require

APPROVAL_KINDS: tuple[dict[str, object], ...] = (
    {
        "key": "engineer",
        "name": "Engineer's certificate",
        "given_by": "Structural engineer",
        "usual_days": 14,
        "why": "The existing building must be shown to carry the new load.",
        "basis": "law",
    },
    {
        "key": "council",
        "name": "Council approval",
        "given_by": "Council or private certifier",
        "usual_days": 40,
        "why": "Building work may not start before it is approved, or exempt.",
        "basis": "law",
    },
)


@dataclass(slots=True)
class Loaded:
    """What loading the shipped libraries did."""

    added: list[str] = field(default_factory=list)
    updated: list[str] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)  # the firm's own, not overwritten


@transaction.atomic
def load_shipped() -> Loaded:
    """Bring in new and changed shipped texts. Safe to run again.

    A text that the firm changed stays, with the shipped text it was made from.
    """
    loaded = Loaded()
    rows = {(row.kind, row.key): row for row in LibraryText.objects.all()}
    edited = {row.kind for row in rows.values() if row.is_edited}
    for item in shipped():
        row = rows.get((item.kind, item.key))
        if row is None:
            LibraryText.objects.create(
                kind=item.kind,
                key=item.key,
                text=item.text,
                digest=item.digest,
                shipped_digest=item.digest,
                shipped_text=item.text,
            )
            loaded.added.append(item.name)
        elif row.is_edited:
            _find_base(row, item)
            loaded.kept.append(item.name)
        elif row.digest != item.digest:
            _renew(row, item, loaded, beside_edits=item.kind in edited)
    for kind in APPROVAL_KINDS:
        ApprovalKind.objects.get_or_create(key=kind["key"], defaults=kind)
    return loaded


def _find_base(row: LibraryText, item: Shipped) -> None:
    """The shipped text behind an edit made before it was kept, while it can be had."""
    if not row.shipped_text and row.shipped_digest == item.digest:
        row.shipped_text = item.text
        row.save(update_fields=["shipped_text"])


def _renew(
    row: LibraryText, item: Shipped, loaded: Loaded, *, beside_edits: bool
) -> None:
    """Take a newer shipped text, unless it does not fit beside what the firm edited."""
    if beside_edits and parse_problem(item.kind, item.key, item.text):
        loaded.kept.append(item.name)
        return
    row.text = row.shipped_text = item.text
    row.digest = row.shipped_digest = item.digest
    row.save(update_fields=["text", "shipped_text", "digest", "shipped_digest"])
    loaded.updated.append(item.name)


@transaction.atomic
def edit_text(
    *, text: LibraryText, new: str, actor: Person, at: datetime
) -> LibraryText:
    """Change a library text. Refused with file and line when it does not parse."""
    require(actor, Can.EDIT_LIBRARY)
    row = LibraryText.objects.select_for_update().get(pk=text.pk)
    problem = parse_problem(row.kind, row.key, new)
    if problem:
        raise Refused(problem.splitlines())
    _keep(row, new, actor, at, {})
    return row


@transaction.atomic
def keep_texts(
    *,
    kind: str,
    new: Mapping[str, str],
    why: Mapping[str, object],
    actor: Person,
    at: datetime,
) -> None:
    """Keep several texts of a kind at once, by key; one that is not there is added.

    The caller has read them together: they are not parsed here, since one by one they
    may not fit beside those that are replaced a moment later. ``why`` goes into each
    ledger entry.
    """
    require(actor, Can.EDIT_LIBRARY)
    rows = LibraryText.objects.select_for_update().filter(kind=kind)
    known = {row.key: row for row in rows}
    for key, text in new.items():
        row = known.get(key) or LibraryText(kind=kind, key=key)
        if row.text != text:
            _keep(row, text, actor, at, why)


def _keep(
    row: LibraryText,
    new: str,
    actor: Person,
    at: datetime,
    why: Mapping[str, object],
) -> None:
    row.text, row.digest, row.edited_at = new, text_digest(new), at
    row.save()
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=Verb.LIBRARY_CHANGED,
        subject=row,
        payload={"kind": row.kind, "key": row.key, "digest": row.digest, **why},
    )


@transaction.atomic
def take_base(*, kind: str, actor: Person) -> None:
    """From now on the texts of a kind count as made from what is shipped now.

    Call it in the transaction that keeps the merge of both.
    """
    require(actor, Can.EDIT_LIBRARY)
    rows = {row.key: row for row in LibraryText.objects.filter(kind=kind)}
    for item in shipped():
        row = rows.get(item.key) if item.kind == kind else None
        if row is not None and row.shipped_digest != item.digest:
            row.shipped_text, row.shipped_digest = item.text, item.digest
            row.save(update_fields=["shipped_text", "shipped_digest"])


def parse_problem(kind: str, key: str, text: str) -> str | None:
    """What is wrong with a library text, with file and line; None when it is fine."""
    try:
        parse(kind, key, text)
    except ValueError as error:
        return str(error)
    return None
