"""The phone without signal: what is entered stays on it, arrives once, and nothing is lost on the way."""

import pytest
from django.urls import reverse

from inspections.models import Amendment, Entry, SignOff
from jobs.models import Photo
from tests.inspections.phones import enter, log_in, log_out, phase_url, picture, states, try_again, wait_for_states
from tests.inspections.proofs import prove_and_sign
from tests.support.browsers import wait_until


def test_a_whole_phase_is_entered_and_signed_without_signal_and_arrives_once(
    own_database, open_phases, web_server, phone
):
    phase = open_phases[0]
    phone.context.set_offline(True)
    phone.goto(phase_url(web_server, phase))
    phone.get_by_text("No signal.").wait_for()
    checks = list(phase.checks.filter(required=True))
    for check in checks:
        enter(phone, check)
        phone.locator(f"#check-{check.pk}").get_by_text("not sent yet").wait_for()
    phone.get_by_role("button", name="Sign off").click()
    phone.locator("#sign").get_by_text("not sent yet").wait_for()
    phone.get_by_text(f"{len(checks) + 1} entries wait on this phone").wait_for()
    assert not Entry.objects.exists()
    # The phone is put away and taken out again: all of it is still there.
    phone.goto(f"{web_server}/today/")
    phone.get_by_text(f"{len(checks) + 1} entries wait on this phone").wait_for()
    phone.context.set_offline(False)
    try_again(phone)
    wait_for_states(phone, *["sent"] * (len(checks) + 1))
    assert Entry.objects.count() == len(checks)
    assert SignOff.objects.get().phase_id == phase.pk
    assert Photo.objects.count() == sum(check.kind == "photo" for check in checks)
    assert all(entry.happened_at < entry.created_at for entry in Entry.objects.all())


def test_a_lost_reply_is_asked_for_again_and_counts_once(own_database, open_phases, web_server, phone):
    check = open_phases[0].checks.filter(kind="tick").first()
    lost = []

    def lose(route):
        if not lost:
            lost.append(route.fetch())
            route.abort("connectionreset")
        else:
            route.continue_()

    phone.goto(phase_url(web_server, open_phases[0]))
    phone.route("**/checks/*/entry/", lose)
    phone.locator(f"#check-{check.pk}").get_by_role("button", name="It is so").click()
    phone.get_by_text("No signal.").wait_for()
    assert lost[0].status == 200
    assert states(phone) == ["waiting"]
    try_again(phone)
    wait_for_states(phone, "sent")
    assert check.entries.count() == 1


def test_an_expired_log_in_keeps_what_was_entered_and_says_so(own_database, open_phases, web_server, phone):
    check = open_phases[0].checks.filter(kind="tick").first()
    phone.goto(phase_url(web_server, open_phases[0]))
    phone.context.clear_cookies()
    phone.locator(f"#check-{check.pk}").get_by_role("button", name="It isn't").click()
    phone.get_by_text("Log in again to send.").wait_for()
    assert states(phone) == ["waiting"]
    log_in(phone, web_server)
    wait_for_states(phone, "sent")
    assert check.entries.get().outcome == "fails"


def test_another_persons_log_in_leaves_it_where_it_is(own_database, open_phases, web_server, phone, owner):
    check = open_phases[0].checks.filter(kind="tick").first()
    phone.goto(phase_url(web_server, open_phases[0]))
    phone.context.set_offline(True)
    phone.locator(f"#check-{check.pk}").get_by_role("button", name="It is so").click()
    wait_for_states(phone, "waiting")
    phone.context.clear_cookies()
    phone.context.set_offline(False)
    log_in(phone, web_server, owner.username)
    phone.get_by_text("wait on this phone: they go when").wait_for()
    assert states(phone) == ["waiting"]
    assert not check.entries.exists()


