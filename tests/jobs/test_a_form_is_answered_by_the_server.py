"""Where the server is slow, a page that is kept may stand in for it, but never for the answer to a form."""

import pytest
from django.urls import reverse

from jobs.models import Job
from tests.inspections.phones import log_in
from tests.support.browsers import PATIENCE, wait_until

SLOW = """() => {
    const real = self.fetch;
    self.fetch = async (...asked) => {
        await new Promise((resolve) => setTimeout(resolve, 1500));
        return real(...asked);
    };
}"""
"""Longer than the worker's MOMENT, after which a kept page is shown; it asks the server all the same."""


@pytest.fixture
def kept(own_database, job, owner, web_server, page):
    """The job's page, kept on the machine that the owner sits at; and what is loaded of it from then on."""
    page.set_default_timeout(PATIENCE)
    address = web_server + reverse("home:job", args=[job.pk])
    log_in(page, web_server, "ines")
    page.evaluate("navigator.serviceWorker.ready")
    page.goto(address)
    wait_until(page, "async () => Boolean(await (await caches.open('pages')).match(location.href))")
    loaded: list[str] = []
    page.on("domcontentloaded", lambda loading: loaded.append(loading.url))
    return address, loaded


def test_what_became_of_a_form_is_said_and_a_slow_server_is_asked_no_more_than_once(kept, job, web_server, page):
    address, loaded = kept
    page.goto(web_server + reverse("jobs:edit", args=[job.pk]))
    page.context.service_workers[0].evaluate(SLOW)
    page.get_by_label("What", exact=True).fill("Upstairs bath, tub out")
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url(address)
    page.get_by_text("Saved.").wait_for()
    assert "Upstairs bath, tub out" in page.text_content("body")
    assert loaded.count(address) == 1

    # By a link the page comes as it was last seen, and anew once the server has answered; then it stays.
    Job.objects.update(title="Upstairs bath, all new")
    page.goto(web_server + reverse("jobs:list"))
    loaded.clear()
    page.goto(address)
    page.get_by_text("Upstairs bath, all new").first.wait_for()
    page.wait_for_timeout(4000)
    assert loaded.count(address) == 2
