"""The one date that each kind of tool had becomes a tool with a test, from now on.

It is listed from the day this runs: no day before it was judged by these tests, so none
turns into a breach. Figures stay where they are.
"""

from datetime import date

from django.db import migrations
from django.utils import timezone


def take_over(apps, schema_editor):
    Firm = apps.get_model("jobs", "Firm")
    ToolItem = apps.get_model("safety", "ToolItem")
    ToolTest = apps.get_model("safety", "ToolTest")
    now = timezone.now()
    for firm in Firm.objects.all():
        kept = {}
        for key, known in firm.own_tools.items():
            known = dict(known)
            tested = known.pop("tested_on", None)
            if known:
                kept[key] = known
            if tested:
                name = key.replace("_", " ").capitalize()
                item, _ = ToolItem.objects.get_or_create(
                    kind=key, name=name, gone_at=None, defaults={"added_at": now}
                )
                ToolTest.objects.create(
                    item=item,
                    tested_on=date.fromisoformat(tested),
                    tested_by="not written down",
                    passed=True,
                    note="Taken over from the list of tools.",
                    at=now,
                )
        if kept != firm.own_tools:
            firm.own_tools = kept
            firm.save(update_fields=["own_tools"])


def give_back(apps, schema_editor):
    Firm = apps.get_model("jobs", "Firm")
    ToolTest = apps.get_model("safety", "ToolTest")
    for firm in Firm.objects.all():
        rows = ToolTest.objects.filter(
            taken_back_at=None, item__gone_at=None, passed=True
        ).order_by("tested_on")
        last = {}
        for row in rows.select_related("item"):
            last[row.item_id] = row
        for row in last.values():
            known = firm.own_tools.setdefault(row.item.kind, {})
            day = row.tested_on.isoformat()
            known["tested_on"] = min(day, known.get("tested_on", day))
        firm.save(update_fields=["own_tools"])


class Migration(migrations.Migration):
    dependencies = [
        ("safety", "0007_tools_and_tests"),
        ("jobs", "0009_tool_tests_off"),
    ]

    operations = [migrations.RunPython(take_over, give_back)]
