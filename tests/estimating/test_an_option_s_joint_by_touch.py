"""The joint of an option is typed on the keys for lengths, as every other length."""

from django.urls import reverse

from tests.factories import PASSWORD
from tests.support.browsers import PATIENCE


def test_the_joint_of_a_copy_is_typed_in_fractions(own_database, web_server, browser, laid_out, owner):
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(f"{web_server}/login/?next={reverse('estimating:options_new', args=[laid_out.pk])}")
    page.locator("[name=username]").fill(owner.username)
    page.locator("[name=password]").fill(PASSWORD)
    page.locator("[name=password]").press("Enter")
    page.locator("#id_joint").tap()
    assert page.get_attribute("#id_joint", "inputmode") == "none"
    keys = page.locator(".keypad")
    keys.get_by_role("button", name="3/16", exact=True).tap()
    assert page.input_value("#id_joint") == "3/16"
    # It is the last length: the next key closes the keys and goes on to the button.
    keys.get_by_role("button", name="Next", exact=True).tap()
    assert not keys.is_visible()
    assert page.evaluate("document.activeElement.name") == "another"
    context.close()
    assert errors == []
