"""The page shows by itself when a document is ready: real server, worker, database, broker and browser."""

from django.urls import reverse
from playwright.sync_api import Page, expect

from documents.models import Document, State
from inspections.actions import add_punch_item
from jobs.actions import move_job
from jobs.models import Job, Stage
from tests.factories import PASSWORD


def log_in(page: Page, web_server: str, username: str) -> None:
    page.goto(web_server + reverse("shop:login"))
    page.fill("[name=username]", username)
    page.fill("[name=password]", PASSWORD)
    page.click("main button")


def job_with_a_punch_list(job: Job, owner) -> Job:
    for stage in (Stage.PRICING, Stage.PROPOSED, Stage.WORKING, Stage.PUNCH_LIST):
        move_job(job=job, to=stage, by=None)
    add_punch_item(job=job, text="Touch up the grout", by=owner)
    return job


def test_a_page_shows_by_itself_that_its_pdf_is_ready(own_database, broker, web_server, worker, page, job, owner):
    job_with_a_punch_list(job, owner)
    log_in(page, web_server, owner.username)
    page.goto(web_server + reverse("inspections:punch_list", args=[job.pk]))
    page.click("form[action$='print/'] button")
    page.evaluate("window.stillThisPage = true")

    expect(page.get_by_role("link", name="Open the PDF")).to_be_visible(timeout=30_000)
    # Swapped in, not loaded anew.
    assert page.evaluate("window.stillThisPage")
    assert page.locator("[hx-trigger]").count() == 0
    file = page.request.get(web_server + page.get_by_role("link", name="Open the PDF").get_attribute("href"))
    assert file.status == 200
    assert file.body().startswith(b"%PDF-")


def test_a_page_without_a_worker_keeps_waiting_and_says_so(own_database, web_server, page, job, owner):
    job_with_a_punch_list(job, owner)
    log_in(page, web_server, owner.username)
    page.goto(web_server + reverse("inspections:punch_list", args=[job.pk]))
    page.click("form[action$='print/'] button")

    with page.expect_response(lambda response: "/state/" in response.url and response.status == 204):
        pass
    expect(page.get_by_text("This document waits for its turn.")).to_be_visible()
    assert Document.objects.get().state == State.WAITING
