"""From the mail to the accepted PDF on a phone: read, choose, ask, be answered, draw a signature, accept, download.

Each page on the way is judged by axe (WCAG 2.2 A and AA, by the tags of its rules) at 390 and 1280 px.
"""

import hashlib
import os
import re
from pathlib import Path

import pytest
from django.urls import reverse

from estimating.actions import answer_question, make_link, send_proposal
from estimating.models import Acceptance, Question
from estimating.options import total_of
from estimating.signing import strokes_from
from shop.mail import send_mails
from tests.factories import PASSWORD
from tests.journey.test_every_page_is_accessible import AXE, AXE_SCRIPT, TELL_VIOLATIONS, TOO_WIDE, UNFOLD, WIDTHS
from tests.support.browsers import PATIENCE

TARGETS = """
() => [...document.querySelectorAll("main :is(button, input:not([type=hidden], .opt > *), textarea, summary, canvas)")]
    .filter(e => e.checkVisibility({visibilityProperty: true}) && e.type !== "checkbox")
    .filter(e => e.getBoundingClientRect().height < 48)
    .map(e => `${e.getBoundingClientRect().height} px: ${e.outerHTML.slice(0, 100)}`)
"""


@pytest.fixture
def phone(browser):
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, accept_downloads=True)
    context.set_default_timeout(PATIENCE)
    context.add_init_script(TELL_VIOLATIONS)
    page = context.new_page()
    page.said = []
    page.on("console", lambda said: said.type == "error" and page.said.append(said.text))
    page.on("pageerror", lambda error: page.said.append(str(error)))
    yield page
    context.close()
    assert page.said == []


def judge(page, name):
    """Nothing that axe finds, nothing off the side, no small target. SCREENSHOTS=folder keeps what was seen."""
    faults = page.evaluate(TARGETS)
    page.evaluate(AXE_SCRIPT)
    page.evaluate(UNFOLD)
    for width, height in WIDTHS.items():
        page.set_viewport_size({"width": width, "height": height})
        faults += page.evaluate(AXE) + page.evaluate(TOO_WIDE)
        if folder := os.environ.get("SCREENSHOTS"):
            page.screenshot(path=Path(folder) / f"{name}-{width}.png", full_page=True)
    page.set_viewport_size({"width": 390, "height": WIDTHS[390]})
    assert faults == [], name


def draw(page, *points):
    """A stroke through points, as parts of the frame's width and height."""
    page.locator("canvas").scroll_into_view_if_needed()
    frame = page.locator("canvas").bounding_box()
    (x, y), *others = [(frame["x"] + a * frame["width"], frame["y"] + b * frame["height"]) for a, b in points]
    page.mouse.move(x, y)
    page.mouse.down()
    for x, y in others:
        page.mouse.move(x, y, steps=4)
    page.mouse.up()


