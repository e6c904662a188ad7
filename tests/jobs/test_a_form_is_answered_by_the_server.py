"""Where the server is slow, a page that is kept may stand in for it, but never for the answer to a form."""

from django.urls import reverse

from tests.inspections.phones import log_in

SLOW = """() => {
    const real = self.fetch;
    self.fetch = async (...asked) => {
        await new Promise((resolve) => setTimeout(resolve, 1500));
        return real(...asked);
    };
}"""
"""Longer than the worker's MOMENT, after which a kept page is shown."""


def test_what_became_of_a_form_is_said_though_the_page_is_kept(own_database, job, owner, web_server, page):
    page.set_default_timeout(15_000)
    at_the_job = web_server + reverse("home:job", args=[job.pk])
    log_in(page, web_server, "ines")
    page.evaluate("navigator.serviceWorker.ready")
    page.goto(at_the_job)
    page.wait_for_function("async () => Boolean(await (await caches.open('pages')).match(location.href))")
    page.goto(web_server + reverse("jobs:edit", args=[job.pk]))
    page.context.service_workers[0].evaluate(SLOW)
    page.get_by_label("What", exact=True).fill("Upstairs bath, tub out")
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url(at_the_job)
    page.get_by_text("Saved.").wait_for()
    assert "Upstairs bath, tub out" in page.text_content("body")
