"""The real page in a real browser: what a referrer policy does to a form can't be seen from a test client."""

from estimating.actions import make_link
from estimating.models import Acceptance


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
