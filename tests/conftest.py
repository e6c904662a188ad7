"""What every test may ask for.

Pure tests (trade, layout) start nothing. `db` is a clone of the migrated template, as the role that the app runs as,
in a transaction that is rolled back. `own_database` is a clone of the test's own, committed for real: for threads,
processes and browsers. Nothing is ever flushed: the history refuses to be emptied.
"""

import os
import shutil
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from hypothesis import settings

from tests.support.databases import TestDatabases, running_databases, use_database

TESTS = Path(__file__).parent

# How long one example takes says how busy the machine is, and nothing of what is tested.
settings.register_profile("patient", settings.default, deadline=None)
settings.load_profile("patient")

pytest_plugins = ["tests.cast", "tests.support.services", "tests.support.browsers", "tests.support.postbox"]


@pytest.fixture(scope="session")
def test_folder() -> Iterator[Path]:
    """A short folder of this run's own, for sockets, data and collected static files."""
    folder = Path(os.environ["TEST_FOLDER"])
    folder.mkdir(mode=0o700)
    for left in folder.parent.glob("gaugerod-test-*"):
        # Of a run that was killed: nobody else will tidy up.
        if not Path("/proc", left.name.split("-")[2]).exists():
            shutil.rmtree(left, ignore_errors=True)
    yield folder
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="session")
def databases(test_folder, pytestconfig, django_db_blocker) -> Iterator[TestDatabases]:
    cache = Path(pytestconfig.cache.mkdir("gaugerod"))
    # Stacked, not nested in one `with`: the tests in between must find the database blocked again.
    with ExitStack() as stack:
        with django_db_blocker.unblock():
            running = stack.enter_context(running_databases(folder=test_folder, cache=cache))
        yield running


@pytest.fixture(scope="session")
def static_files(test_folder) -> None:
    """The collected static files with their manifest, as a page needs them."""
    from django.core.management import call_command

    call_command("collectstatic", verbosity=0, interactive=False)


@pytest.fixture(scope="session")
def django_db_setup(databases, static_files) -> Iterator[None]:
    """In place of pytest-django's: no TEST database is made or flushed, one clone serves all rolled-back tests."""
    with use_database(databases, databases.clone()):
        yield


@pytest.fixture
def db(request) -> None:
    """The rolled-back transaction; where the test also asks for `own_database`, that one."""
    if "own_database" in request.fixturenames:
        request.getfixturevalue("own_database")
    else:
        request.getfixturevalue("_django_db_helper")


@pytest.fixture
def own_database(request, databases, static_files, django_db_blocker, media) -> Iterator[str]:
    """A database of this test's own, committed for real; yields its address as the app role."""
    if request.node.get_closest_marker("django_db"):
        pytest.fail("own_database takes the place of the django_db mark: leave the mark out")
    name = databases.clone()
    with use_database(databases, name), django_db_blocker.unblock():
        yield databases.app_url(name)
    databases.drop(name)


@pytest.fixture(autouse=True)
def media(request, tmp_path) -> Path:
    """Photos and documents go into the test's own folder."""
    folder = tmp_path / "media"
    request.getfixturevalue("settings").MEDIA_ROOT = folder
    return folder


# Whose files take minutes each: begun first, so that at the end no core works alone at one of them.
LONG = ("journey", "launcher", "inspections", "shop", "rooms_app", "layout", "home", "estimating")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    folders = {folder: place for place, folder in enumerate(LONG)}
    items.sort(key=lambda item: folders.get(item.path.relative_to(TESTS).parts[0], len(LONG)))
    for item in items:
        mark = item.get_closest_marker("django_db")
        if (mark and mark.kwargs.get("transaction")) or {"transactional_db", "live_server"} & set(
            getattr(item, "fixturenames", ())
        ):
            raise pytest.UsageError(f"{item.nodeid}: a flush would empty the history; ask for own_database instead")
