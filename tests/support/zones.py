"""The zone that a test lives in."""

from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone


@pytest.fixture(autouse=True)
def in_the_zone_of_the_shop():
    """ "Today" in a test is the shop's today, as it is on its pages: for a conftest to import."""
    from shop.models import ShopSettings

    with timezone.override(ZoneInfo(ShopSettings().time_zone)):
        yield
