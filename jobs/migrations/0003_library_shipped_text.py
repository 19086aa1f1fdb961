"""Keep the shipped text that an edited one was made from, so that updates can merge."""

from django.db import migrations, models
from django.db.models import F


def fill(apps, schema_editor):
    """A text nobody edited is the shipped one."""
    rows = apps.get_model("jobs", "LibraryText").objects
    rows.filter(digest=F("shipped_digest")).update(shipped_text=F("text"))


class Migration(migrations.Migration):

    dependencies = [
        ("jobs", "0002_ledger_refuses_change"),
    ]

    operations = [
        migrations.AddField(
            model_name="librarytext",
            name="shipped_text",
            field=models.TextField(blank=True, editable=False, default=""),
            preserve_default=False,
        ),
        migrations.RunPython(fill, migrations.RunPython.noop),
    ]
