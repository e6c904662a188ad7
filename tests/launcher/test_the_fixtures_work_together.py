"""The test infrastructure itself: processes, threads and browser see what the test committed."""

import threading

import pytest
from django.db import connection

from shop.models import Staff
from tests.factories import PASSWORD, StaffFactory


def test_another_thread_sees_the_rows_of_an_own_database(own_database):
    StaffFactory(username="wanda")
    seen: list[int] = []

    def look() -> None:
        seen.append(Staff.objects.filter(username="wanda").count())
        connection.close()

    thread = threading.Thread(target=look)
    thread.start()
    thread.join()
    assert seen == [1]


def test_an_own_database_begins_empty(own_database):
    assert Staff.objects.count() == 0


@pytest.mark.django_db
def test_after_an_own_database_the_shared_clone_is_still_empty():
    assert Staff.objects.count() == 0


def test_a_person_of_the_cast_logs_in_through_the_real_web_server(web_server, owner, page):
    page.goto(f"{web_server}/")
    page.get_by_label("Log-in name").fill(owner.username)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    page.wait_for_url(lambda url: "login" not in url)
    assert page.context.cookies()[-1]["name"]


def test_a_real_worker_hears_the_test_and_comes_back_after_kill_9(worker):
    from config.celery import app

    assert len(app.control.ping(timeout=5, limit=1)) == 1, worker.said()
    worker.kill()
    assert app.control.ping(timeout=1) == []
    worker.start()
    assert len(app.control.ping(timeout=5, limit=1)) == 1, worker.said()
