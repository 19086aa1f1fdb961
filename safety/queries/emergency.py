"""What a page says about an emergency, from the pack in force on the day."""

from dataclasses import dataclass
from datetime import date

from jobs.domain.packs import Pack, PackValue

_NOTIFY = "incidents.notify"
_KEYS = ("incidents.notifiable", _NOTIFY, "incidents.preserve")


@dataclass(frozen=True, slots=True)
class Emergency:
    """The number to call, empty when the pack names none, and what the law asks for."""

    number: str = ""
    says: tuple[str, ...] = ()
    notify: str = ""  # the one of them about telling the regulator


def emergency_facts(pack: Pack | None, on: date) -> Emergency:
    """The number and the duties after an incident, each with its source. No query."""
    if pack is None:
        return Emergency()
    number = pack.find("emergency.number", on)
    found = {key: pack.find(key, on) for key in _KEYS}
    says = {key: _cited(value) for key, value in found.items() if value}
    return Emergency(
        number=number.text if number else "",
        says=tuple(says.values()),
        notify=says.get(_NOTIFY, ""),
    )


def _cited(value: PackValue) -> str:
    return f"{_in_full(value)} [{value.source.cite()}]"


def _in_full(value: PackValue) -> str:
    """A value's words, and the entries of its list."""
    if not value.items:
        return value.says
    items = "; ".join(_small(item.says.rstrip(".")) for item in value.items)
    return f"{value.says.rstrip('.')}: {items}."


def _small(words: str) -> str:
    return words[:1].lower() + words[1:]
