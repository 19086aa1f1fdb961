"""What may happen in the safety app: the verbs of its ledger entries."""

from enum import StrEnum


class Verb(StrEnum):
    """``source:subject:action``, stable for ever; filters and wording hang off it."""

    PLAN_EDITED = "safety:plan:edited"
    PLAN_EDIT_UNDONE = "safety:plan:edit-undone"
    RULES_CHANGED = "safety:rules:changed"
    STATEMENT_REVIEWED = "safety:statement:reviewed"
    STATEMENT_DROPPED = "safety:statement:dropped"
    STATEMENT_ISSUED = "safety:statement:issued"
    CONSULTED = "safety:statement:consulted"
    SIGNED_ON = "safety:statement:signed-on"
    CHECKED = "safety:daily-check:made"
    WORK_STARTED = "safety:work:started"
    WORK_TAKEN_BACK = "safety:work:taken-back"
    WORK_STOPPED = "safety:work:stopped"
    WORK_RELEASED = "safety:work:released"
    TASK_STARTED = "safety:task:started"
    TASK_DONE = "safety:task:done"
    TASK_TAKEN_BACK = "safety:task:taken-back"
    MEASURED = "safety:hold-point:measured"

    TOOL_LISTED = "safety:tool:listed"
    TOOL_UNLISTED = "safety:tool:unlisted"
    TOOL_TESTED = "safety:tool:tested"
    TOOL_TEST_TAKEN_BACK = "safety:tool-test:taken-back"

    @property
    def says(self) -> str:
        """The verb in words, for people reading the ledger."""
        _, subject, action = self.value.split(":")
        return f"{subject.replace('-', ' ')} {action.replace('-', ' ')}"
