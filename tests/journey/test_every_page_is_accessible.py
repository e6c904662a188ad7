"""Every page of the demo shop as every role: WCAG 2.2 AA by axe, nothing off the side, not a word on the console.

The pages come from the URLconf: a new one is visited without anybody writing it down here.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest
from axe_playwright_python.base import AXE_SCRIPT

from tests.journey.addresses import DEAD_LINK, addresses

WIDTHS = {390: 844, 1280: 900}
# W3C, WCAG 2.2, levels A and AA, by the tags of axe's own rules.
AXE = """
() => axe.run({resultTypes: ["violations"], runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]})
    .then(found => found.violations.flatMap(fault => fault.nodes.map(
        node => `${fault.id}: ${node.target.join(" ")}: ${node.html.slice(0, 120)}`)))
"""
TELL_VIOLATIONS = """
document.addEventListener("securitypolicyviolation",
    event => console.error(`refused by the policy: ${event.violatedDirective} ${event.sourceFile ?? ""}`))
"""
TOO_WIDE = """
() => document.documentElement.scrollWidth <= innerWidth ? [] :
    [...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > innerWidth + 1)
        .map(e => e.outerHTML.slice(0, 100)).slice(0, 3).concat(`${document.documentElement.scrollWidth} px wide`)
"""


@dataclass
class Visits:
    """What was found on the way: a line for each fault, and how often each kind of answer came."""

    page: Any
    faults: list[str] = field(default_factory=list)
    answers: Counter[str] = field(default_factory=Counter)
    seen: set[str] = field(default_factory=set)
    console: list[str] = field(default_factory=list)

    def visit(self, url: str, name: str, *, expected: int = 200) -> None:
        """Judges the page at both widths; an answer that is no page is only counted."""
        probe = self.page.request.get(url, max_redirects=0)
        kind = probe.headers.get("content-type", "").split(";")[0]
        self.answers[f"{probe.status} {kind}"] += 1
        if probe.status != expected or kind != "text/html":
            if probe.status >= 500:
                self.faults.append(f"{url}: {probe.status}")
            return
        self.seen.add(name)
        self.page.set_viewport_size({"width": 390, "height": WIDTHS[390]})
        self.page.goto(url)
        self.judge(url)

    def judge(self, where: str) -> None:
        self.page.evaluate(AXE_SCRIPT)
        for width, height in WIDTHS.items():
            self.page.set_viewport_size({"width": width, "height": height})
            found = self.page.evaluate(AXE) + self.page.evaluate(TOO_WIDE)
            self.faults += [f"{where} at {width} px: {fault}" for fault in found]
        self.faults += [f"{where}: console: {line}" for line in self.console]
        self.console.clear()


@pytest.fixture
def visits(browser) -> Iterator[Visits]:
    context = browser.new_context(viewport={"width": 390, "height": 844})
    context.set_default_timeout(10_000)
    context.add_init_script(TELL_VIOLATIONS)
    page = context.new_page()
    found = Visits(page)
    page.on("console", lambda said: found.console.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: found.console.append(str(error)))
    yield found
    context.close()


def log_in(visits: Visits, demo_shop, username: str) -> None:
    visits.page.goto(f"{demo_shop.url}/login/")
    visits.page.get_by_label("Log-in name").fill(username)
    visits.page.get_by_label("Password").fill(demo_shop.passwords[username])
    visits.page.get_by_role("button", name="Log in").click()
    visits.page.get_by_role("button", name="Log out").wait_for()


def go_everywhere(visits: Visits, demo_shop) -> None:
    for address in addresses(demo_shop):
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
    print(username, visits.answers, len(visits.seen))
    assert visits.faults == []
    assert must_see <= visits.seen
    assert len(visits.seen) >= fewest, sorted(visits.seen)


def test_what_the_client_sees_and_the_door(visits, demo_shop):
    for address in addresses(demo_shop):
        expected = 404 if DEAD_LINK in address.path else 200
        visits.visit(demo_shop.url + address.path, address.name, expected=expected)
        # The browser says on the console that an address wasn't found, as it should.
    visits.faults = [fault for fault in visits.faults if "status of 404" not in fault]
    print(visits.answers, visits.seen)
    assert visits.faults == []
    # Nobody without a log-in sees anything else.
    assert visits.seen == {"shop:login", "estimating:client_proposal"}


PLANTED = {
    "label": "<form><input type='text' name='unlabeled'></form>",
    "px wide": "<div class='planted'></div>",
    "console: refused by the policy: style-src-attr": "<p style='color: red'>said in red</p>",
    "console: ": "<img src='/static/img/no-such.png' alt=''>",
}


@pytest.mark.parametrize("fault", PLANTED)
def test_a_planted_fault_is_found(visits, demo_shop, fault):
    visits.page.goto(f"{demo_shop.url}/login/")
    visits.page.evaluate("html => document.querySelector('main').insertAdjacentHTML('beforeend', html)", PLANTED[fault])
    visits.page.evaluate("document.querySelector('.planted')?.style.setProperty('width', '1400px')")
    visits.page.wait_for_load_state("networkidle")
    visits.judge("planted")
    assert any(fault in found for found in visits.faults), visits.faults
