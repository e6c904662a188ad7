"""The fixed cast: an owner, an office hand, two installers, a client, and a job that only one installer is on.

A pytest plugin; imports are made inside, since the pure tests run without Django.
"""

import pytest


@pytest.fixture
def owner(db):
    from tests.factories import StaffFactory

    return StaffFactory(username="ines", name="Ines Okafor", role="owner")


@pytest.fixture
def office(db):
    from tests.factories import StaffFactory

    return StaffFactory(username="petra", name="Petra Lindqvist", role="office")


@pytest.fixture
def installer(db):
    from tests.factories import StaffFactory

    return StaffFactory(username="rui", name="Rui Tavares", role="installer")


@pytest.fixture
def other_installer(db):
    """On no job at all."""
    from tests.factories import StaffFactory

    return StaffFactory(username="marek", name="Marek Dunn", role="installer")


@pytest.fixture
def client_person(db):
    from tests.factories import ClientFactory

    return ClientFactory(name="Odalys Brandt")


@pytest.fixture
def job(client_person, installer):
    """A job being measured, with Rui on its crew."""
    from tests.factories import CrewMemberFactory, JobFactory, SiteFactory

    job = JobFactory(site=SiteFactory(client=client_person, street="14 Quarry Lane"), title="Upstairs bath")
    CrewMemberFactory(job=job, person=installer)
    return job


@pytest.fixture
def room(job):
    """The three-wall shower of `job`."""
    from tests.factories import RoomFactory

    return RoomFactory(job=job)


def _logged_in(person):
    from django.test import Client

    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def as_owner(owner):
    return _logged_in(owner)


@pytest.fixture
def as_office(office):
    return _logged_in(office)


@pytest.fixture
def as_installer(installer):
    return _logged_in(installer)


@pytest.fixture
def as_other_installer(other_installer):
    return _logged_in(other_installer)
