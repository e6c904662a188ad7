"""A job's number is given once."""

import pytest
from django.db import Error, connection, transaction

from jobs.models import Job
from tests.factories import JobFactory

pytestmark = pytest.mark.django_db


def test_numbers_rise_by_one():
    first, second = JobFactory(), JobFactory()
    assert second.number == first.number + 1


def test_the_number_of_a_deleted_job_never_comes_back():
    number = (job := JobFactory()).number
    job.delete()
    assert JobFactory().number == number + 1


def test_a_job_that_was_not_kept_costs_its_number_rather_than_lending_it_out():
    before = JobFactory().number
    with transaction.atomic():
        JobFactory()
        transaction.set_rollback(True)
    assert JobFactory().number == before + 2


def test_a_number_cannot_be_changed_or_given_twice():
    first, second = JobFactory(), JobFactory()
    for wanted in (first.number, first.number + 100):
        with pytest.raises(Error), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("UPDATE jobs_job SET number = %s WHERE id = %s", [wanted, second.pk])
    with pytest.raises(Error), transaction.atomic():
        Job.objects.create(number=first.number, client=first.client, site=first.site, title="Bath")
