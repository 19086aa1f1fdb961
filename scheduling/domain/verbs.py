"""What may happen in the scheduling app: the verbs of its ledger entries."""

from enum import StrEnum


class Verb(StrEnum):
    """``source:subject:action``, stable for ever; filters and wording hang off it."""

    CREW_ADDED = "firm:crew:added"
    CREW_CHANGED = "firm:crew:changed"
    MEMBER_JOINED = "firm:crew:member-joined"
    MEMBER_LEFT = "firm:crew:member-left"
    ABSENCE_RECORDED = "firm:absence:recorded"
    ABSENCE_CANCELLED = "firm:absence:cancelled"
    CLOSURE_ADDED = "firm:closure:added"
    CLOSURE_REMOVED = "firm:closure:removed"
    LOST_DAY_RECORDED = "schedule:lost-day:recorded"
    LOST_DAY_CANCELLED = "schedule:lost-day:cancelled"
    PLAN_CHOICE_CHANGED = "firm:plan-choice:changed"
    PLANT_ADDED = "firm:plant:added"
    PLANT_CHANGED = "firm:plant:changed"
    PLANT_OUT = "firm:plant:out-of-service"
    PLANT_BACK = "firm:plant:back-in-service"
    SUPPLIER_ADDED = "firm:supplier:added"
    SUPPLIER_CHANGED = "firm:supplier:changed"
    VISITS_CUT = "schedule:visits:cut"
    DELIVERY_ORDERED = "schedule:delivery:ordered"
    DELIVERY_CHANGED = "schedule:delivery:changed"
    DELIVERY_CANCELLED = "schedule:delivery:cancelled"
    DELIVERY_CHECKED_IN = "schedule:delivery:checked-in"
    PLAN_PUBLISHED = "schedule:plan:published"
    BOOKING_PUBLISHED = "schedule:booking:published"
    BOOKING_MOVED = "schedule:booking:moved"
    BOOKING_CANCELLED = "schedule:booking:cancelled"
    BOOKING_PINNED = "schedule:booking:pinned"
    LINK_MADE = "firm:calendar-link:made"
    LINK_REVOKED = "firm:calendar-link:revoked"
    INVITATIONS_ON = "firm:invitations:turned-on"
    INVITATIONS_OFF = "firm:invitations:turned-off"
    INVITATION_ANSWERED = "schedule:invitation:answered"

    @property
    def says(self) -> str:
        """The verb in words, for people reading the ledger."""
        _, subject, action = self.value.split(":")
        return f"{subject.replace('-', ' ')} {action.replace('-', ' ')}"
