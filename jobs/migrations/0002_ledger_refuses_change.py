"""The database itself refuses to change or delete ledger entries."""

from django.db import migrations

SAYS = "ledger entries are never changed or deleted"

SQLITE_UP = [
    f"""CREATE TRIGGER ledger_no_{verb} BEFORE {verb.upper()} ON jobs_ledgerentry
        BEGIN SELECT RAISE(ABORT, '{SAYS}'); END"""
    for verb in ("update", "delete")
]
SQLITE_DOWN = [
    f"DROP TRIGGER IF EXISTS ledger_no_{verb}" for verb in ("update", "delete")
]
POSTGRES_UP = [
    f"""CREATE FUNCTION ledger_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN RAISE EXCEPTION '{SAYS}'; END $$""",
    """CREATE TRIGGER ledger_no_change BEFORE UPDATE OR DELETE ON jobs_ledgerentry
        FOR EACH ROW EXECUTE FUNCTION ledger_refuse()""",
    """CREATE TRIGGER ledger_no_truncate BEFORE TRUNCATE ON jobs_ledgerentry
        FOR EACH STATEMENT EXECUTE FUNCTION ledger_refuse()""",
]
POSTGRES_DOWN = [
    "DROP TRIGGER IF EXISTS ledger_no_change ON jobs_ledgerentry",
    "DROP TRIGGER IF EXISTS ledger_no_truncate ON jobs_ledgerentry",
    "DROP FUNCTION IF EXISTS ledger_refuse()",
]
STATEMENTS = {
    "sqlite": (SQLITE_UP, SQLITE_DOWN),
    "postgresql": (POSTGRES_UP, POSTGRES_DOWN),
}


def put_up(apps, schema_editor):
    for statement in STATEMENTS[schema_editor.connection.vendor][0]:
        schema_editor.execute(statement)


def take_down(apps, schema_editor):
    for statement in STATEMENTS[schema_editor.connection.vendor][1]:
        schema_editor.execute(statement)


class Migration(migrations.Migration):
    dependencies = [("jobs", "0001_first_records")]

    operations = [migrations.RunPython(put_up, take_down)]
