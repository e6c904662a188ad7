"""What a page sends of a document, and how it shows one that isn't ready."""

import pytest
from django.http import Http404
from django.test import RequestFactory
from django.utils import timezone

from documents import actions
from documents.actions import make_document, request_document
from documents.models import Document, State
from documents.responses import send, send_state

pytestmark = pytest.mark.django_db
URLS = {"state_url": "/there/state/", "file_url": "/there/file/"}


@pytest.fixture
def sample():
    return request_document(kind="sample", title="Proposal 0007, Öl", input={"heading": "One"}, by=None)


@pytest.fixture
def ready(sample):
    make_document(document_id=sample.pk)
    return Document.objects.get(pk=sample.pk)


@pytest.fixture
def failed(sample):
    Document.objects.filter(pk=sample.pk).update(state="failed", attempts=actions.TRIES, error="OSError: disk <full>")
    return Document.objects.get(pk=sample.pk)


def ask(document, user, *, htmx=True, by=None, post=None, was=None):
    headers = {"HX-Request": "true"} if htmx else {}
    path = "/there/state/" + (f"?was={was}" if was else "")
    make = RequestFactory(headers=headers)
    request = make.post(path, post) if post is not None else make.get(path)
    request.user = user
    return send_state(request, document, by=by, **URLS)


def test_a_ready_document_is_sent_as_it_was_made_and_kept_by_no_cache(ready):
    response = send(ready)
    assert b"".join(response.streaming_content) == ready.file.open().read()
    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Length"] == str(ready.bytes)
    assert response["Content-Disposition"] == 'inline; filename="proposal-0007-ol.pdf"'
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Cache-Control"] == "private, no-store"
    assert response["ETag"] == f'"{ready.sha256}"'


def test_as_a_download_it_says_so(ready):
    assert send(ready, download=True)["Content-Disposition"].startswith("attachment;")


def test_a_title_cant_break_the_header(ready):
    ready.title = 'x"\r\nSet-Cookie: a=b; ../../etc'
    assert send(ready)["Content-Disposition"] == 'inline; filename="x-set-cookie-ab-etc.pdf"'


def test_one_that_isnt_ready_isnt_found(sample):
    with pytest.raises(Http404):
        send(sample)


def test_one_whose_file_is_gone_isnt_found(ready):
    ready.file.storage.delete(ready.file.name)
    with pytest.raises(Http404, match="backup"):
        send(ready)


def test_while_it_waits_the_page_asks_every_second_and_has_a_plain_link(sample, office):
    page = ask(sample, office).content.decode()
    assert 'hx-get="/there/state/?was=waiting-0"' in page
    assert 'hx-trigger="every 1s"' in page
    assert 'href="/there/state/"' in page


def test_an_unchanged_state_changes_nothing_on_the_page(sample, office):
    assert ask(sample, office, was="waiting-0").status_code == 204
    assert ask(sample, office, was="working-1").status_code == 200


def test_once_ready_the_page_shows_the_file_and_asks_no_more(ready, office):
    page = ask(ready, office, was="working-1").content.decode()
    assert 'href="/there/file/"' in page
    assert "hx-get" not in page


def test_without_script_the_state_is_a_page_with_a_link_to_look_again(sample, ready, office):
    waiting = ask(sample, office, htmx=False).content.decode()
    assert "<html" in waiting
    assert '<a href="/there/state/">' in waiting
    done = ask(ready, office, htmx=False).content.decode()
    assert "<html" in done
    assert 'href="/there/file/"' in done


def test_a_failed_one_tells_staff_why_and_offers_another_try(failed, office):
    page = ask(failed, office).content.decode()
    assert "disk &lt;full&gt;" in page
    assert 'name="try_again"' in page
    assert "hx-get" not in page

    response = ask(failed, office, by=office, post={"try_again": "1"})
    assert (response.status_code, response["Location"]) == (302, "/there/state/")
    assert Document.objects.get(pk=failed.pk).state == State.WAITING


def test_a_client_hears_nothing_of_what_went_wrong_and_cant_try_again(failed):
    from django.contrib.auth.models import AnonymousUser

    page = ask(failed, AnonymousUser()).content.decode()
    assert "disk" not in page
    assert "try_again" not in page
    ask(failed, AnonymousUser(), post={"try_again": "1"})
    assert Document.objects.get(pk=failed.pk).state == State.FAILED


def test_trying_again_by_two_clicks_is_one_new_try(failed, office):
    for _ in range(2):
        ask(Document.objects.get(pk=failed.pk), office, by=office, post={"try_again": "1"})
    again = Document.objects.get(pk=failed.pk)
    assert (again.state, again.attempts) == (State.WAITING, 0)
    assert again.next_try_at <= timezone.now()
