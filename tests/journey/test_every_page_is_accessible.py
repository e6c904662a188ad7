"""Every page of the demo shop as every role: WCAG 2.2 AA by axe, nothing off the side, not a word on the console.

The pages come from the URLconf: a new one is visited without anybody writing it down here.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import ConsoleMessage, Page

from tests.journey.addresses import DEAD_LINK, addresses
from tests.support.browsers import PATIENCE, wait_until

WIDTHS = {390: 844, 1280: 900}
# W3C, WCAG 2.2, levels A and AA, by the tags of axe's own rules.
# Colors are the same at every width, and take longest: `colors` says whether they are judged, too.
AXE = """
asked => axe.run(asked?.where ?? document, {
    resultTypes: ["violations"],
    runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
    rules: {"color-contrast": {enabled: asked?.colors ?? true}},
}).then(found => found.violations.flatMap(fault => fault.nodes.map(
        node => `${fault.id}: ${node.target.join(" ")}: ${node.html.slice(0, 120)}`)))
"""
TELL_VIOLATIONS = """
document.addEventListener("securitypolicyviolation",
    event => console.error(`refused by the policy: ${event.violatedDirective} ${event.sourceFile ?? ""}`))
"""
TOO_WIDE = """
() => document.documentElement.scrollWidth <= innerWidth ? [] :
    [...document.querySelectorAll("body *")]
        .filter(e => e.getBoundingClientRect().right > innerWidth && !e.closest(".rod, .scroll"))
        .map(e => e.outerHTML.slice(0, 100)).slice(-3).concat(`${document.documentElement.scrollWidth} px wide`)
"""
# What is folded away is judged as well; a menu would cover the page, and is judged by itself.
UNFOLD = "document.querySelectorAll('details:not(.menu, .fieldbar details)').forEach(fold => { fold.open = true })"
OPEN_BAR = "open => document.querySelectorAll('.fieldbar details').forEach(fold => { fold.open = open })"
SAME_WORDS = """
() => document.querySelector("main").outerHTML
    .replace(/name="(csrfmiddlewaretoken|key|photo_key)" value="[^"]*"/g, "")
"""


@dataclass
class Visits:
    """What was found on the way: a line for each fault. `judged`: what other visits of this run have judged already."""

    page: Page
    judged: set[str]
    faults: list[str] = field(default_factory=list)
    seen: set[str] = field(default_factory=set)
    refused: set[str] = field(default_factory=set)
    console: list[tuple[str, str]] = field(default_factory=list)

    def hear(self, said: ConsoleMessage) -> None:
        if said.type == "error":
            self.console.append((said.text, said.location["url"]))

    def visit(self, url: str, name: str, *, expected: int = 200) -> None:
        """Judges the page at both widths. An answer that is no page, or not for this role, is only noted."""
        if name not in self.seen:
            # Not in the browser: it would save a file, and stumble over an answer without a body.
            # A connection that lay idle may be closed by the server just as it is used again.
            plain = self.page.request.get(url, max_redirects=0, max_retries=1)
            self.note(url, name, plain.status)
            if plain.status != expected or not plain.headers.get("content-type", "").startswith("text/html"):
                return
        self.be_as_wide_as(390)
        answer = self.page.goto(url)
        assert answer is not None
        self.note(url, name, answer.status)
        if answer.status == expected:
            self.judge(url, again=bool(self.seen))
            self.seen.add(name)
        # That the address itself isn't found, the browser says on its console, too.
        self.faults += [
            f"{url}: console: {text} {of}" for text, of in self.console if of != url or "status of" not in text
        ]
        self.console.clear()

    def be_as_wide_as(self, width: int) -> None:
        if self.page.viewport_size != (size := {"width": width, "height": WIDTHS[width]}):
            self.page.set_viewport_size(size)

    def note(self, url: str, name: str, status: int) -> None:
        if status in (403, 404):
            self.refused.add(name)
        if status >= 500:
            self.faults.append(f"{url}: {status}")

    def judge(self, where: str, *, again: bool = False) -> None:
        """By axe and by width. `again`: this role's frame was judged, so what other roles saw in it needs no second."""
        content = self.page.evaluate(SAME_WORDS)
        if again and content in self.judged:
            return
        self.judged.add(content)
        for width in WIDTHS:
            self.be_as_wide_as(width)
            found = self.page.evaluate(TOO_WIDE)
            self.page.evaluate(UNFOLD)
            colors = not again or width == min(WIDTHS)
            found += self.page.evaluate(AXE, {"colors": colors}) + self.page.evaluate(TOO_WIDE)
            if not again and self.page.locator(".fieldbar details").count():
                self.page.evaluate(OPEN_BAR, True)
                found += self.page.evaluate(AXE, {"where": ".fieldbar"})
                self.page.evaluate(OPEN_BAR, False)
            self.faults += [f"{where} at {width} px: {fault}" for fault in found]


@pytest.fixture(scope="module")
def judged() -> set[str]:
    return set()


