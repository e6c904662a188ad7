"""Two people on one change order: nobody writes over the other unseen, and nobody offers what they never saw."""

import pytest
from django.urls import reverse

from estimating.actions import ChangedMeanwhile, edit_change, offer_change
from estimating.change_queries import view_of
from estimating.models import ChangeOffer
from tests.estimating.changes import labor, said
from tests.estimating.test_the_client_s_link import text_of

pytestmark = pytest.mark.django_db

WORDS = {"what": "A third niche", "why": "She asked", "directed_by": "Odalys Brandt", "days": "1", "not_to_exceed": ""}


@pytest.fixture
def page(change):
    return reverse("estimating:change", args=[change.pk])


def test_what_somebody_kept_in_the_meantime_is_not_written_over(as_office, change, owner, page):
    seen = view_of(change).said
    said(change, owner, days=4)
    typed = {"save": "", "seen": seen, **WORDS}
    refused = as_office.post(page, typed)
    assert refused.status_code == 409
    assert "in the meantime" in text_of(refused)
    assert 'value="A third niche"' in refused.content.decode()
    change.refresh_from_db()
    assert (change.what, change.days) == ("A second niche", 4)
    # Looked at once more, it is kept.
    now = view_of(change).said
    assert f'name="seen" value="{now}"' in refused.content.decode()
    assert as_office.post(page, typed | {"seen": now}).status_code == 302
    change.refresh_from_db()
    assert (change.what, change.days) == ("A third niche", 1)


def test_a_line_more_is_no_reason_to_refuse_the_words(as_office, change, owner, page):
    seen = view_of(change).said
    labor(change, owner, 100)
    assert as_office.post(page, {"save": "", "seen": seen, **WORDS}).status_code == 302


def test_only_what_was_on_the_page_is_offered(as_office, change, owner, page):
    labor(change, owner, 100)
    seen = view_of(change).seen
    assert f'name="offer" value="{seen}"' in as_office.get(page).content.decode()
    labor(change, owner, 900)
    answer = as_office.post(page, {"offer": seen}, follow=True)
    assert "in the meantime" in text_of(answer)
    assert not ChangeOffer.objects.exists()
    assert as_office.post(page, {"offer": ""}, follow=True).status_code == 200
    assert not ChangeOffer.objects.exists(), "a page that says nothing of what it shows offers nothing"
    as_office.post(page, {"offer": view_of(change).seen})
    assert ChangeOffer.objects.count() == 1


def test_the_actions_themselves_refuse_it(change, owner):
    labor(change, owner, 100)
    seen = view_of(change)
    said(change, owner, days=2)
    words = {"what": "x", "why": "", "directed_by": "", "days": 0, "not_to_exceed": None, "photos": ()}
    with pytest.raises(ChangedMeanwhile):
        edit_change(change=change, by=owner, seen=seen.said, **words)
    with pytest.raises(ChangedMeanwhile):
        offer_change(change=change, by=owner, seen=seen.seen)
