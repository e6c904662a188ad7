"""A text of proposals in a real browser: the preview follows the hand, and an earlier version is a press away."""

from estimating.actions import set_text
from tests.factories import PASSWORD


def test_the_preview_follows_the_hand_and_a_version_comes_back(own_database, web_server, page, owner):
    set_text(key="greeting", text="Dear {client},\n\nhere is the proposal.", seen=0, by=owner)
    page.goto(f"{web_server}/login/?next=/proposal-texts/greeting/")
    page.locator("[name=username]").fill(owner.username)
    page.locator("[name=password]").fill(PASSWORD)
    page.locator("[name=password]").press("Enter")
    page.get_by_role("heading", name="Greeting", exact=True).wait_for()
    page.get_by_label("What it says").fill("Hello {client}, {clyent}")
    page.get_by_text("there is no field {clyent}").wait_for()
    page.get_by_label("What it says").fill("Hello {client}, it is {total}.")
    page.get_by_text("Hello Odalys Brandt, it is $8,000.00.").wait_for()
    page.get_by_role("button", name="Keep this text").click()
    page.get_by_text("The next proposals say it so").wait_for()
    page.get_by_role("button", name="Bring back 1").click()
    page.get_by_role("cell", name="here is the proposal").nth(1).wait_for()
