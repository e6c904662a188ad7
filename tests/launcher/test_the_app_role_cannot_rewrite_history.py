"""What the app role may not do, tried in raw SQL. The rights are PostgreSQL's own; no outside figure is involved."""

import pghistory
import pytest
from django.db import connection, transaction
from django.db.utils import ProgrammingError

from shop.models import Staff
from tests.factories import StaffFactory

pytestmark = pytest.mark.django_db


def refused(statement: str) -> str:
    """Runs the statement in a savepoint of its own and returns why it was refused."""
    with pytest.raises(ProgrammingError) as caught, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
    return str(caught.value)


def test_the_tests_run_as_the_app_role():
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_user, session_user")
        assert cursor.fetchone() == ("gaugerod_app", "gaugerod_app")


def test_a_change_writes_its_event_and_keeps_who_did_it():
    person = StaffFactory(role="office")
    with pghistory.context(user="the owner"):
        Staff.objects.filter(pk=person.pk).update(role="owner")
    event = Staff.pgh_event_model.objects.filter(pgh_obj=person).latest("pgh_id")
    assert (event.pgh_label, event.role) == ("update", "owner")
    assert event.pgh_context.metadata == {"user": "the owner"}