def test_the_client_s_whole_way(own_database, web_server, phone, with_options, owner, postbox):
    proposal, offered = with_options
    send_proposal(proposal=proposal, to="odalys@example.com", words="Call me any evening.", by=owner)
    send_mails()
    (path,) = re.findall(r"/p/[\w-]{22}/", postbox.messages[0].get_body().get_content())

    phone.goto(web_server + path)
    phone.get_by_text(proposal.content["total"]["shown"]).first.wait_for()
    phone.get_by_label("Your full name").fill("Odalys Brandt")
    choice = offered.choice(offered.marble, offered.bench)
    total = total_of(proposal.content, choice)
    phone.get_by_label("Marble hexagon").check()
    phone.get_by_label("A bench").check()
    phone.locator(f"#to-accept [name=total][value='{total['amount']}']").wait_for(state="attached")
    phone.locator("#chosen").get_by_text(total["shown"]).wait_for()
    phone.locator("#total-now").get_by_text(total["shown"]).wait_for()
    phone.locator("tr.total").get_by_text(total["shown"]).first.wait_for()
    assert phone.get_by_label("Your full name").input_value() == "Odalys Brandt"
    phone.reload()  # the address keeps what is picked
    assert phone.get_by_label("Marble hexagon").is_checked()
    judge(phone, "open")

    phone.get_by_label("Your question").fill("Is the old floor taken out?")
    phone.get_by_role("button", name="Ask").click()
    phone.get_by_text("We have it, and answer here.").wait_for()
    answer_question(question=Question.objects.get(), text="Yes, down to the boards.", by=owner)
    phone.goto(web_server + path + f"?pick-{offered.tile}={offered.marble}&pick-{offered.extra}={offered.bench}")
    phone.get_by_text("Yes, down to the boards.").wait_for()
    judge(phone, "answered")

    phone.get_by_label("Your full name").fill("Odalys Brandt")
    draw(phone, (0.1, 0.2), (0.9, 0.9))
    phone.get_by_role("button", name="Clear the signature").click()
    assert phone.locator("[name=strokes]").input_value() == ""
    draw(phone, (0.1, 0.8), (0.3, 0.2), (0.5, 0.8))
    draw(phone, (0.2, 0.5), (0.4, 0.5))
    drawn = strokes_from(phone.locator("[name=strokes]").input_value())
    assert len(drawn) == 2
    # Where the pen was, in a frame of 600 by 200: to a pixel of a canvas that is some 300 px wide here.
    assert [abs(a - b) <= 3 for a, b in zip(drawn[0][0] + drawn[1][-1], [60, 160, 240, 100], strict=True)] == [True] * 4
    # A box that isn't ticked: the browser asks for it itself, so what the server says is seen without that.
    phone.locator("form:has(.sign)").evaluate("form => { form.noValidate = true }")
    phone.get_by_role("button", name="Accept", exact=True).click()
    phone.get_by_text("Tick this if you accept").first.wait_for()
    phone.said.clear()  # the console tells of the answer 422
    assert strokes_from(phone.locator("[name=strokes]").input_value()) == drawn
    judge(phone, "half")
    phone.get_by_label("I have read this proposal").check()
    phone.get_by_role("button", name="Accept", exact=True).click()
    phone.get_by_text("Accepted").first.wait_for()
    phone.get_by_role("img", name="Signature drawn by Odalys Brandt").wait_for()
    judge(phone, "accepted")
    acceptance = Acceptance.objects.get()
    assert acceptance.strokes == drawn
    assert (acceptance.choice, str(acceptance.total)) == (choice, total["amount"])

    with phone.expect_download() as download:
        phone.get_by_role("link", name="Download the PDF").click()
    data = Path(download.value.path()).read_bytes()
    assert hashlib.sha256(data).hexdigest() == acceptance.document_sha256
    assert send_mails() == 2
    [pdf] = postbox.messages[-1].iter_attachments()
    assert pdf.get_content() == data

    phone.goto(f"{web_server}/login/")
    phone.locator("[name=username]").fill(owner.username)
    phone.locator("[name=password]").fill(PASSWORD)
    phone.locator("[name=password]").press("Enter")
    phone.wait_for_url(lambda url: "login" not in url)
    phone.goto(f"{web_server}/proposals/{proposal.pk}/")
    phone.get_by_role("img", name="Signature drawn by Odalys Brandt").wait_for()
    judge(phone, "office")


def test_a_browser_without_javascript_keeps_what_is_picked_and_typed(
    own_database, web_server, browser, with_options, owner
):
    proposal, offered = with_options
    token = make_link(proposal=proposal, by=owner)
    total = total_of(proposal.content, offered.choice(offered.marble, offered.bench))["shown"]
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(web_server + reverse("estimating:client_proposal", args=[token]))
    page.get_by_label("Marble hexagon").check()
    page.get_by_label("A bench").check()
    page.get_by_label("Your full name").fill("Odalys Brandt")
    page.get_by_label("Your question").fill("Is the old floor taken out?")
    page.get_by_role("button", name="Ask").click()
    assert "Is the old floor taken out?" in page.locator("#questions").text_content()
    assert page.get_by_label("Marble hexagon").is_checked()
    assert page.get_by_label("Your full name").input_value() == "Odalys Brandt"
    page.get_by_label("Your full name").press("Enter")
    assert page.url.endswith("#to-accept")
    page.get_by_label("A bench").uncheck()
    page.get_by_label("A bench").check()
    page.get_by_role("button", name="Show the total").click()
    assert page.locator("#total-now").text_content() == total
    assert page.get_by_label("Your full name").input_value() == "Odalys Brandt"
    context.close()
    assert not Acceptance.objects.exists()
