"""Append to the ledger, and check that nobody tampered with it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from typing import Any

from django.db import models, transaction

from jobs.domain.chain import GENESIS, Link, canonical, first_break, link_digest
from jobs.domain.refusals import Refused
from jobs.models import Job, LedgerDay, LedgerEntry, LedgerHead, Person

FIRM_CHAIN = "firm"


@dataclass(frozen=True, slots=True)
class Broken:
    """The first entry of a chain that does not hold."""

    chain: str
    says: str


def append(
    *,
    chain: str | Job,
    actor: Person | None,
    at: datetime,
    verb: StrEnum | str,
    subject: models.Model,
    payload: Mapping[str, Any],
) -> LedgerEntry:
    """Add one entry to a chain, inside the caller's transaction.

    ``payload`` is plain JSON data. The chain's head row is locked, so two writers of one
    chain wait for each other and numbers have no gaps. Refused for a day whose ledger
    is closed: nothing can be slipped into the past.
    """
    name = chain.chain if isinstance(chain, Job) else chain
    if LedgerDay.objects.filter(day=at.astimezone(UTC).date()).exists():
        raise Refused("The ledger of that day is closed. Record it as of now.")
    with transaction.atomic():
        head, _ = LedgerHead.objects.select_for_update().get_or_create(
            chain=name, defaults={"digest": GENESIS}
        )
        entry = LedgerEntry(
            chain=name,
            number=head.length + 1,
            at=at,
            actor=actor,
            actor_name=actor.name if actor else "the system",
            verb=str(verb),
            subject=f"{subject._meta.label_lower}:{subject.pk}",
            payload=canonical(payload).decode(),
            previous=head.digest,
        )
        entry.digest = link_digest(head.digest, _body(entry))
        entry.save(force_insert=True)
        head.length, head.digest = entry.number, entry.digest
        head.save(update_fields=["length", "digest"])
    return entry


def broken_chains() -> Iterator[Broken]:
    """Every chain that does not hold, with its first broken entry."""
    heads = {head.chain: head for head in LedgerHead.objects.order_by("chain")}
    chains = LedgerEntry.objects.order_by("chain").values_list("chain", flat=True)
    for chain in sorted({*heads, *chains.distinct()}):
        says = _first_break(chain, heads.get(chain))
        if says:
            yield Broken(chain, says)


def _first_break(chain: str, head: LedgerHead | None) -> str | None:
    last: Link | None = None

    def links() -> Iterator[Link]:
        nonlocal last
        entries = LedgerEntry.objects.filter(chain=chain).order_by("number")
        for entry in entries.iterator(chunk_size=2000):
            last = Link(entry.number, _body(entry), entry.previous, entry.digest)
            yield last

    says = first_break(links())
    if says:
        return says
    if head is None:
        return "the chain's head is gone"
    if (last.number if last else 0, last.digest if last else GENESIS) != (
        head.length,
        head.digest,
    ):
        return f"entry {(last.number if last else 0) + 1} is missing from the end"
    return None


def _body(entry: LedgerEntry) -> bytes:
    """All that an entry says, as it is hashed."""
    return canonical(
        {
            "actor": entry.actor_id,
            "actor_name": entry.actor_name,
            "at": entry.at.astimezone(UTC).isoformat(timespec="microseconds"),
            "chain": entry.chain,
            "number": entry.number,
            "payload": entry.payload,
            "subject": entry.subject,
            "verb": entry.verb,
        }
    )
