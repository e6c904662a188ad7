"""One answer to which place a site is in, for taxes and for limits of payments; and no proposal with another's tax."""

from decimal import Decimal

import pytest
from django.urls import reverse

from estimating.actions import (
    CannotPropose,
    add_tax_rule,
    fill_estimate,
    make_proposal,
    remove_tax_rule,
    set_local_limit,
)
from estimating.local_limits import limit_of
from estimating.models import TaxRule
from estimating.places import place_of
from estimating.queries import estimate_page
from estimating.terms import taxes_in

pytestmark = pytest.mark.django_db


def move_to(job, region):
    job.site.region = region
    job.site.save()


@pytest.fixture
def url(laid_out):
    return reverse("estimating:estimate", args=[laid_out.pk])


def ohio(by, percent="6", region="Ohio"):
    return add_tax_rule(region=region, kind="material", on="cost", percent=Decimal(percent), by=by)


@pytest.mark.parametrize("typed", ["Ohio", "OH", " ohio", "O.H.", "oHiO "])
@pytest.mark.parametrize("entered", ["Ohio", "OH"])
def test_a_tax_counts_by_name_and_by_code(owner, typed, entered):
    ohio(owner, region=entered)
    add_tax_rule(region="", kind="material", on="cost", percent=Decimal(3), by=owner)
    assert [tax["percent"] for tax in taxes_in(typed)] == ["6"]
    assert [tax["percent"] for tax in taxes_in("Ontario")] == ["3"]


@pytest.mark.parametrize("typed", ["California", "CA", "ca.", " C.A. "])
def test_a_limit_counts_by_the_same(typed):
    assert limit_of(typed).place == place_of(typed).name == "California"


def test_a_place_of_the_shop_s_own_has_its_code_for_taxes_too(owner):
    set_local_limit(place="Bavaria", code="BY", share="", most=None, cancel_days=14, note="as told", seen=0, by=owner)
    ohio(owner, region="bavaria")
    assert place_of("BY").name == "Bavaria"
    assert place_of("BY").own_taxes
    renamed = {"place": "State of California", "code": "CA", "share": "5", "most": None, "cancel_days": 3}
    set_local_limit(key="california", **renamed, note="as told", seen=0, by=owner)
    assert limit_of("California").share == limit_of("CA").share == limit_of("state of california").share == "5"


def test_one_place_by_two_names_is_taxed_once(owner):
    """As a table is that was kept while only the text counted."""
    for region, percent in (("CA", 7), ("California", 8)):
        TaxRule.objects.create(region=region, kind="material", on="cost", percent=percent)
    assert [tax["percent"] for tax in taxes_in("CA")] == ["7"]
    assert [tax["percent"] for tax in taxes_in("California")] == ["8"]
    assert len(taxes_in("c.a")) == 1
    rule = ohio(owner, "5", "california")
    assert TaxRule.objects.count() == 2, "the same place again is the new figure"
    assert rule.percent == 5


@pytest.mark.parametrize("what", ["site", "rule", "gone"])
def test_a_tax_that_changed_since_the_fill_is_said_and_nothing_is_proposed(
    as_owner, url, estimate, laid_out, owner, what
):
    rule = ohio(owner)
    move_to(laid_out, "Ohio")
    fill_estimate(job=laid_out, by=owner)
    assert not estimate_page(laid_out).obstacles
    if what == "site":
        move_to(laid_out, "Maine")
    elif what == "rule":
        ohio(owner, "6.5")
    else:
        remove_tax_rule(rule=rule, by=owner)
    assert "taxes of the site’s place" in as_owner.get(url).text
    with pytest.raises(CannotPropose, match="taxes of the site"):
        make_proposal(job=laid_out, by=owner)
    fill_estimate(job=laid_out, by=owner)
    assert make_proposal(job=laid_out, by=owner)


def test_the_estimate_names_the_place_or_that_none_is_known(as_owner, url, estimate, laid_out, owner):
    for region, said in (
        ("CA", ["by the place: California", "A deposit is limited there"]),
        ("Calif.", ["No place is known for “Calif.”", "Correct the site", "No limit of deposits is known"]),
        ("", ["The site names no state or region"]),
    ):
        move_to(laid_out, region)
        page = as_owner.get(url).text
        assert all(each in page for each in said), region
    steps = reverse("estimating:job_payments", args=[laid_out.pk])
    move_to(laid_out, "Calif.")
    assert "No place is known for “Calif.”" in as_owner.get(steps).text
    move_to(laid_out, "CA")
    assert "No place is known" not in as_owner.get(steps).text


def test_an_installer_sees_none_of_it(as_installer, url):
    assert as_installer.get(url).status_code == 403
