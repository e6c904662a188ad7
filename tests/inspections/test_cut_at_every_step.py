"""A phase entered while everything breaks that can: each action arrives once, and the phone never says otherwise."""

import re
import time

import psycopg
from django.conf import settings
from django.contrib.sessions.models import Session

from inspections.models import Check, Entry, SignOff
from jobs.models import Photo
from tests.inspections.phones import ITEMS, enter, log_in, phase_url, picture, states, try_again, wait_for_states

SECONDS = 15

TWICE = 1200
"""ms: longer than static/js/phone/main.js takes two presses for one."""


def says(page) -> int:
    """How many entries wait, as the bar says it."""
    bar = page.locator("#phone-bar")
    said = re.search(r"(\d+) entr(?:y waits|ies wait) on this phone", bar.inner_text()) if bar.is_visible() else None
    return int(said[1]) if said else 0


def all_is_true(page) -> None:
    """What the phone holds for sent is on the server; the rest it says to wait, in numbers."""
    items = page.evaluate(ITEMS)
    rows = [*Entry.objects.values_list("pk", flat=True), *SignOff.objects.values_list("pk", flat=True)]
    assert {item["key"] for item in items if item["state"] == "sent"} <= {str(pk) for pk in rows}
    assert says(page) == sum(item["state"] != "sent" for item in items)


def until(found, what: str) -> None:
    end = time.monotonic() + SECONDS
    while not found():
        assert time.monotonic() < end, f"{what} did not come"
        time.sleep(0.05)


class Cuts:
    """What can go wrong between a press and its receipt; each leaves the entry waiting on the phone."""

    def __init__(self, page, process) -> None:
        self.page, self.process = page, process

    def before(self, press) -> None:
        self.page.context.set_offline(True)
        press()
        self._no_signal()

    def on_the_way(self, press) -> None:
        """The request never comes to the server."""
        self._at_the_post(lambda route: route.abort("connectionreset"), press)
        self._no_signal()

    def reply_lost(self, press, *, kill: bool = False, of: str = "entry") -> None:
        """The server has it and the phone doesn't know. With `kill` the server dies before it can say so."""

        lost = []

        def lose(route) -> None:
            lost.append(route.fetch().status)
            if kill:
                self.process.kill()
            route.abort("connectionreset")

        self._at_the_post(lose, press, of)
        until(lambda: self.page.wait_for_timeout(50) or lost, "the reply")
        assert lost == [200]
        self._no_signal()
        if kill:
            self.process.start()

    def killed_in_the_transaction(self, press) -> None:
        """The server dies by SIGKILL while its row waits to be written."""
        count = Entry.objects.count()
        with psycopg.connect(settings.DATABASE_OWNER_URL) as holder:
            holder.execute("LOCK TABLE inspections_entry IN EXCLUSIVE MODE")
            press()
            asked = "SELECT count(*) FROM pg_locks WHERE NOT granted AND relation = 'inspections_entry'::regclass"
            until(lambda: holder.execute(asked).fetchone()[0], "the request")
            self.process.kill()
            self._no_signal()
        assert Entry.objects.count() == count
        self.process.start()

    def session_ended(self, press) -> None:
        Session.objects.all().delete()
        press()
        self.page.get_by_text("Log in again to send.").wait_for()

    def _at_the_post(self, cut, press, of: str = "entry") -> None:
        self.page.route(f"**/{of}/", cut, times=1)
        press()

    def _no_signal(self) -> None:
        self.page.get_by_text("No signal.").wait_for()


def test_a_phase_is_cut_at_every_step_and_arrives_once(own_database, open_phases, web_process, phone):
    (process, url), phase = web_process, open_phases[0]
    cuts = Cuts(phone, process)
    ticks = list(phase.checks.filter(kind="tick", required=True))
    photos = list(phase.checks.filter(kind="photo", required=True))
    rest = phase.checks.filter(required=True).exclude(pk__in=[check.pk for check in ticks[:5] + photos[:2]])
    sent = 0
    phone.goto(phase_url(url, phase))
    for cut, check in (
        (cuts.before, ticks[0]),
        (cuts.on_the_way, ticks[1]),
        (cuts.reply_lost, ticks[2]),
        (cuts.killed_in_the_transaction, ticks[3]),
        (lambda press: cuts.reply_lost(press, kill=True), photos[0]),
    ):
        cut(lambda check=check: enter(phone, check))
        assert states(phone) == ["sent"] * sent + ["waiting"]
        all_is_true(phone)
        phone.context.set_offline(False)
        try_again(phone)
        sent += 1
        wait_for_states(phone, *["sent"] * sent)
        phone.locator("#phone-bar").wait_for(state="hidden")
        all_is_true(phone)
        assert check.entries.count() == 1

    cuts.session_ended(lambda: enter(phone, ticks[4]))
    all_is_true(phone)
    log_in(phone, url)
    sent += 1
    wait_for_states(phone, *["sent"] * sent)
    phone.goto(phase_url(url, phase))
    for check in rest:
        enter(phone, check)
        sent += 1
        wait_for_states(phone, *["sent"] * sent)

    # A 422: no picture. The sign-off is pressed all the same, and waits for it to be mended.
    enter(phone, photos[1], photo={"name": "x.jpg", "mimeType": "image/jpeg", "buffer": b"not a picture"})
    wait_for_states(phone, *["sent"] * sent, "parked")
    phone.get_by_role("button", name="Sign off").click(force=True)
    wait_for_states(phone, *["sent"] * sent, "parked", "waiting")
    phone.get_by_text("2 entries wait on this phone").wait_for()
    all_is_true(phone)
    assert not SignOff.objects.exists()
    cuts.reply_lost(lambda: enter(phone, photos[1]))
    all_is_true(phone)
    assert photos[1].entries.count() == 1
    assert not SignOff.objects.exists()
    # Now the photo is found to be there already, and the sign-off's reply is lost.
    cuts.reply_lost(lambda: try_again(phone), of="sign")
    all_is_true(phone)
    assert SignOff.objects.count() == 1
    try_again(phone)
    wait_for_states(phone, *["sent"] * (sent + 2))
    phone.locator("#phone-bar").wait_for(state="hidden")
    all_is_true(phone)
    assert SignOff.objects.get().phase_id == phase.pk
    required = Check.objects.filter(phase=phase, required=True)
    assert [check.entries.count() for check in required] == [1] * len(required)
    assert Photo.objects.count() == len(required.filter(kind="photo"))


