"""Real pages in a real browser: what a referrer policy does to a form, and what htmx really sends."""

from django.urls import reverse

from estimating.actions import make_link
from estimating.models import Acceptance, Proposal
from tests.factories import PASSWORD


def test_a_client_accepts_on_a_phone_without_javascript(own_database, web_server, browser, proposal, owner):
    token = make_link(proposal=proposal, by=owner)
    context = browser.new_context(viewport={"width": 390, "height": 800}, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{web_server}/p/{token}/")
    page.get_by_label("Your full name").fill("Odalys Brandt")
    page.get_by_label("I have read this proposal").check()
    page.get_by_role("button", name="Accept", exact=True).click()
    page.get_by_text("Accepted").first.wait_for()
    acceptance = Acceptance.objects.get()
    assert acceptance.typed_name == "Odalys Brandt"
    assert acceptance.address == "127.0.0.1"
    assert "Chrom" in acceptance.browser
    context.close()


def test_the_owner_saves_a_markup_and_only_the_totals_are_swapped(
    own_database, web_server, page, estimate, owner, laid_out
):
    page.goto(f"{web_server}/login/")
    page.locator("[name=username]").fill(owner.username)
    page.locator("[name=password]").fill(PASSWORD)
    page.locator("[name=password]").press("Enter")
    page.wait_for_url(lambda url: "login" not in url)
    page.goto(f"{web_server}/jobs/{laid_out.pk}/estimate/")
    page.get_by_label("Markup, percent of cost").fill("50")
    page.get_by_role("button", name="Save markup and tax").click()
    # TRADE.md 13: a markup of 50 percent is a margin of 33.33.
    page.get_by_text("margin: 33.33% of it").wait_for()
    assert page.locator("main").count() == 1
    estimate.refresh_from_db()
    assert estimate.markup_percent == 50
    # What is proposed is what the page shows since: the button came along.
    page.get_by_role("button", name="Make a proposal").click()
    page.wait_for_url(lambda url: "/estimate/" not in url)
    proposal = Proposal.objects.get()
    assert page.url.endswith(reverse("estimating:proposal", args=[proposal.pk]))