def test_what_the_server_refuses_stays_and_can_be_mended(own_database, open_phases, web_server, phone):
    phase = open_phases[1]
    check = phase.checks.get(key="substrate.plane")
    phone.goto(phase_url(web_server, phase))
    card = phone.locator(f"#check-{check.pk}")
    card.get_by_label("Reading, inches").fill("about 3")
    card.get_by_role("button", name="Enter").click()
    wait_for_states(phone, "parked")
    card.get_by_text("Not taken:").wait_for()
    assert card.get_by_label("Reading, inches").input_value() == "about 3"
    card.get_by_label("Reading, inches").fill("1/16")
    card.get_by_role("button", name="Enter", exact=True).click()
    wait_for_states(phone, "sent")
    assert check.entries.get().outcome == "holds"


def test_mending_loses_neither_the_photo_nor_what_was_typed(own_database, open_phases, web_server, phone):
    check = open_phases[1].checks.get(key="substrate.plane")
    phone.goto(phase_url(web_server, open_phases[1]))
    card = phone.locator(f"#check-{check.pk}")
    card.get_by_text("Note, photo, helper").click()
    card.get_by_label("Photo").set_input_files(picture())
    card.get_by_label("Reading, inches").fill("about 3")
    card.get_by_role("button", name="Enter").click()
    wait_for_states(phone, "parked")
    # An empty field is no mended one: the parked item stays.
    card.get_by_label("Reading, inches").fill("")
    card.get_by_role("button", name="Enter", exact=True).click()
    card.get_by_text("Enter the reading.").wait_for()
    assert states(phone) == ["parked"]
    card.get_by_label("Reading, inches").fill("1/16")
    card.get_by_role("button", name="Enter", exact=True).click()
    wait_for_states(phone, "sent")
    entry = check.entries.get()
    assert (entry.outcome, entry.photo.job_id) == ("holds", open_phases[1].room.job_id)


def test_two_phones_that_disagree_are_both_kept_and_shown(own_database, open_phases, web_server, phone, browser, owner):
    check = open_phases[0].checks.filter(kind="tick").first()
    phone.goto(phase_url(web_server, open_phases[0]))
    phone.context.set_offline(True)
    phone.locator(f"#check-{check.pk}").get_by_role("button", name="It is so").click()
    wait_for_states(phone, "waiting")
    context = browser.new_context()
    other = context.new_page()
    log_in(other, web_server, owner.username)
    other.goto(phase_url(web_server, open_phases[0]))
    other.locator(f"#check-{check.pk}").get_by_role("button", name="It isn't").click()
    other.locator(f"#check-{check.pk}").get_by_text("Check again").wait_for()
    phone.context.set_offline(False)
    try_again(phone)
    wait_for_states(phone, "sent")
    other.reload()
    other.get_by_text("Two people entered this without knowing of each other.").wait_for()
    context.close()
    assert sorted(check.entries.values_list("outcome", flat=True)) == ["fails", "holds"]


def test_an_amendment_waits_without_signal_and_arrives_once(own_database, open_phases, web_server, phone, installer):
    phase = open_phases[0]
    prove_and_sign(phase, by=installer)
    entry = Entry.objects.filter(check_done__kind="tick").first()
    phone.goto(phase_url(web_server, phase))
    phone.context.set_offline(True)
    for card, text in ((f"#check-{entry.check_done_id}", "The wrong stud"), ("#signed", "Signed for Marek")):
        phone.locator(card).get_by_text("Amend", exact=True).click()
        phone.locator(card).get_by_label("What is corrected, and why").fill(text)
        phone.locator(card).get_by_role("button", name="Add the amendment").click()
        # Folded again, the form still says what waits.
        phone.locator(card).get_by_text("not sent yet").wait_for()
    assert not Amendment.objects.exists()
    phone.context.set_offline(False)
    phone.evaluate("dispatchEvent(new Event('online'))")
    wait_for_states(phone, "sent", "sent")
    for card, text in ((f"#check-{entry.check_done_id}", "The wrong stud"), ("#signed", "Signed for Marek")):
        phone.locator(card).get_by_text(f"Amended by {installer.name}").wait_for()
        phone.locator(card).get_by_text(text, exact=True).wait_for()
    assert entry.amendments.get().happened_at < entry.amendments.get().created_at
    assert phase.sign_off.amendments.get().text == "Signed for Marek"


