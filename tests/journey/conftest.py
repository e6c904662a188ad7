"""The demo shop behind the real web server, loaded once for all the tests of a file that only look at pages."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest

from tests.support.databases import use_database
from tests.support.services import running_web_server

if TYPE_CHECKING:
    from tests.journey.demo import Demo


@dataclass(frozen=True, kw_only=True)
class DemoShop:
    url: str
    demo: "Demo"


@pytest.fixture(scope="module")
def demo_shop(databases, static_files, tmp_path_factory, django_db_blocker) -> Iterator[DemoShop]:
    from django.test import override_settings

    from tests.journey.demo import load

    folder = tmp_path_factory.mktemp("demo")
    name = databases.clone()
    database, media = databases.app_url(name), folder / "media"
    try:
        with override_settings(MEDIA_ROOT=media), use_database(databases, name), django_db_blocker.unblock():
            demo = load()
        with running_web_server(database=database, broker="memory://", media=media, log=folder / "web.log") as url:
            yield DemoShop(url=url, demo=demo)
    finally:
        databases.drop(name)
