"""One item that the server answers oddly stops neither the others nor itself; and what waits is its person's."""

import pytest
from django.urls import reverse
from django.utils import timezone

from inspections.models import Amendment, Entry
from shop.models import Role
from tests.inspections.phones import enter, kept, log_in, phase_url, states, try_again, wait_for_states
from tests.inspections.proofs import prove_and_sign

UNREADABLE = """() => {
    const gone = () => Promise.reject(new DOMException("gone", "NotReadableError"));
    globalThis.createImageBitmap = gone;
    Blob.prototype.arrayBuffer = gone;
}"""

WITHOUT_PHOTOS = """() => new Promise((resolve) => {
    const asked = indexedDB.open("gaugerod");
    asked.onsuccess = () => {
        const change = asked.result.transaction("photos", "readwrite");
        change.objectStore("photos").clear();
        change.oncomplete = () => (asked.result.close(), resolve());
    };
})"""


@pytest.fixture
def two_wait(own_database, open_phases, web_server, phone):
    """Two ticks that wait on the phone, the first entered first."""
    first, second = open_phases[0].checks.filter(kind="tick")[:2]
    phone.goto(phase_url(web_server, open_phases[0]))
    phone.context.set_offline(True)
    enter(phone, first)
    enter(phone, second)
    wait_for_states(phone, "waiting", "waiting")
    return first, second


def answer(phone, check, **with_what) -> None:
    phone.route(f"**/checks/{check.pk}/entry/", lambda route: route.fulfill(**with_what))
    phone.context.set_offline(False)


LONGER_THAN_A_HICCUP = 5_100  # ms, as queue.js has it


@pytest.mark.parametrize("status", [400, 403, 405, 415, 200])
def test_an_odd_answer_lets_the_others_go_and_is_set_aside_where_it_stays_odd(two_wait, phone, status):
    first, second = two_wait
    answer(phone, first, status=status, body="<p>Not here.</p>", content_type="text/html")
    try_again(phone)
    wait_for_states(phone, "waiting", "sent")
    phone.wait_for_timeout(LONGER_THAN_A_HICCUP)
    try_again(phone)
    wait_for_states(phone, "parked", "sent")
    phone.locator(f"#check-{first.pk}").get_by_text(f"({status})").wait_for()
    assert Entry.objects.get().check_done == second


def test_a_redirect_lets_the_others_go(two_wait, phone):
    first, second = two_wait
    answer(phone, first, status=302, headers={"Location": "/login/"})
    for states_then in (("waiting", "sent"), ("parked", "sent")):
        try_again(phone)
        wait_for_states(phone, *states_then)
        phone.wait_for_timeout(LONGER_THAN_A_HICCUP)
    assert Entry.objects.get().check_done == second


@pytest.mark.parametrize("status", [429, 503])
def test_a_server_that_asks_to_wait_is_waited_for(two_wait, phone, status):
    first, _second = two_wait
    posts = []
    phone.on("request", lambda request: posts.append(request.url) if request.method == "POST" else None)
    answer(phone, first, status=status, body="Later.")
    for _ in range(3):
        with phone.expect_response(f"**/checks/{first.pk}/entry/"):
            try_again(phone)
        phone.wait_for_timeout(200)
        assert states(phone) == ["waiting", "waiting"]
    # The other one wasn't even tried.
    assert {url.split("/")[-3] for url in posts} == {str(first.pk)}
    phone.unroute(f"**/checks/{first.pk}/entry/")
    try_again(phone)
    wait_for_states(phone, "sent", "sent")


def test_who_may_no_more_reads_why_and_the_rest_goes(own_database, open_phases, web_server, phone, installer):
    """Made office while an amendment waits: the office amends nothing."""
    phase = open_phases[0]
    prove_and_sign(phase, by=installer)
    phone.goto(phase_url(web_server, phase))
    phone.context.set_offline(True)
    card = phone.locator("#signed")
    card.get_by_text("Amend", exact=True).click()
    card.get_by_label("What is corrected, and why").fill("Signed for Marek")
    card.get_by_role("button", name="Add the amendment").click()
    check = phase.checks.filter(kind="tick").first()
    phone.locator(f"#check-{check.pk}").get_by_text("Check again").click()
    enter(phone, check)
    wait_for_states(phone, "waiting", "waiting")
    installer.role = Role.OFFICE
    installer.save(update_fields=["role"])
    phone.context.set_offline(False)
    try_again(phone)
    wait_for_states(phone, "parked", "sent")
    assert kept(phone)[0]["errors"] == {"__all__": ["Your role in the shop doesn't open this page."]}
    assert not Amendment.objects.exists()


