"""What the firm decides about its plans."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs import ledger
from jobs.domain.roles import Can
from jobs.models import Person
from jobs.permissions import require_any
from jobs.services.edits import apply_edit
from scheduling.domain.verbs import Verb
from scheduling.models import PlanChoice


@transaction.atomic
def choose_plan(
    *, version: int, values: Mapping[str, Any], actor: Person, at: datetime
) -> PlanChoice:
    """Change what comes first and the allowance for rain; drafts to come follow it."""
    require_any(actor, Can.EDIT_SCHEDULE, Can.EDIT_FIRM)
    row, _ = PlanChoice.objects.get_or_create(pk=1)
    choice, changes = apply_edit(row, version=version, values=values)
    if changes:
        ledger.append(
            chain=ledger.FIRM_CHAIN,
            actor=actor,
            at=at,
            verb=Verb.PLAN_CHOICE_CHANGED,
            subject=choice,
            payload=changes,
        )
    return choice