def test_two_phones_sign_one_phase_at_once_and_each_entry_counts_once(
    own_database, open_phases, web_server, phone, browser
):
    """Both were without signal all day, and neither knows of the other."""
    phase, context = open_phases[0], browser.new_context()
    other = context.new_page()
    log_in(other, web_server)
    checks = list(phase.checks.filter(required=True))
    for page in (phone, other):
        page.goto(phase_url(web_server, phase))
        page.context.set_offline(True)
        for check in checks:
            enter(page, check)
            page.locator(f"#check-{check.pk}").get_by_text("not sent yet").wait_for()
        page.get_by_role("button", name="Sign off").click()
        wait_for_states(page, *["waiting"] * (len(checks) + 1))
        all_is_true(page)
    for page in (phone, other):
        # Its own `online` sends, too: neither waits for the other.
        page.context.set_offline(False)
    keys: set[str] = set()
    for page in (phone, other):
        wait_for_states(page, *["sent"] * (len(checks) + 1))
        page.locator("#phone-bar").wait_for(state="hidden")
        keys |= {item["key"] for item in page.evaluate(ITEMS)}
    context.close()
    assert [check.entries.count() for check in checks] == [2] * len(checks)
    # The second sign-off finds the first, and is none of its own.
    assert SignOff.objects.count() == 1
    rows = {str(row.pk) for model in (Entry, SignOff) for row in model.objects.all()}
    assert rows <= keys
    assert len(keys - rows) == 1


def test_a_send_that_hangs_holds_up_no_other_press(own_database, open_phases, web_server, phone):
    """One bar of signal: the photo is on its way for a minute, and the next is taken at the same card. A glove that
    presses twice has pressed once."""
    check = open_phases[0].checks.filter(kind="photo").first()
    hanging = []
    phone.goto(phase_url(web_server, open_phases[0]))
    phone.route("**/entry/", lambda route: hanging.append(route), times=1)
    card = phone.locator(f"#check-{check.pk}")
    card.get_by_label("Photo").set_input_files(picture((400, 300)))
    card.get_by_role("button", name="Keep the photo").dblclick()
    until(lambda: phone.wait_for_timeout(50) or hanging, "the photo")
    assert states(phone) == ["waiting"]
    phone.wait_for_timeout(TWICE)
    assert states(phone) == ["waiting"]
    enter(phone, check)
    wait_for_states(phone, "waiting", "waiting")
    phone.get_by_text("2 entries wait on this phone").wait_for()
    hanging[0].continue_()
    wait_for_states(phone, "sent", "sent")
    assert check.entries.count() == Photo.objects.count() == 2


def test_two_readings_right_after_each_other_are_two(own_database, open_phases, web_server, phone):
    """Planed and read again before the first is through: what is typed by then neither goes nor is taken for a glove's
    second press."""
    check = open_phases[1].checks.get(key="substrate.plumb")
    phone.goto(phase_url(web_server, open_phases[1]))
    card = phone.locator(f"#check-{check.pk}")
    for reading in ("2", "1/16", "1/8"):
        card.get_by_label("Reading, inches").fill(reading)
        card.get_by_role("button", name="Enter", exact=True).click()
    wait_for_states(phone, *["sent"] * 3)
    read = [float(value) for entry in check.entries.order_by("happened_at") for value in entry.values]
    assert read == [2 * 25.4, 25.4 / 16, 25.4 / 8]


def test_what_the_server_stumbles_over_holds_up_nothing_but_its_phases_sign_off(
    own_database, open_phases, web_server, phone
):
    phase = open_phases[0]
    first, second, *_ = checks = list(phase.checks.filter(required=True))
    phone.goto(phase_url(web_server, phase))
    phone.context.set_offline(True)
    for check in checks:
        enter(phone, check)
    phone.get_by_role("button", name="Sign off").click()
    phone.get_by_text(f"{len(checks) + 1} entries wait").wait_for()
    phone.route(f"**/{first.pk}/entry/", lambda route: route.fulfill(status=500, body="Server Error"))
    phone.context.set_offline(False)
    wait_for_states(phone, "waiting", *["sent"] * (len(checks) - 1), "waiting")
    phone.get_by_text("2 entries wait on this phone").wait_for()
    all_is_true(phone)
    assert second.entries.count() == 1
    assert not SignOff.objects.exists()
    phone.unroute_all()
    try_again(phone)
    wait_for_states(phone, *["sent"] * (len(checks) + 1))
    assert (first.entries.count(), second.entries.count(), SignOff.objects.count()) == (1, 1, 1)