def test_an_amendment_that_is_refused_stays_and_can_be_mended(own_database, open_phases, web_server, phone, installer):
    phase = open_phases[0]
    prove_and_sign(phase, by=installer)
    phone.goto(phase_url(web_server, phase))
    card = phone.locator("#signed")
    card.get_by_text("Amend", exact=True).click()
    card.get_by_label("What is corrected, and why").fill("x" * 501)
    assert card.get_by_label("What is corrected, and why").input_value() == "x" * 500
    card.get_by_label("What is corrected, and why").fill("  ")
    card.get_by_role("button", name="Add the amendment").click()
    wait_for_states(phone, "parked")
    card.get_by_text("Not taken:").wait_for()
    card.get_by_label("What is corrected, and why").fill("Signed for Marek")
    card.get_by_role("button", name="Add the amendment").click()
    wait_for_states(phone, "sent")
    assert phase.sign_off.amendments.get().text == "Signed for Marek"


def test_a_phone_that_can_keep_nothing_leaves_the_form_as_it_is(own_database, open_phases, web_server, phone):
    check = open_phases[1].checks.get(key="substrate.plane")
    phone.goto(phase_url(web_server, open_phases[1]))
    phone.context.set_offline(True)
    phone.evaluate("() => { IDBObjectStore.prototype.put = () => { throw new DOMException('full'); }; }")
    card = phone.locator(f"#check-{check.pk}")
    card.get_by_label("Reading, inches").fill("1/16")
    card.get_by_role("button", name="Enter", exact=True).click()
    card.get_by_text("couldn't keep it").wait_for()
    assert card.get_by_label("Reading, inches").input_value() == "1/16"


def test_logging_out_takes_the_pages_off_the_phone_and_leaves_what_waits(own_database, open_phases, web_server, phone):
    phone.goto(phase_url(web_server, open_phases[0]))
    phone.context.set_offline(True)
    phone.locator(f"#check-{open_phases[0].checks.filter(kind='tick').first().pk}").get_by_role(
        "button", name="It is so"
    ).click()
    wait_for_states(phone, "waiting")
    assert phone.evaluate("caches.open('pages').then((c) => c.keys()).then((k) => k.length)") > 3
    # Without signal nothing ends, and the day stays.
    log_out(phone)
    phone.get_by_text("you can log out only with signal").wait_for()
    assert phone.evaluate("caches.open('pages').then((c) => c.keys()).then((k) => k.length)") > 3
    phone.route("**/entry/", lambda route: route.abort())
    phone.context.set_offline(False)
    phone.get_by_role("button", name="Log out").click()
    phone.get_by_role("heading", name="Log in").wait_for()
    wait_until(phone, "async () => (await (await caches.open('pages')).keys()).length === 0")
    assert states(phone) == ["waiting"]


def test_an_unknown_version_and_a_wrong_key_are_refused_in_words(
    own_database, open_phases, as_installer, as_other_installer
):
    check = open_phases[0].checks.filter(kind="tick").first()
    url = reverse("inspections:entry", args=[check.pk])
    key = "01a21147-39bd-7897-8218-fe2a96966b03"
    new = as_installer.post(url, {"key": key, "right": "1"}, headers={"Phone-Item": key, "Phone-Version": "99"})
    assert (new.status_code, new.json()["kept"]) == (422, False)
    assert as_other_installer.post(url, {"key": key, "right": "1"}, headers={"Phone-Item": key}).status_code == 404
    assert not check.entries.exists()
    # Nobody is led to the log-in page: that would look like success.
    from django.test import Client

    assert Client().post(url, {"key": key, "right": "1"}, headers={"Phone-Item": key}).status_code == 401


