import pytest
from django.urls import reverse

from estimating.actions import add_line, make_own_rate
from estimating.models import EstimateLine, Proposal, ProposalLink, Rate

pytestmark = pytest.mark.django_db


@pytest.fixture
def pages(proposal, laid_out, room, owner):
    own = make_own_rate(name="Container", kind="disposal", unit="load", cost=420, by=owner)
    line = EstimateLine.objects.filter(estimate=laid_out.estimate).first()
    return {
        "rates": [],
        "rate_edit": ["mortar"],
        "rate_tile": [room.tile_id],
        "rate_own_new": [],
        "rate_own": [own.pk],
        "estimate": [laid_out.pk],
        "line": [line.pk],
        "line_new": [laid_out.pk],
        "proposal": [proposal.pk],
        "proposal_file": [proposal.pk],
        "proposal_state": [proposal.pk],
    }


OFFICE_MAY_NOT = {"rate_edit", "rate_tile", "rate_own", "rate_own_new", "line", "line_new"}


def test_the_owner_opens_every_page(as_owner, pages):
    for name, args in pages.items():
        assert as_owner.get(reverse(f"estimating:{name}", args=args)).status_code == 200, name


def test_the_office_sees_prices_and_doesn_t_make_them(as_office, pages, laid_out):
    for name, args in pages.items():
        expected = 403 if name in OFFICE_MAY_NOT else 200
        assert as_office.get(reverse(f"estimating:{name}", args=args)).status_code == expected, name
    before = (Rate.objects.count(), Proposal.objects.count())
    for name, button in (("rates", "install"), ("estimate", "fill"), ("estimate", "propose"), ("proposal", "withdraw")):
        url = reverse(f"estimating:{name}", args=pages[name])
        assert as_office.post(url, {button: "", "reason": "x"}).status_code == 403, (name, button)
    assert (Rate.objects.count(), Proposal.objects.count()) == before
    assert not Proposal.objects.exclude(end=None).exists()


def test_an_installer_never_sees_a_price_not_even_on_the_own_job(as_installer, as_other_installer, pages):
    for client in (as_installer, as_other_installer):
        for name, args in pages.items():
            url = reverse(f"estimating:{name}", args=args)
            for response in (client.get(url), client.post(url, {"link": "", "propose": ""})):
                # proposal_file takes no POST at all.
                assert response.status_code in (403, 405), (name, response.status_code)
                assert b"$" not in response.content
    assert ProposalLink.objects.count() == 0


def test_nobody_without_a_log_in_gets_further_than_the_log_in(client, pages):
    for name, args in pages.items():
        response = client.get(reverse(f"estimating:{name}", args=args))
        assert response.status_code == 302, name
        assert response.url.startswith(reverse("shop:login")), name


def test_what_is_not_there_is_not_found(as_owner):
    missing = "01890000-0000-7000-8000-000000000000"
    for name in (
        "estimate",
        "line",
        "line_new",
        "proposal",
        "proposal_file",
        "proposal_state",
        "rate_tile",
        "rate_own",
    ):
        assert as_owner.get(reverse(f"estimating:{name}", args=[missing])).status_code == 404, name


def test_the_owner_goes_from_an_empty_estimate_to_a_proposal_by_the_page(as_owner, laid_out, rates):
    url = reverse("estimating:estimate", args=[laid_out.pk])
    assert b"Not priced yet" in as_owner.get(url).content
    as_owner.post(url, {"fill": ""})
    as_owner.post(url, {"save": "", "markup_percent": "40", "tax_percent": "8.125"})
    page = as_owner.get(url)
    assert b"28.57" in page.content  # TRADE.md 13: a markup of 40 percent is a margin of 28.57
    response = as_owner.post(url, {"propose": ""})
    proposal = Proposal.objects.get()
    assert response.url == reverse("estimating:proposal", args=[proposal.pk])


def test_totals_come_alone_for_htmx(as_owner, estimate, laid_out):
    url = reverse("estimating:estimate", args=[laid_out.pk])
    response = as_owner.post(
        url,
        {"save": "", "markup_percent": "50", "tax_percent": "0"},
        headers={"HX-Request": "true", "HX-Target": "section#totals"},
    )
    assert response.status_code == 200
    assert b"33.33" in response.content
    assert b"<html" not in response.content


@pytest.mark.parametrize("typed", ["", "abc", "-1", "NaN", "1e9"])
def test_a_markup_that_is_none_comes_back_as_it_was_typed(as_owner, estimate, laid_out, typed):
    url = reverse("estimating:estimate", args=[laid_out.pk])
    response = as_owner.post(url, {"save": "", "markup_percent": typed, "tax_percent": "0"})
    assert response.status_code == 422
    assert response.context["form"]["markup_percent"].value() == typed
    estimate.refresh_from_db()
    assert estimate.markup_percent == 35


def test_a_line_is_changed_restored_added_and_removed_by_the_page(as_owner, estimate, laid_out):
    grout = EstimateLine.objects.get(estimate=estimate, key="grout")
    url = reverse("estimating:line", args=[grout.pk])
    assert as_owner.post(url, {"save": "", "quantity": "20", "cost": "", "reason": ""}).status_code == 200
    as_owner.post(url, {"save": "", "quantity": "20", "cost": "", "reason": "two colors"})
    grout.refresh_from_db()
    assert (grout.quantity, grout.override_reason) == (20, "two colors")
    as_owner.post(url, {"restore": ""})
    grout.refresh_from_db()
    assert grout.override_reason == ""
    new = {"text": "Container", "kind": "other", "room": "", "quantity": "1", "unit": "each", "unit_cost": "280"}
    as_owner.post(reverse("estimating:line_new", args=[laid_out.pk]), new)
    own = EstimateLine.objects.get(text="Container")
    as_owner.post(reverse("estimating:line", args=[own.pk]), {"remove": ""})
    assert not EstimateLine.objects.filter(pk=own.pk).exists()


def test_the_page_of_an_estimate_takes_as_many_queries_for_many_lines(
    as_owner, estimate, laid_out, owner, django_assert_num_queries, django_assert_max_num_queries
):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    url = reverse("estimating:estimate", args=[laid_out.pk])
    with CaptureQueriesContext(connection) as few:
        as_owner.get(url)
    for number in range(20):
        add_line(job=laid_out, kind="other", text=f"Line {number}", quantity=1, unit="each", unit_cost=5, by=owner)
    with django_assert_num_queries(len(few)):
        as_owner.get(url)
    assert len(few) <= 30


def test_the_page_of_rates_takes_as_many_queries_for_many_rates(as_owner, owner, rates, django_assert_num_queries):
    from tests.factories import TileFactory

    TileFactory.create_batch(10)
    make_own_rate(name="Floor protection", kind="material", unit="ft2", cost=1, by=owner)
    make_own_rate(name="Container", kind="disposal", unit="load", cost=420, by=owner)
    with django_assert_num_queries(QUERIES_OF_RATES):
        as_owner.get(reverse("estimating:rates"))


# Session, user, shop's settings; rates, tiles, own rates and those put away.
QUERIES_OF_RATES = 7
