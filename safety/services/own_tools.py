"""What the office writes down of the firm's own tools."""

from datetime import datetime

from django.db import transaction

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.domain.verbs import Verb
from jobs.library import tools
from jobs.models import Firm, Person
from jobs.permissions import require
from jobs.services.edits import apply_edit
from safety.domain.own_tools import OwnTool
from safety.services.rules import keep_rules


@transaction.atomic
def keep_own_tool(
    *, key: str, tool: OwnTool, version: int, actor: Person, at: datetime
) -> Firm:
    """Keep what is known of the firm's tools of one kind; nothing known takes it away.

    Figures count for every plan from this moment.
    """
    require(actor, Can.EDIT_LIBRARY)
    if key not in tools():
        raise Refused("There is no such tool. Choose one from the list.")
    plain = tool.as_json()
    if {"noise_dba", "vibration_ms2"} & set(plain) and not tool.source:
        raise Refused("Say who measured it, or which maker declares it, and when.")
    firm = Firm.objects.get(pk=1)
    known = {name: kept for name, kept in firm.own_tools.items() if name != key}
    known |= {key: plain} if plain else {}
    firm, changes = apply_edit(firm, version=version, values={"own_tools": known})
    if changes:
        old, new = changes["own_tools"]
        ledger.append(
            chain=ledger.FIRM_CHAIN,
            actor=actor,
            at=at,
            verb=Verb.FIRM_CHANGED,
            subject=firm,
            payload={"tool": key, "figures": [old.get(key), new.get(key)]},
        )
        keep_rules(firm=firm, actor=actor, at=at)
    return firm
