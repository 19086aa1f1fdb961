"""The list of the firm's tools on a lead, and their electrical tests."""

from datetime import date, datetime
from typing import Any

from django.db import transaction

from jobs import ledger
from jobs.domain.holds import Basis
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.domain.verbs import Verb as FirmVerb
from jobs.models import Firm, Person
from jobs.permissions import require
from jobs.queries.firm import local_day, the_firm
from jobs.services.edits import apply_edit
from safety.domain.periods import months_later
from safety.domain.verbs import Verb
from safety.models import ToolItem, ToolTest
from safety.queries.tool_tests import every_months, test_rule, tools_on_a_lead
from safety.services.rules import keep_rules
from scheduling.domain.calendar import say_day


@transaction.atomic
def list_tool(*, kind: str, name: str, actor: Person, at: datetime) -> ToolItem:
    """Put a tool on the firm's list; from now on its tests are asked for."""
    require(actor, Can.EDIT_LIBRARY)
    if kind not in {tool.key for tool in tools_on_a_lead()}:
        raise Refused("There is no such tool on a lead. Choose one from the list.")
    if ToolItem.objects.filter(name=name, gone_at__isnull=True).exists():
        raise Refused(f"There is a “{name}” on the list already. Give it another name.")
    item = ToolItem.objects.create(kind=kind, name=name, added_by=actor, added_at=at)
    _log(Verb.TOOL_LISTED, item, {"kind": kind, "name": name}, actor, at)
    return item


@transaction.atomic
def unlist_tool(*, item: ToolItem, why: str, actor: Person, at: datetime) -> ToolItem:
    """Take a tool off the list, with a reason. Its tests are kept."""
    require(actor, Can.EDIT_LIBRARY)
    item = ToolItem.objects.select_for_update().get(pk=item.pk)
    if item.gone_at is not None:
        raise Refused("That tool is off the list already.")
    if not why.strip():
        raise Refused("Say where it went; the reason is kept.")
    item.gone_at, item.gone_why = at, why.strip()
    item.save(update_fields=["gone_at", "gone_why"])
    _log(Verb.TOOL_UNLISTED, item, {"why": item.gone_why}, actor, at)
    return item


@transaction.atomic
def record_tool_test(
    *,
    item: ToolItem,
    tested_on: date,
    tested_by: str,
    passed: bool,
    tag: str = "",
    next_due: date | None = None,
    note: str = "",
    actor: Person,
    at: datetime,
) -> ToolTest:
    """Write a test down. It counts from the day it was made.

    ``next_due`` may only be sooner than the place asks; where no rule gives a period it
    has to be given. A failed test gives no day.
    """
    require(actor, Can.EDIT_LIBRARY)
    due = next_due if passed else None
    faults = _faults(item, tested_on, due, local_day(at), passed=passed)
    if faults:
        raise Refused(faults)
    test = ToolTest.objects.create(
        item=item,
        tested_on=tested_on,
        tested_by=tested_by.strip(),
        tag=tag.strip(),
        passed=passed,
        next_due=due,
        note=note.strip(),
        recorded_by=actor,
        at=at,
    )
    payload = {
        "tool": item.name,
        "tested_on": tested_on.isoformat(),
        "tested_by": test.tested_by,
        "tag": test.tag,
        "passed": passed,
        "next_due": due.isoformat() if due else None,
        "note": test.note,
    }
    _log(Verb.TOOL_TESTED, test, payload, actor, at)
    return test


def _faults(
    item: ToolItem, tested_on: date, due: date | None, today: date, *, passed: bool
) -> list[str]:
    if item.gone_at is not None:
        return ["That tool is off the list. Put it on the list again first."]
    if tested_on > today:
        return ["That day is still to come. Give the day it was tested on."]
    return _due_faults(tested_on, due) if passed else []


def _due_faults(tested_on: date, due: date | None) -> list[str]:
    every = every_months(test_rule(the_firm().pack, tested_on))
    if due is not None and due <= tested_on:
        return ["The next test is due after this one. Look at the tag again."]
    if every is None:
        missing = "Say until when it is good: no rule of this place gives a period."
        return [] if due is not None else [missing]
    latest = months_later(tested_on, every)
    if due is not None and due > latest:
        return [f"Here a test is good for {every} months, until {say_day(latest)}."]
    return []


@transaction.atomic
def take_back_tool_test(
    *, test: ToolTest, why: str, actor: Person, at: datetime
) -> ToolTest:
    """Take a mistaken test back, with a reason. The row stays."""
    require(actor, Can.EDIT_LIBRARY)
    test = ToolTest.objects.select_for_update(of=("self",)).get(pk=test.pk)
    if test.taken_back_at is not None:
        raise Refused("That test is taken back already.")
    if not why.strip():
        raise Refused("Say what was wrong with it; the reason is kept.")
    test.taken_back_at, test.taken_back_why = at, why.strip()
    test.save(update_fields=["taken_back_at", "taken_back_why"])
    _log(Verb.TOOL_TEST_TAKEN_BACK, test, {"why": test.taken_back_why}, actor, at)
    return test


@transaction.atomic
def switch_tool_tests(*, off: bool, version: int, actor: Person, at: datetime) -> Firm:
    """Let tests hold work, or not, where no law asks for them.

    Refused where the firm works under a law that does.
    """
    require(actor, Can.EDIT_LIBRARY)
    firm = Firm.objects.get(pk=1)
    rule = test_rule(firm.pack, local_day(at))
    if off and rule is not None and rule.source.basis is Basis.LAW:
        raise Refused(
            f"The law asks for these tests here ({rule.source.clause}), so they hold "
            "work. Take a tool that is not used off the list instead."
        )
    # The rules as they were stay those of the past, also when none were kept before.
    keep_rules(firm=firm, actor=actor, at=at)
    values = {"tool_tests_off": off}
    firm, changes = apply_edit(firm, version=version, values=values)
    if changes:
        _log(FirmVerb.FIRM_CHANGED, firm, changes, actor, at)
        keep_rules(firm=firm, actor=actor, at=at)
    return firm


def _log(
    verb: Verb | FirmVerb,
    subject: ToolItem | ToolTest | Firm,
    payload: dict[str, Any],
    actor: Person,
    at: datetime,
) -> None:
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=verb,
        subject=subject,
        payload=payload,
    )
