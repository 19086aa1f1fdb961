"""Put shipped library texts in place, and keep the firm's own edits."""

from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.domain.verbs import Verb
from jobs.library import parse, shipped, text_digest
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
    """Bring in new and changed shipped texts. Safe to run again."""
    loaded = Loaded()
    rows = {(row.kind, row.key): row for row in LibraryText.objects.all()}
    for item in shipped():
        name = f"{item.kind}: {item.key}"
        row = rows.get((item.kind, item.key))
        if row is None:
            LibraryText.objects.create(
                kind=item.kind,
                key=item.key,
                text=item.text,
                digest=item.digest,
                shipped_digest=item.digest,
            )
            loaded.added.append(name)
        elif row.is_edited:
            loaded.kept.append(name)
        elif row.digest != item.digest:
            row.text, row.digest, row.shipped_digest = (
                item.text,
                item.digest,
                item.digest,
            )
            row.save(update_fields=["text", "digest", "shipped_digest"])
            loaded.updated.append(name)
    for kind in APPROVAL_KINDS:
        ApprovalKind.objects.get_or_create(key=kind["key"], defaults=kind)
    return loaded


@transaction.atomic
def edit_text(
    *, text: LibraryText, new: str, actor: Person, at: datetime
) -> LibraryText:
    """Change a library text. Refused with file and line when it does not parse."""
    require(actor, Can.EDIT_LIBRARY)
    row = LibraryText.objects.select_for_update().get(pk=text.pk)
    problem = parse_problem(row.kind, row.key, new)
    if problem:
        raise Refused(problem)
    row.text, row.digest, row.edited_at = new, text_digest(new), at
    row.save(update_fields=["text", "digest", "edited_at"])
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=Verb.LIBRARY_CHANGED,
        subject=row,
        payload={"kind": row.kind, "key": row.key, "digest": row.digest},
    )
    return row


def parse_problem(kind: str, key: str, text: str) -> str | None:
    """What is wrong with a library text, with file and line; None when it is fine."""
    try:
        parse(kind, key, text)
    except ValueError as error:
        return str(error)
    return None
