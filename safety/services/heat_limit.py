"""When heat stops work. The owner decides."""

from datetime import datetime

from django.db import transaction

from jobs.domain.refusals import Refused
from jobs.models import Firm, Person
from jobs.queries.firm import the_firm
from jobs.services.firm import edit_firm
from safety.domain.heat_limit import HeatLimit, limit_faults
from safety.services.rules import keep_rules


@transaction.atomic
def set_heat_limit(
    *, limit: HeatLimit, version: int, actor: Person, at: datetime
) -> Firm:
    """Keep the firm's heat limit; it counts for every job from this moment.

    Statements that say something else now are out of date. Refused where the number is
    missing or cannot be right.
    """
    if faults := limit_faults(limit):
        raise Refused(faults)
    # The rules as they were stay those of the past, also when none were kept before.
    keep_rules(firm=the_firm(), actor=actor, at=at)
    values = {"heat_limit": limit.as_json()}
    firm = edit_firm(version=version, values=values, actor=actor, at=at)
    keep_rules(firm=firm, actor=actor, at=at)
    return firm