def test_a_photo_that_the_phone_cannot_read_is_told_and_the_rest_stays(own_database, open_phases, web_server, phone):
    check = open_phases[1].checks.get(key="substrate.plane")
    phone.goto(phase_url(web_server, open_phases[1]))
    card = phone.locator(f"#check-{check.pk}")
    card.get_by_text("Note, photo, helper").click()
    card.get_by_label("Reading, inches").fill("1/16")
    card.get_by_label("Photo").set_input_files({"name": "x.jpg", "mimeType": "image/jpeg", "buffer": b"gone"})
    phone.evaluate(UNREADABLE)
    card.get_by_role("button", name="Enter").click()
    card.get_by_text("This photo couldn't be read: take it again.").wait_for()
    assert card.get_by_label("Reading, inches").input_value() == "1/16"
    assert card.locator("input[type=file]").evaluate("(field) => field.files.length") == 0
    assert states(phone) == []
    # A second is pressed on purpose.
    phone.wait_for_timeout(1100)
    card.get_by_role("button", name="Enter").click()
    wait_for_states(phone, "sent")


def test_a_kept_photo_that_is_gone_stops_nothing_else(own_database, open_phases, web_server, phone):
    photo, tick = (open_phases[0].checks.filter(kind=kind).first() for kind in ("photo", "tick"))
    phone.goto(phase_url(web_server, open_phases[0]))
    phone.context.set_offline(True)
    enter(phone, photo)
    enter(phone, tick)
    wait_for_states(phone, "waiting", "waiting")
    phone.evaluate(WITHOUT_PHOTOS)
    phone.context.set_offline(False)
    try_again(phone)
    wait_for_states(phone, "parked", "sent")
    phone.locator(f"#check-{photo.pk}").get_by_text("This photo couldn't be read: take it again.").wait_for()


def test_what_another_person_entered_is_named_and_counted_and_stays(
    own_database, open_phases, web_server, phone, other_installer
):
    check = open_phases[1].checks.get(key="substrate.plane")
    phone.goto(phase_url(web_server, open_phases[1]))
    phone.context.set_offline(True)
    card = phone.locator(f"#check-{check.pk}")
    card.get_by_text("Note, photo, helper").click()
    card.get_by_label("Note").fill("Behind the valve")
    card.get_by_label("Reading, inches").fill("5/16")
    card.get_by_role("button", name="Enter").click()
    wait_for_states(phone, "waiting")
    key = kept(phone)[0]["key"]
    phone.context.clear_cookies()
    phone.context.set_offline(False)
    for log_in_first in (False, True):
        if log_in_first:
            log_in(phone, web_server, other_installer.username)
        phone.goto(f"{web_server}/phone/waiting/")
        phone.get_by_text("1 waiting, kept for Rui Tavares").wait_for()
        text = phone.locator("main").inner_text()
        assert "Behind the valve" not in text
        assert "5/16" not in text
        for name in ("Delete", "Send again"):
            assert phone.get_by_role("button", name=name).count() == 0
        # Nor by the script itself.
        phone.evaluate(
            """async ([key, user]) => {
                const url = performance.getEntriesByType("resource").map(({ name }) => name)
                    .find((name) => /\\/js\\/phone\\/queue\\./.test(name));
                const queue = await import(url);
                await queue.takeBack(key, user);
            }""",
            [key, str(other_installer.pk)],
        )
        assert states(phone) == ["waiting"]
    phone.context.clear_cookies()
    log_in(phone, web_server)
    wait_for_states(phone, "sent")
    assert check.entries.get().note == "Behind the valve"


@pytest.mark.django_db
def test_a_role_that_may_not_is_told_as_json(open_phases, installer, as_office):
    prove_and_sign(open_phases[0], by=installer)
    key = "01a21147-39bd-7897-8218-fe2a96966b03"
    url = reverse("inspections:amend_sign_off", args=[open_phases[0].sign_off.pk])
    headers = {"Phone-Item": key, "Phone-Happened-At": timezone.now().isoformat(), "Phone-Version": "1"}
    answer = as_office.post(url, {"key": key, "text": "x"}, headers=headers)
    assert (answer.status_code, answer.json()["kept"]) == (403, False)
