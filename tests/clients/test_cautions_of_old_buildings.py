"""What the year of a building says about lead and asbestos.

Lead: 40 CFR 745.103 and 745.83, "target housing": housing constructed before 1978.
Asbestos: resilient floors and their adhesive presumed from about 1920 to 1980, adhesive sold to 1997
(inspectapedia.com/hazmat/Floor_Tile_Mastic_Asbestos.php), so everything before 1980 has to carry the caution.
"""

import pytest
from django.urls import reverse

from clients.cautions import cautions_for
from tests.factories import SiteFactory


@pytest.mark.parametrize(
    ("year", "lead", "asbestos"),
    [(1890, True, True), (1977, True, True), (1978, False, True), (1979, False, True), (2015, False, False)],
)
def test_by_the_year_built(year, lead, asbestos):
    rules = {caution.rule.id for caution in cautions_for(year)}
    assert ("safety.lead" in rules) is lead
    assert ("safety.asbestos" in rules) is asbestos


def test_an_unknown_year_is_taken_for_old():
    assert len(cautions_for(None)) == 2


@pytest.mark.django_db
def test_the_site_shows_them_with_their_source(as_office, client_person):
    old = SiteFactory(client=client_person, year_built=1962)
    new = SiteFactory(client=client_person, year_built=2019)
    text = as_office.get(reverse("clients:site_edit", args=[old.pk])).text
    assert "40 CFR 745" in text
    assert "Built before 1978: lead" in text
    assert "asbestos" in text
    text = as_office.get(reverse("clients:site_edit", args=[new.pk])).text
    assert "40 CFR 745" not in text
