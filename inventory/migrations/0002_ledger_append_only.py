"""The database itself refuses to change or delete an entry, whoever asks: a view, the admin, or a person at its prompt."""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

REFUSAL = "the ledger is append-only: write a correcting entry"

SQLITE = {
    "create": [
        f"""CREATE TRIGGER entry_never_changed BEFORE UPDATE ON inventory_entry
            BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END""",
        f"""CREATE TRIGGER entry_never_deleted BEFORE DELETE ON inventory_entry
            BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END""",
    ],
    "drop": [
        "DROP TRIGGER IF EXISTS entry_never_changed",
        "DROP TRIGGER IF EXISTS entry_never_deleted",
    ],
}
POSTGRESQL = {
    "create": [
        f"""CREATE OR REPLACE FUNCTION refuse_ledger_change() RETURNS trigger LANGUAGE plpgsql AS $$
            BEGIN RAISE EXCEPTION '{REFUSAL}' USING ERRCODE = 'integrity_constraint_violation'; END $$""",
        """CREATE TRIGGER entry_never_changed BEFORE UPDATE OR DELETE ON inventory_entry
           FOR EACH ROW EXECUTE FUNCTION refuse_ledger_change()""",
        """CREATE TRIGGER entry_never_truncated BEFORE TRUNCATE ON inventory_entry
           FOR EACH STATEMENT EXECUTE FUNCTION refuse_ledger_change()""",
    ],
    "drop": [
        "DROP TRIGGER IF EXISTS entry_never_changed ON inventory_entry",
        "DROP TRIGGER IF EXISTS entry_never_truncated ON inventory_entry",
        "DROP FUNCTION IF EXISTS refuse_ledger_change()",
    ],
}


def _run(schema_editor: BaseDatabaseSchemaEditor, step: str) -> None:
    statements = {"sqlite": SQLITE, "postgresql": POSTGRESQL}[schema_editor.connection.vendor]
    with schema_editor.connection.cursor() as cursor:
        for statement in statements[step]:
            cursor.execute(statement)


def create(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    _run(schema_editor, "create")


def drop(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    _run(schema_editor, "drop")


class Migration(migrations.Migration):
    dependencies = [("inventory", "0001_catalogue_and_shelf")]
    operations = [migrations.RunPython(create, drop)]
