"""What the role that runs the app may not do, tried in raw SQL: what its own code might do by mistake or by attack."""

import pghistory
import pytest
from django.apps import apps
from django.db import connection, transaction
from django.db.utils import DatabaseError, IntegrityError, InternalError, ProgrammingError

from shop.models import Staff
from tests.factories import JobFactory, StaffFactory

pytestmark = pytest.mark.django_db

EVENTS = Staff.pgh_event_model._meta.db_table


def run(statement: str) -> list[tuple]:
    with connection.cursor() as cursor:
        cursor.execute(statement)
        return cursor.fetchall() if cursor.description else []


def refused(statement: str) -> str:
    """Runs the statement in a savepoint of its own and returns why it was refused."""
    with pytest.raises(DatabaseError) as caught, transaction.atomic():
        run(statement)
    assert isinstance(caught.value, ProgrammingError | InternalError | IntegrityError)
    return str(caught.value)


def test_the_tests_run_as_the_app_role():
    assert run("SELECT current_user, session_user") == [("gaugerod_app", "gaugerod_app")]


def test_the_app_role_owns_nothing_and_is_nobody_special():
    assert run("SELECT relname FROM pg_class WHERE pg_get_userbyid(relowner) = current_user") == []
    assert run(
        "SELECT rolsuper, rolcreatedb, rolcreaterole, rolreplication, rolbypassrls FROM pg_roles "
        "WHERE rolname = current_user"
    ) == [(False, False, False, False, False)]
    assert run("SELECT rolname FROM pg_roles WHERE pg_has_role(rolname, 'MEMBER') AND rolname <> current_user") == []


def test_a_change_writes_its_event_and_keeps_who_did_it():
    person = StaffFactory(role="office")
    with pghistory.context(user="the owner"):
        Staff.objects.filter(pk=person.pk).update(role="owner")
    event = Staff.pgh_event_model.objects.filter(pgh_obj=person).latest("pgh_id")
    assert (event.pgh_label, event.role) == ("update", "owner")
    assert event.pgh_context.metadata == {"user": "the owner"}


def test_what_is_added_to_a_context_later_is_kept_too():
    with pghistory.context(user="the owner"):
        person = StaffFactory(role="office")
        pghistory.context(why="a mistake")
        Staff.objects.filter(pk=person.pk).update(role="owner")
    event = Staff.pgh_event_model.objects.filter(pgh_obj=person).latest("pgh_id")
    assert event.pgh_context.metadata == {"user": "the owner", "why": "a mistake"}


@pytest.mark.parametrize(
    "statement",
    [
        f"UPDATE {EVENTS} SET role = 'owner'",
        f"DELETE FROM {EVENTS}",
        f"TRUNCATE {EVENTS}",
        f"INSERT INTO {EVENTS} SELECT * FROM {EVENTS}",
        "UPDATE pghistory_context SET metadata = '{}'",
        "DELETE FROM pghistory_context",
        "TRUNCATE pghistory_context",
        "UPDATE django_migrations SET name = 'other'",
        f"SELECT setval('{EVENTS}_pgh_id_seq', 1)",
    ],
)
def test_the_history_is_read_only(statement):
    StaffFactory()
    assert "permission denied" in refused(statement)


def test_every_table_of_the_history_is_read_only_and_no_table_can_be_emptied():
    events = {
        model._meta.db_table
        for model in apps.get_models()
        if issubclass(model, pghistory.models.Event) and model._meta.managed
    }
    assert len(events) >= 10
    rights = dict(
        run("""
            SELECT c.relname, array_agg(a.privilege_type ORDER BY a.privilege_type)
            FROM pg_class c, aclexplode(c.relacl) a
            WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r'
              AND pg_get_userbyid(a.grantee) = current_user
            GROUP BY c.relname
        """)
    )
    assert {table for table in events if rights[table] != ["SELECT"]} == set()
    assert not [
        table for table, granted in rights.items() if not set(granted) <= {"SELECT", "INSERT", "UPDATE", "DELETE"}
    ]


