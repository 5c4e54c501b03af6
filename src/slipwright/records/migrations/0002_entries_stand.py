"""The database refuses to change or delete an entry."""

from typing import Any

from django.db import migrations

ENTRY_TABLES = (
    "records_sticking",
    "records_look",
    "records_potting",
    "records_outcome",
    "records_act",
    "records_stage",
    "records_firmness",
    "records_bed",
    "records_reading",
    "records_note",
    "records_withdrawal",
)

WORDS = "entries are never changed or deleted: record a withdrawal instead"


def add_triggers(apps: Any, schema_editor: Any) -> None:
    if schema_editor.connection.vendor == "sqlite":
        for table in ENTRY_TABLES:
            for act in ("UPDATE", "DELETE"):
                schema_editor.execute(
                    f"CREATE TRIGGER {table}_no_{act.lower()} BEFORE {act} ON {table} "
                    f"BEGIN SELECT RAISE(ABORT, '{WORDS}'); END"
                )
        return
    schema_editor.execute(
        "CREATE FUNCTION records_entries_stand() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{WORDS}' USING ERRCODE = 'integrity_constraint_violation'; END $$"
    )
    for table in ENTRY_TABLES:
        schema_editor.execute(
            f"CREATE TRIGGER {table}_stands BEFORE UPDATE OR DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION records_entries_stand()"
        )
        schema_editor.execute(
            f"CREATE TRIGGER {table}_not_emptied BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION records_entries_stand()"
        )


def drop_triggers(apps: Any, schema_editor: Any) -> None:
    if schema_editor.connection.vendor == "sqlite":
        for table in ENTRY_TABLES:
            for act in ("update", "delete"):
                schema_editor.execute(f"DROP TRIGGER {table}_no_{act}")
        return
    for table in ENTRY_TABLES:
        schema_editor.execute(f"DROP TRIGGER {table}_stands ON {table}")
        schema_editor.execute(f"DROP TRIGGER {table}_not_emptied ON {table}")
    schema_editor.execute("DROP FUNCTION records_entries_stand()")


class Migration(migrations.Migration):
    dependencies = [("records", "0001_the_records")]
    operations = [migrations.RunPython(add_triggers, drop_triggers)]
