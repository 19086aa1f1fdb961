"""Kinds of ticket: licences, cards and records of training that a person holds."""

from collections.abc import Mapping
from dataclasses import dataclass

from jobs.domain.sources import Seen
from jobs.domain.yaml_lines import Node, keyed, parse_yaml


@dataclass(frozen=True, slots=True)
class TicketKind:
    """One kind of ticket and the rule by which it lapses."""

    key: str
    name: str
    expiry: str  # the rule in words
    source: str
    known: Seen
    expires_after_months: int | None = None  # when the card shows no date itself


def parse_ticket_kinds(text: str, *, filename: str) -> Mapping[str, TicketKind]:
    """The kinds of ticket by key, from the text of their table."""
    return keyed(parse_yaml(text, filename=filename).items(), _ticket_kind)


def _ticket_kind(node: Node) -> TicketKind:
    fields = node.fields(
        "key",
        "name",
        "expiry",
        "source",
        "known",
        optional=("expires_after_months",),
    )
    months = fields.whole("expires_after_months", 0, at_least=1)
    return TicketKind(
        key=fields.text("key"),
        name=fields.text("name"),
        expiry=fields.text("expiry"),
        source=fields.text("source"),
        known=Seen(fields["known"].one_of(list(Seen), "way to know a value")),
        expires_after_months=months or None,
    )
