"""Visits of other trades in a draft: no crew is booked, somebody has to be called.

A published plan holds bookings of crews only. So the day that another trade was given
is known from the draft that was published last.
"""

from dataclasses import dataclass
from datetime import date

from scheduling.domain.calendar import Half, Slot
from scheduling.models import Draft, Visit


@dataclass(frozen=True, slots=True)
class OtherTrade:
    """A visit of another trade whose half-day is new, or another one than before."""

    visit: Visit
    before: Slot | None
    after: Slot

    @property
    def says(self) -> str:
        """What to tell them."""
        if self.before is None:
            return f"Book for {self.after}."
        return f"Now {self.after}; it was {self.before}."


def as_data(slots: dict[int, Slot]) -> dict[str, list[str]]:
    """Half-days by visit (id), as a draft keeps them."""
    return {
        str(pk): [slot.day.isoformat(), slot.half.value] for pk, slot in slots.items()
    }


def other_trades(draft: Draft) -> list[OtherTrade]:
    """Visits of other trades that a draft places anew, in order. Two queries."""
    before, after = _published_before(draft), _slots(draft)
    moved = {pk: slot for pk, slot in after.items() if before.get(pk) != slot}
    visits = Visit.objects.filter(pk__in=moved).select_related(
        "job__client", "job__site"
    )
    rows = [OtherTrade(v, before.get(v.pk), moved[v.pk]) for v in visits]
    return sorted(rows, key=lambda row: (row.after, row.visit.pk))


def _published_before(draft: Draft) -> dict[int, Slot]:
    last = (
        Draft.objects.filter(state=Draft.State.PUBLISHED)
        .exclude(pk=draft.pk)
        .order_by("-ended_at", "-pk")
        .first()
    )
    return _slots(last) if last is not None else {}


def _slots(draft: Draft) -> dict[int, Slot]:
    return {
        int(pk): Slot(date.fromisoformat(day), Half(half))
        for pk, (day, half) in draft.trades.items()
    }