def test_every_append_only_table_takes_rows_and_never_changes_them():
    tables = [
        model._meta.db_table
        for model in apps.get_models()
        if any(trigger.name == "append_only" for trigger in getattr(model._meta, "triggers", ()))
        and not issubclass(model, pghistory.models.Event)
    ]
    assert len(tables) >= 5
    for table in tables:
        assert "permission denied" in refused(f"UPDATE {table} SET id = id")
        assert "permission denied" in refused(f"DELETE FROM {table}")
        assert "permission denied" in refused(f"TRUNCATE {table} CASCADE")
        assert run(f"SELECT has_table_privilege('{table}', 'INSERT')") == [(True,)]


@pytest.mark.parametrize(
    "statement",
    [
        "ALTER TABLE jobs_job DISABLE TRIGGER ALL",
        "DROP TABLE jobs_job",
        "DROP TRIGGER {trigger} ON jobs_job",
        "ALTER FUNCTION {trigger}() SECURITY INVOKER",
        "CREATE OR REPLACE FUNCTION _pgh_attach_context() RETURNS uuid AS 'SELECT NULL::uuid' LANGUAGE sql",
        "ALTER TABLE jobs_job ADD COLUMN more int",
        "CREATE TABLE ours (id int)",
        "SET session_replication_role = replica",
        "SET SESSION AUTHORIZATION gaugerod_owner",
        "SET ROLE gaugerod_owner",
    ],
)
def test_the_schema_and_its_triggers_are_out_of_reach(statement):
    [(trigger,)] = run("SELECT tgname FROM pg_trigger WHERE tgname LIKE 'pgtrigger_stage_moves_%'")
    said = refused(statement.format(trigger=trigger))
    assert "permission denied" in said or "must be owner" in said


def test_a_session_can_not_switch_a_trigger_off_by_name():
    """The library's own switch (`SET pgtrigger.ignore`) is a setting that any session may write."""
    job = JobFactory()
    [(trigger,)] = run("SELECT tgname FROM pg_trigger WHERE tgname LIKE 'pgtrigger_stage_moves_%'")
    run(f"SET LOCAL pgtrigger.ignore = '{{{trigger}}}'")
    assert "can not move from measuring to closed" in refused(
        f"UPDATE jobs_job SET stage = 'closed' WHERE id = '{job.pk}'"
    )


def test_an_old_context_can_not_be_rewritten_by_naming_it_again():
    with pghistory.context(user="the owner") as context:
        person = StaffFactory(role="office")
    run(f"SET LOCAL pghistory.context_id = '{context.id}'")
    run('SET LOCAL pghistory.context_metadata = \'{"user": "somebody else"}\'')
    run(f"UPDATE shop_staff SET role = 'owner' WHERE id = '{person.pk}'")
    assert run(f"SELECT metadata ->> 'user' FROM pghistory_context WHERE id = '{context.id}'") == [("the owner",)]


def test_a_table_of_the_sessions_own_does_not_stand_in_for_a_real_one():
    """The triggers' functions look in `public` before they look among temporary tables."""
    person = StaffFactory(role="office")
    run(f"CREATE TEMPORARY TABLE {EVENTS} (LIKE public.{EVENTS} INCLUDING ALL)")
    run(f"UPDATE shop_staff SET role = 'owner' WHERE id = '{person.pk}'")
    assert run(f"SELECT count(*) FROM public.{EVENTS} WHERE pgh_obj_id = '{person.pk}' AND role = 'owner'") == [(1,)]


def test_a_number_that_was_given_out_can_not_be_given_out_again():
    assert "permission denied" in refused("SELECT setval('jobs_job_number', 1)")
    assert "must be owner" in refused("ALTER SEQUENCE jobs_job_number RESTART")
