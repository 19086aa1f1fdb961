"""What may happen in the base app: the verbs of its ledger entries."""

from enum import StrEnum


class Verb(StrEnum):
    """``source:subject:action``, stable for ever; filters and wording hang off it."""

    FIRM_SET_UP = "firm:firm:set-up"
    FIRM_CHANGED = "firm:firm:changed"
    PERSON_ADDED = "firm:person:added"
    PERSON_CHANGED = "firm:person:changed"
    PIN_SET = "firm:pin:set"
    PIN_HANDED_OUT = "firm:pin:handed-out"
    ROLES_CHANGED = "firm:person:roles-changed"
    TICKET_ADDED = "firm:ticket:added"
    TICKET_WITHDRAWN = "firm:ticket:withdrawn"
    CLIENT_ADDED = "firm:client:added"
    CLIENT_CHANGED = "firm:client:changed"
    SITE_ADDED = "firm:site:added"
    SITE_CHANGED = "firm:site:changed"
    LIBRARY_CHANGED = "firm:library:changed"
    APPROVAL_KIND_ADDED = "firm:approval-kind:added"
    APPROVAL_KIND_CHANGED = "firm:approval-kind:changed"
    JOB_OPENED = "job:job:opened"
    JOB_CHANGED = "job:job:changed"
    JOB_CLOSED = "job:job:closed"
    JOB_REOPENED = "job:job:reopened"
    DIMENSIONS_SET = "job:dimensions:set"
    FACTS_CHANGED = "job:facts:changed"
    TASK_ADDED = "job:task:added"
    TASK_REMOVED = "job:task:removed"
    TASK_CHANGED = "job:task:changed"
    SEQUENCE_CHANGED = "job:sequence:changed"
    TASK_DONE = "job:task:done"
    HOURS_RECORDED = "job:hours:recorded"
    RATE_ACCEPTED = "firm:rate:accepted"
    RATE_KEPT = "firm:rate:kept"
    APPROVAL_ADDED = "job:approval:added"
    APPROVAL_NEEDED = "job:approval:needed"
    APPROVAL_STEP = "job:approval:step"
    APPROVAL_EXPECTED = "job:approval:expected"
    MATERIALS_CHANGED = "job:materials:changed"
    DOCUMENT_ADDED = "job:document:added"

    @property
    def says(self) -> str:
        """The verb in words, for people reading the ledger."""
        _, subject, action = self.value.split(":")
        return f"{subject.replace('-', ' ')} {action.replace('-', ' ')}"
