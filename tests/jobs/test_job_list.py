"""Finding a job."""

import pytest
from django.urls import reverse

from jobs.models import Stage
from tests.factories import ClientFactory, CrewMemberFactory, JobFactory, SiteFactory
from tests.jobs.moving import bring

pytestmark = pytest.mark.django_db


def found(browser, **query: str) -> set[str]:
    return {job.title for job in browser.get(reverse("jobs:list"), query).context["page"]}


@pytest.fixture
def jobs(owner):
    bath = JobFactory(
        title="Upstairs bath", site=SiteFactory(client=ClientFactory(name="Odalys Brandt"), street="14 Kiln St")
    )
    floor = JobFactory(
        title="Lobby floor", site=SiteFactory(client=ClientFactory(name="Halvorsen"), street="2 Mill Row")
    )
    bring(floor, Stage.PROPOSED, owner)
    return bath, floor


@pytest.mark.parametrize(
    ("query", "titles"),
    [
        ({}, {"Upstairs bath", "Lobby floor"}),
        ({"q": "bath"}, {"Upstairs bath"}),
        ({"q": "odalys"}, {"Upstairs bath"}),
        ({"q": "mill row"}, {"Lobby floor"}),
        ({"stage": "proposed"}, {"Lobby floor"}),
        ({"stage": "proposed", "q": "bath"}, set()),
        ({"stage": "closed"}, set()),
        ({"q": "²"}, set()),
        ({"q": "9" * 30}, set()),
    ],
)
def test_by_title_client_street_and_stage(as_office, jobs, query, titles):
    assert found(as_office, **query) == titles


def test_by_its_number_as_it_is_written_or_spoken(as_office, jobs):
    bath = jobs[0]
    for words in (f"{bath.number:04d}", str(bath.number), f"#{bath.number}"):
        assert found(as_office, q=words) == {"Upstairs bath"}


@pytest.mark.parametrize("query", [{"q": "a\x00b"}, {"stage": "boss"}, {"page": "99"}, {"q": "x" * 200}])
def test_odd_queries_show_a_page(as_office, jobs, query):
    assert as_office.get(reverse("jobs:list"), query).status_code == 200


def test_the_newest_job_stands_first(as_office, jobs):
    assert [job.title for job in as_office.get(reverse("jobs:list")).context["page"]] == [
        "Lobby floor",
        "Upstairs bath",
    ]


def test_the_list_takes_the_same_queries_for_many_jobs_with_crews(as_office, django_assert_num_queries):
    CrewMemberFactory(job=JobFactory())
    as_office.get(reverse("jobs:list"))
    with django_assert_num_queries(6):  # session, user, settings, count, jobs, crews
        as_office.get(reverse("jobs:list"))
    for _ in range(30):
        job = JobFactory()
        CrewMemberFactory(job=job)
        CrewMemberFactory(job=job)
    with django_assert_num_queries(6):
        assert len(as_office.get(reverse("jobs:list")).context["page"]) == 25


def test_installers_have_no_list_of_jobs(as_installer, job):
    assert as_installer.get(reverse("jobs:list")).status_code == 403
