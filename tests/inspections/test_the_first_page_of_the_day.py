"""The phone is taken out where there is no signal: Today, a job, a phase, from what it keeps, in less than a second."""

import pytest
from django.urls import reverse

from tests.inspections.phones import phase_url
from tests.support.browsers import PATIENCE

GOAL = 1.0
"""Seconds from the tap until the page is there and its forms work: the shop's own goal, no source."""

MOMENT = 0.8
"""Seconds that static/js/phone/worker.js waits for a server that doesn't answer."""

YARDSTICK = 0.1
"""Seconds that `PIECE` takes in Chromium on the machine on which the goal was measured, idle."""

# A fixed piece of work, by the clock: it says how slow this machine is, and how busy.
PIECE = """() => {
    const begin = performance.now();
    let found = 0;
    for (let round = 0; round < 400; round++) {
        const part = new DOMParser().parseFromString("<section><p>1/8 in</p></section>".repeat(150), "text/html");
        found += part.querySelectorAll("section > p").length;
    }
    if (found !== 60000) throw new Error("not the same work");
    return (performance.now() - begin) / 1000;
}"""

# From the tap until all scripts have run; and until something could be seen.
OPENED = """() => new Promise((resolve, reject) => {
    const done = () => {
        const [page] = performance.getEntriesByType("navigation");
        const [seen] = performance.getEntriesByName("first-contentful-paint");
        if (page.loadEventEnd && seen) resolve([page.loadEventEnd / 1000, seen.startTime / 1000]);
        else if (performance.now() > 10_000) reject(new Error(`loaded ${page.loadEventEnd}, seen ${seen?.startTime}`));
        else setTimeout(done, 10);
    };
    done();
})"""


def opened_within(page, seconds: float, address: str, what: str, *, waits: float = 0.0, tries: int = 3) -> bool:
    """Whether the page is open after that many seconds of the machine on which the goal was measured, in the best of a
    few tries: `tests.speed.within`, for a browser and by the clock. Of these, `waits` are the same on every machine."""
    for _ in range(tries):
        before = page.evaluate(PIECE)
        page.goto(address)
        ready, seen = page.evaluate(OPENED)
        slow = max(before, page.evaluate(PIECE), YARDSTICK) / YARDSTICK
        print(f"{what}: seen after {seen:.2f} s, ready after {ready:.2f} s; this machine is {slow:.1f} times as slow")
        if max(ready, seen) < waits + (seconds - waits) * slow:
            return True
    return False


@pytest.fixture
def taken_out(phone):
    """The first page of a phone that was put away with every page of it closed."""
    context = phone.context
    phone.close()
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    return page


def test_today_a_job_and_a_phase_open_at_once_without_signal(own_database, open_phases, web_process, taken_out):
    (process, url), page, phase = web_process, taken_out, open_phases[0]
    job = url + reverse("home:job", args=[phase.room.job_id])
    page.context.set_offline(True)
    for what, address, shows in (
        ("Today", f"{url}/today/", phase.room.job.site.street),
        ("the job", job, phase.room.name),
        ("the phase", phase_url(url, phase), "It is so"),
    ):
        assert opened_within(page, GOAL, address, what)
        page.get_by_text(shows).first.wait_for()
        page.get_by_text("No signal.").wait_for()

    # One bar of signal: requests go out, and nothing comes back.
    page.context.set_offline(False)
    with process.halted():
        assert opened_within(page, GOAL, phase_url(url, open_phases[1]), "a phase, no answer", waits=MOMENT)
        page.get_by_role("button", name="Enter", exact=True).first.wait_for()