@pytest.fixture
def visits(browser, judged) -> Iterator[Visits]:
    context = browser.new_context(viewport={"width": 390, "height": 844})
    context.set_default_timeout(PATIENCE)
    context.add_init_script(TELL_VIOLATIONS)
    # Once for all pages: half a megabyte that would be sent to each.
    context.add_init_script(AXE_SCRIPT)
    page = context.new_page()
    found = Visits(page, judged)
    page.on("console", found.hear)
    page.on("pageerror", lambda error: found.console.append((str(error), page.url)))
    yield found
    context.close()


def log_in(visits: Visits, demo_shop, username: str) -> None:
    visits.page.goto(f"{demo_shop.url}/login/")
    visits.page.get_by_label("Log-in name").fill(username)
    visits.page.get_by_label("Password").fill(demo_shop.demo.passwords[username])
    visits.page.get_by_role("button", name="Log in").click()
    visits.page.locator("form[action$='/logout/']").first.wait_for(state="attached")


def go_everywhere(visits: Visits, demo_shop) -> None:
    for address in addresses(demo_shop.demo):
        if DEAD_LINK not in address.path and address.name != "shop:login":
            visits.visit(demo_shop.url + address.path, address.name)


@pytest.mark.parametrize(
    ("username", "fewest", "must_see"),
    [
        ("ines", 40, {"home:week", "rooms:layout", "estimating:rate_edit", "shop:staff_edit", "callbacks:detail"}),
        ("petra", 30, {"home:week", "jobs:bookings", "estimating:proposal", "callbacks:new", "callbacks:close_out"}),
        ("rui", 8, {"home:today", "home:job", "inspections:phase", "inspections:punch_list", "rooms:sheet"}),
    ],
    ids=["the owner", "the office", "an installer"],
)
def test_every_page_that_a_role_may_see(visits, demo_shop, username, fewest, must_see):
    log_in(visits, demo_shop, username)
    go_everywhere(visits, demo_shop)
    assert not visits.faults, "\n".join(visits.faults)
    assert must_see <= visits.seen
    assert len(visits.seen) >= fewest, sorted(visits.seen)
    if username == "ines":
        # Everything is open to the owner: what isn't there is a logo, the PDFs that no worker has made, a paper that
        # nobody signed by hand, and the shop's own certificate (tests/home/test_phone_by_https.py has one).
        unmade = {"inspections:punch_file", "rooms:sheet_file", "rooms:rough_in_file"}
        lacking = {
            "shop:logo",
            "estimating:signed_paper",
            "estimating:change_signed_paper",
            "inspections:report",
            "home:trust",
            "home:trust_authority",
        }
        assert visits.refused == unmade | lacking


def test_what_the_client_sees_and_the_door(visits, demo_shop):
    for address in addresses(demo_shop.demo):
        expected = 404 if DEAD_LINK in address.path else 200
        visits.visit(demo_shop.url + address.path, address.name, expected=expected)
    assert not visits.faults, "\n".join(visits.faults)
    # Nobody without a log-in sees anything else: what waits on a phone is the phone's own.
    clients = {"estimating:client_proposal", "estimating:client_change"}
    assert visits.seen == {"shop:login", *clients, "home:phone_waiting", "home:phone_offline"}


PLANTED = {
    "label": "<form><input type='text' name='unlabeled'></form>",
    "px wide": "<p class='planted'>wide</p>",
    "refused by the policy: style-src-attr": "<p style='color: red'>said in red</p>",
    "status of 404": "<img src='/static/img/no-such.png' alt=''>",
}


@pytest.mark.parametrize("fault", PLANTED)
def test_a_planted_fault_is_found(visits, demo_shop, fault):
    visits.page.goto(f"{demo_shop.url}/login/")
    visits.page.evaluate("html => document.querySelector('main').insertAdjacentHTML('beforeend', html)", PLANTED[fault])
    visits.page.evaluate("document.querySelector('.planted')?.style.setProperty('width', '1400px')")
    visits.page.wait_for_load_state("networkidle")
    visits.judge("planted")
    found = [*visits.faults, *(text for text, _of in visits.console)]
    assert any(fault in line for line in found), found


def test_the_policy_refuses_eval_and_handlers_in_the_page(visits, demo_shop):
    """What a real click sets off: inside `page.evaluate` the policy wouldn't count."""
    page = visits.page
    page.goto(f"{demo_shop.url}/login/")
    page.evaluate(
        """() => {
            const brand = document.querySelector(".brand")
            brand.setAttribute("onclick", "window.handled = true")
            brand.addEventListener("click", () => {
                try { window.evaluated = eval("1 + 1") } catch (refusal) { window.refused = refusal.name }
            })
        }"""
    )
    page.locator(".brand").click()
    wait_until(page, "window.refused")
    assert page.evaluate("[window.refused, window.evaluated, window.handled]") == ["EvalError", None, None]
    said = " ".join(text for text, _of in visits.console)
    assert "refused by the policy: script-src-attr" in said
    assert "refused by the policy: script-src " in said
