"""Starting and editing a job."""

import uuid

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from base.errors import Refused
from jobs.actions import change_job, create_job
from jobs.models import Job, Stage
from tests.factories import ClientFactory, JobFactory, SiteFactory

pytestmark = pytest.mark.django_db


def new_url(client) -> str:
    return f"{reverse('jobs:new')}?client={client.pk}"


def test_first_comes_the_question_for_whom(as_office, client_person):
    text = as_office.get(reverse("jobs:new")).text
    assert f"?client={client_person.pk}" in text
    assert f"?client={client_person.pk}" not in as_office.get(reverse("jobs:new"), {"q": "nobody of this name"}).text


def test_a_client_without_a_site_is_asked_for_one(as_office, client_person):
    assert (
        reverse("clients:site_new", args=[client_person.pk]) + "?then=job" in as_office.get(new_url(client_person)).text
    )


def test_a_job_starts_measuring_with_a_number(as_office, client_person, office):
    site = SiteFactory(client=client_person)
    answer = as_office.post(
        new_url(client_person), {"key": uuid.uuid4(), "title": "Upstairs bath", "site": site.pk, "note": "n"}
    )
    job = Job.objects.get()
    assert answer.url == reverse("home:job", args=[job.pk])
    assert (job.title, job.site, job.client, job.stage) == ("Upstairs bath", site, client_person, Stage.MEASURING)
    assert job.number > 0
    assert job.events.get().pgh_context.metadata["user"] == str(office.pk)


def test_sent_twice_it_is_one_job_with_one_number(as_office, client_person):
    typed = {"key": uuid.uuid4(), "title": "Upstairs bath", "site": SiteFactory(client=client_person).pk}
    answers = [as_office.post(new_url(client_person), typed) for _ in range(2)]
    assert answers[0].url == answers[1].url
    assert Job.objects.count() == 1


def test_another_clients_site_cannot_be_chosen(as_office, client_person):
    SiteFactory(client=client_person)
    elsewhere = SiteFactory(client=ClientFactory())
    answer = as_office.post(new_url(client_person), {"key": uuid.uuid4(), "title": "Bath", "site": elsewhere.pk})
    assert answer.context["form"].errors["site"]
    assert not Job.objects.exists()


def test_another_clients_site_is_refused_by_the_action_and_by_the_database(job, owner):
    elsewhere = SiteFactory(client=ClientFactory())
    with pytest.raises(Refused, match="isn't a site of"):
        create_job(client=job.client, site=elsewhere, title="Bath", by=owner)
    with pytest.raises(Refused, match="isn't a site of"):
        change_job(job=job, title="Bath", note="", site=elsewhere, by=owner)
    with pytest.raises(IntegrityError, match="not one of the client"), transaction.atomic():
        JobFactory(client=job.client, site=elsewhere)
    with pytest.raises(IntegrityError, match="not one of the client"), transaction.atomic():
        Job.objects.filter(pk=job.pk).update(site=elsewhere)


@pytest.mark.parametrize(
    ("field", "value"), [("title", ""), ("title", "  "), ("title", "x" * 161), ("site", ""), ("site", "7")]
)
def test_what_is_wrong_is_said_and_the_rest_stays_typed(as_office, client_person, field, value):
    typed = {
        "key": uuid.uuid4(),
        "title": "Bath",
        "site": SiteFactory(client=client_person).pk,
        "note": "bring the level",
    }
    answer = as_office.post(new_url(client_person), typed | {field: value})
    assert answer.context["form"].errors[field]
    assert "bring the level" in answer.text


@pytest.mark.parametrize("client", ["", "x", "0b2b149d-c00e-47e8-a55c-3ac4aab444a6"])
def test_a_client_that_is_not_there_is_not_found(as_office, client):
    assert as_office.get(reverse("jobs:new"), {"client": client}).status_code == 404


def test_a_job_is_edited(as_office, job):
    other = SiteFactory(client=job.client)
    as_office.post(reverse("jobs:edit", args=[job.pk]), {"title": "Attic bath", "site": other.pk, "note": "n"})
    job.refresh_from_db()
    assert (job.title, job.site, job.note) == ("Attic bath", other, "n")


def test_installers_neither_start_nor_edit_jobs(as_installer, as_other_installer, job):
    for browser in (as_installer, as_other_installer):
        for page in (reverse("jobs:new"), new_url(job.client), reverse("jobs:edit", args=[job.pk])):
            assert browser.get(page).status_code == 403
            assert browser.post(page, {"title": "x", "site": job.site_id}).status_code == 403
    assert Job.objects.count() == 1