@pytest.mark.parametrize("body", [b"", b"[]", b'{"keys": ["x"]}', b'{"keys": 3}', b"\xff", b'{"keys": [1]}'])
def test_a_question_that_can_not_be_read_is_a_bad_request(as_installer, db, body):
    assert as_installer.post(reverse("home:phone_known"), body, content_type="application/json").status_code == 400


def test_a_sign_off_that_is_held_says_all_that_holds_it(own_database, open_phases, web_server, phone):
    phone.goto(phase_url(web_server, open_phases[0]))
    phone.get_by_role("button", name="Sign off").click(force=True)
    phone.get_by_text("Not signed").wait_for()
    assert not SignOff.objects.exists()
    assert states(phone) == []
    phone.context.set_offline(True)
    try_again(phone)
    phone.get_by_text("No signal.").wait_for()
    phone.get_by_role("button", name="Sign off").click(force=True)
    phone.get_by_text("Something holds it still").wait_for()
    assert states(phone) == []


# As a phone that runs full clears the database of a site, pages of ours open or not.
CLEARED = "new Promise((done) => { indexedDB.deleteDatabase('gaugerod').onsuccess = () => done() })"


def test_what_the_phone_itself_lost_is_told_until_it_was_seen(own_database, open_phases, web_server, phone):
    phone.goto(phase_url(web_server, open_phases[0]))
    sent, *ticks = open_phases[0].checks.filter(kind="tick")[:3]
    enter(phone, sent)
    wait_for_states(phone, "sent")
    phone.context.set_offline(True)
    for check in ticks:
        enter(phone, check)
    wait_for_states(phone, "sent", "waiting", "waiting")
    phone.goto(f"{web_server}/phone/waiting/")
    phone.evaluate(CLEARED)
    phone.goto(f"{web_server}/today/")
    phone.locator("#phone-bar").get_by_text("Lost from this phone: 2").wait_for()
    phone.goto(f"{web_server}/phone/waiting/")
    phone.get_by_role("button", name="I have seen it").click()
    phone.reload()
    phone.get_by_text("No signal.").wait_for()
    assert phone.get_by_text("Lost from this phone").count() == 0


def test_what_the_phone_lost_while_a_page_was_open_is_told_on_that_page(own_database, open_phases, web_server, phone):
    phone.goto(phase_url(web_server, open_phases[0]))
    *before, after = open_phases[0].checks.filter(kind="tick")[:3]
    phone.context.set_offline(True)
    for check in before:
        enter(phone, check)
    wait_for_states(phone, "waiting", "waiting")
    phone.evaluate(CLEARED)
    enter(phone, after)
    phone.locator("#phone-bar").get_by_text("Lost from this phone: 2").wait_for()
    wait_for_states(phone, "waiting")


def test_what_is_taken_back_is_not_lost_on_any_page(own_database, open_phases, web_server, phone):
    phone.on("dialog", lambda dialog: dialog.accept())
    phone.goto(phase_url(web_server, open_phases[0]))
    first, second, third = open_phases[0].checks.filter(kind="tick")[:3]
    phone.context.set_offline(True)
    for check in (first, second):
        enter(phone, check)
    wait_for_states(phone, "waiting", "waiting")
    other = phone.context.new_page()
    other.on("dialog", lambda dialog: dialog.accept())
    other.goto(f"{web_server}/phone/waiting/")
    other.get_by_role("button", name="Delete").first.click()
    wait_for_states(phone, "waiting")
    enter(phone, third)
    wait_for_states(phone, "waiting", "waiting")
    assert [each.get_by_text("Lost from this phone").count() for each in (phone, other)] == [0, 0]


def test_a_phone_too_full_for_the_day_says_how_much_of_it_is_there(own_database, open_phases, web_server, phone):
    phone.add_init_script("""{
        const { put } = Cache.prototype;
        let room = 5;
        Cache.prototype.put = function (...what) {
            if (room-- > 0) return put.apply(this, what);
            return Promise.reject(new DOMException("full", "QuotaExceededError"));
        };
    }""")
    phone.goto(f"{web_server}/today/")
    phone.get_by_text("On this phone: 5 of").wait_for()
