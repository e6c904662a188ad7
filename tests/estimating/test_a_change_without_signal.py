"""A change is raised on the phone where there is no signal, and by the page without scripts."""

from django.urls import reverse

from estimating.models import ChangeOrder
from tests.inspections.phones import log_in, phone, picture, try_again, wait_for_states  # noqa: F401
from tests.inspections.test_on_the_phone import TARGET, TOO_SMALL
from tests.support.browsers import the_day_is_kept


def test_a_change_with_a_photo_waits_on_the_phone_and_comes_once(
    own_database,
    accepted,
    web_server,
    phone,  # noqa: F811
    installer,
):
    page = web_server + reverse("estimating:change_raise", args=[accepted.pk])
    the_day_is_kept(phone)
    phone.context.set_offline(True)
    phone.goto(page)
    for width in (360, 390):
        phone.set_viewport_size({"width": width, "height": 844})
        assert phone.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        assert phone.evaluate(TOO_SMALL, TARGET - 0.5) == []
    phone.get_by_label("What changes").fill("Rot under the tub")
    phone.locator("#id_photo").set_input_files(picture((800, 600)))
    phone.get_by_role("button", name="Send to the office").click()
    phone.get_by_text("not sent yet").first.wait_for()
    assert not ChangeOrder.objects.exists()
    phone.context.set_offline(False)
    try_again(phone)
    wait_for_states(phone, "sent")
    phone.locator("#changes").get_by_text("Rot under the tub").first.wait_for()
    change = ChangeOrder.objects.get()
    assert (change.job, change.raised_by, change.photos.count()) == (accepted, installer, 1)
    assert change.raised_at < change.photos.get().created_at
