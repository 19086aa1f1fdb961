"""Drafts as pages show them."""

from dataclasses import dataclass
from datetime import datetime

from jobs.models import Firm
from scheduling.domain.policy import Policy, Term
from scheduling.models import Draft, PlanHead
from scheduling.queries.differences import Difference, differences
from scheduling.queries.plan_choice import policy_for

TOO_WIDE = 0.5  # a bound so far off says nothing to anybody


@dataclass(frozen=True, slots=True)
class Summary:
    """What a draft would change, counted."""

    same: int
    new: int
    moved: int
    taken_off: int

    @property
    def says(self) -> str:
        """In one line."""
        parts = [
            f"{number} {word}"
            for number, word in (
                (self.moved, "moved"),
                (self.new, "new"),
                (self.taken_off, "taken off"),
                (self.same, "the same"),
            )
            if number
        ]
        return ", ".join(parts) or "nothing booked"


def summary_of(changes: list[Difference]) -> Summary:
    """Count what changes."""
    return Summary(
        same=sum(change.is_same for change in changes),
        new=sum(change.before is None for change in changes),
        moved=sum(
            change.before is not None
            and change.after is not None
            and not change.is_same
            for change in changes
        ),
        taken_off=sum(change.after is None for change in changes),
    )


def plan_head() -> PlanHead:
    """The published plan's number, 0 before the first. One query."""
    return PlanHead.objects.select_related("published_by").filter(
        pk=1
    ).first() or PlanHead(pk=1, number=0)


def current_draft() -> Draft | None:
    """The latest draft that is being worked out or waits to be published. One query."""
    waiting = (Draft.State.MAKING, Draft.State.READY)
    return (
        Draft.objects.filter(state__in=waiting)
        .select_related("run", "made_by")
        .order_by("-pk")
        .first()
    )


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A draft that a day called off on site began: what it would change."""

    draft: Draft
    summary: Summary
    earlier: Draft | None  # of somebody else, and it could still be published


def suggestion_of(
    draft: Draft | None, head: PlanHead, firm: Firm, at: datetime
) -> Suggestion | None:
    """What the office is offered; None for a draft of its own, or one not ready.

    No queries for those; else one, and those of the differences.
    """
    if draft is None or draft.state != Draft.State.READY or is_overtaken(draft, head):
        return None
    if not draft.from_site:
        return None
    waiting = Draft.objects.filter(
        state=Draft.State.READY, based_on=head.number, pk__lt=draft.pk
    )
    return Suggestion(
        draft=draft,
        summary=summary_of(differences(draft, firm, at)),
        earlier=waiting.select_related("made_by").order_by("-pk").first(),
    )


def waiting_suggestion(firm: Firm, at: datetime) -> Suggestion | None:
    """What the office is offered now. Two queries, and those of the differences."""
    return suggestion_of(current_draft(), plan_head(), firm, at)


@dataclass(frozen=True, slots=True)
class Recipe:
    """How a draft is to be made."""

    policy: Policy
    mends: bool


def recipe_of(draft_id: int) -> Recipe:
    """What counts most for a draft, and whether it mends. One query."""
    draft = Draft.objects.only("leaning", "mends").get(pk=draft_id)
    policy = Policy.mending() if draft.mends else policy_for(draft.leaning)
    return Recipe(policy, draft.mends)


def is_overtaken(draft: Draft, head: PlanHead) -> bool:
    """Whether the plan was changed after the draft was made."""
    return draft.based_on != head.number


UNITS = {
    Term.UNPLACED: ("job", ""),
    Term.PROMISED: ("half-day", ", times how much the job matters"),
    Term.WANTED: ("half-day", ", times how much the job matters"),
    Term.CHANGES: ("point", ", more for days that are near"),
    Term.TRAVEL: ("minute", " on the road"),
    Term.IDLE: ("half-day", ""),
}


def quality_in_words(draft: Draft) -> list[tuple[str, str]]:
    """The goals of the plan in their order and how the draft does, with units."""
    return [
        (f"{term.value[:1].upper()}{term.value[1:]}", _so_many(draft.cost[term], *unit))
        for term, unit in UNITS.items()
        if term.value in draft.cost
    ]


def _so_many(number: float, noun: str, more: str) -> str:
    return f"{number:g} {noun}{'' if number == 1 else 's'}{more}"


def how_good(draft: Draft) -> str:
    """Whether a better plan could exist, in words."""
    bound = draft.bound
    if not bound:
        return ""
    if bound.get("proven"):
        return "No better plan exists under these rules."
    how = "Stopped early: the" if bound.get("stopped") else "The"
    gap = bound.get("gap") or 0.0
    if 0 < gap < TOO_WIDE:
        return f"{how} best plan found; at most {gap:.0%} better is possible."
    return f"{how} best plan found in the time given."
