"""Tests of the home pages live in the zone of the shop."""

from tests.support.zones import in_the_zone_of_the_shop  # noqa: F401
