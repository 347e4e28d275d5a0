from django.db import migrations

TABLE = "logs_auditevent"
FIXED = ("id", "at", "on", "verb", "page", "detail")
FORGETTABLE = {"actor_id": "NULL", "member_id": "NULL", "club_id": "NULL", "origin": "''"}
"""What erasing an account, or closing a club, sets. No other change of a row goes through."""

DELETE_REFUSED = "the audit trail is only added to: no row of it is deleted"
UPDATE_REFUSED = "the audit trail is only added to: a row may forget whom it names, nothing else"

# https://www.sqlite.org/lang_createtrigger.html: IS and IS NOT compare with NULL as with a value.
SQLITE = (
    f"""
    CREATE TRIGGER audit_event_kept BEFORE DELETE ON {TABLE}
    BEGIN SELECT RAISE(ABORT, '{DELETE_REFUSED}'); END
    """,
    f"""
    CREATE TRIGGER audit_event_unchanged BEFORE UPDATE ON {TABLE}
    WHEN NOT ({" AND ".join(
        [f'NEW."{name}" IS OLD."{name}"' for name in FIXED]
        + [f'(NEW."{name}" IS OLD."{name}" OR NEW."{name}" IS {blank})'
           for name, blank in FORGETTABLE.items()]
    )})
    BEGIN SELECT RAISE(ABORT, '{UPDATE_REFUSED}'); END
    """,
    # REPLACE deletes without the trigger above (https://www.sqlite.org/lang_conflict.html), so no
    # row comes in the place of another; a second look of a day is left out.
    f"""
    CREATE TRIGGER audit_event_not_replaced BEFORE INSERT ON {TABLE}
    BEGIN
      SELECT RAISE(ABORT, '{DELETE_REFUSED}')
      WHERE EXISTS (SELECT 1 FROM {TABLE} WHERE id = NEW.id);
      SELECT RAISE(IGNORE)
      WHERE NEW.verb = 'look' AND EXISTS (
        SELECT 1 FROM {TABLE} WHERE verb = 'look' AND actor_id = NEW.actor_id
        AND member_id = NEW.member_id AND page = NEW.page AND "on" = NEW."on"
      );
    END
    """,
)

# https://www.postgresql.org/docs/current/plpgsql-trigger.html
POSTGRESQL = (
    f"""
    CREATE FUNCTION audit_event_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'integrity_constraint_violation'; END $$
    """,
    f"""
    CREATE TRIGGER audit_event_kept BEFORE DELETE ON {TABLE}
    FOR EACH ROW EXECUTE FUNCTION audit_event_refuse('{DELETE_REFUSED}')
    """,
    f"""
    CREATE TRIGGER audit_event_unchanged BEFORE UPDATE ON {TABLE}
    FOR EACH ROW WHEN (NOT ({" AND ".join(
        [f'NEW."{name}" IS NOT DISTINCT FROM OLD."{name}"' for name in FIXED]
        + [f'(NEW."{name}" IS NOT DISTINCT FROM OLD."{name}"'
           f' OR NEW."{name}" IS NOT DISTINCT FROM {blank})'
           for name, blank in FORGETTABLE.items()]
    )}))
    EXECUTE FUNCTION audit_event_refuse('{UPDATE_REFUSED}')
    """,
    f"""
    CREATE TRIGGER audit_event_all_kept BEFORE TRUNCATE ON {TABLE}
    FOR EACH STATEMENT EXECUTE FUNCTION audit_event_refuse('{DELETE_REFUSED}')
    """,
)
DROP = {  # a database from before a trigger was thought of has it not
    "sqlite": tuple(
        f"DROP TRIGGER IF EXISTS audit_event_{name}"
        for name in ("kept", "unchanged", "not_replaced")
    ),
    "postgresql": (
        *(
            f"DROP TRIGGER IF EXISTS audit_event_{name} ON {TABLE}"
            for name in ("kept", "unchanged", "all_kept")
        ),
        "DROP FUNCTION audit_event_refuse()",
    ),
}


def add_triggers(apps, schema_editor):
    statements = {"sqlite": SQLITE, "postgresql": POSTGRESQL}[schema_editor.connection.vendor]
    for statement in statements:
        schema_editor.execute(statement, params=None)


def drop_triggers(apps, schema_editor):
    for statement in DROP[schema_editor.connection.vendor]:
        schema_editor.execute(statement, params=None)


class Migration(migrations.Migration):

    dependencies = [("logs", "0005_people")]

    operations = [migrations.RunPython(add_triggers, drop_triggers)]
