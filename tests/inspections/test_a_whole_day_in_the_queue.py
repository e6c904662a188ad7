"""A whole day without signal: 500 actions, 50 of them with photos of 3 MB, sent in one go when the signal is back."""

import base64
import hashlib
import time
from datetime import datetime
from itertools import cycle

import pytest
from django.urls import reverse

from base.keys import uuid7
from inspections.models import Check, Entry, SignOff
from jobs.models import Photo
from tests.inspections.phones import ITEMS, phase_url, picture, states, try_again, wait_for_states
from tests.inspections.proofs import good_values

ACTIONS = 500
PHOTOS = 50
TAPPED = 5
"""Of the actions, those that are made by pressing: a tick, three photos, the sign-off."""

SAFETY = 600_000
"""ms: far more than the slowest machine needs; a queue that stands still fails."""

# As the page's `keep` has it kept, without the form. Each photo is the same picture and a file of its own: what follows
# the end of a JPEG is no part of the picture.
ADD = """async ([url, items, base64]) => {
    const store = await import(url);
    const bytes = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
    const person = document.getElementById("phone").dataset;
    const begin = performance.now();
    for (const { photo, ...item } of items) {
        let file = null;
        if (photo !== null) {
            const own = new Uint8Array(bytes.length + 4);
            own.set(bytes);
            new DataView(own.buffer).setUint32(bytes.length, photo);
            file = { name: "photo", file: "photo.jpg", type: "image/jpeg", bytes: own.buffer };
        }
        await store.put({
            ...item, state: "waiting", version: "1", errors: null, sent: null, last: false, counted: true, photo: file,
            user: person.user, name: person.name, page: location.pathname, at: new Date().toISOString(),
        });
    }
    return performance.now() - begin;
}"""

MODULE = """name => performance.getEntriesByType("resource").map((entry) => entry.name)
    .find((address) => address.includes(`/js/phone/${name}.`))"""


@pytest.fixture(scope="session")
def big_picture() -> dict:
    return picture((2100, 1575))


def answer(check: Check) -> list[list[str]]:
    """The fields that prove the check, as its form sends them."""
    unit = {"mm": " mm", "percent": " %"}.get(check.unit, "")
    fields = [[f"value_{n}", f"{value.normalize():f}{unit}"] for n, value in enumerate(good_values(check))]
    return fields + {"tick": [["right", "1"]], "wait": [["begin", "1"]]}.get(check.kind, [["save", "1"]])


def day_of(checks: list[Check], *, actions: int, photos: int) -> list[dict]:
    """As many actions in turns over the checks; those of photo checks spread over the day, each with its photo."""
    proved_by_photo = cycle([check for check in checks if check.kind == "photo"])
    others = cycle([check for check in checks if check.kind != "photo"])
    every, items = actions // photos, []
    for number in range(actions):
        of_photo = number % every == 0 and number // every < photos
        check, key = next(proved_by_photo if of_photo else others), str(uuid7())
        items.append(
            {
                "key": key,
                "address": reverse("inspections:entry", args=[check.pk]),
                "group": str(check.phase_id),
                "label": check.text,
                "fields": [*answer(check), ["seen", "none"], ["key", key]],
                "verdict": "holds",
                "photo": number if of_photo else None,
            }
        )
    return items


def test_a_day_without_signal_arrives_whole_and_once(own_database, open_phases, web_server, phone, big_picture):
    first = open_phases[0]
    checks = list(Check.objects.filter(phase__in=open_phases).order_by("phase__position", "position"))
    items = day_of(checks, actions=ACTIONS - TAPPED, photos=PHOTOS - 3)
    size = len(big_picture["buffer"])
    assert size > 3_000_000
    phone.goto(phase_url(web_server, first))
    store = phone.evaluate(MODULE, "store")
    phone.context.set_offline(True)
    took = phone.evaluate(ADD, [store, items, base64.b64encode(big_picture["buffer"]).decode()])
    print(f"{len(items)} actions kept in {took / 1000:.1f} s")
    press(phone, first, big_picture)
    phone.get_by_text(f"{ACTIONS} entries wait on this phone").wait_for()
    assert not Entry.objects.exists()

    # When each was made, as the phone knows it, to be found again on the server.
    made = {item["key"]: datetime.fromisoformat(item["at"]) for item in phone.evaluate(ITEMS)}
    assert len(made) == ACTIONS

    begin = time.monotonic()
    phone.context.set_offline(False)
    try_again(phone)
    phone.locator("#phone-bar").wait_for(state="hidden", timeout=SAFETY)
    print(f"{ACTIONS} actions sent in {time.monotonic() - begin:.1f} s")
    assert states(phone) == ["sent"] * ACTIONS
    entries = {str(entry.pk): entry.happened_at for entry in Entry.objects.all()}
    signed = SignOff.objects.get()
    assert entries | {str(signed.pk): signed.happened_at} == made
    assert signed.phase_id == first.pk
    assert Photo.objects.count() == Entry.objects.exclude(photo=None).count() == PHOTOS
    sent = {str(photo.pk): photo.upload_sha256 for photo in Photo.objects.all()}
    for item in items:
        if item["photo"] is not None:
            own = big_picture["buffer"] + item["photo"].to_bytes(4, "big")
            assert sent[item["key"]] == hashlib.sha256(own).hexdigest()


def press(phone, phase, photo: dict) -> None:
    """The last of the day by hand: a tick, three photos, and the sign-off."""
    tick = phase.checks.filter(kind="tick").first()
    card = phone.locator(f"#check-{tick.pk}")
    begin = time.monotonic()
    card.get_by_role("button", name="It is so").click()
    phone.get_by_text(f"{ACTIONS - TAPPED + 1} entries wait").wait_for()
    print(f"a tap is kept in {time.monotonic() - begin:.2f} s")
    card = phone.locator(f"#check-{phase.checks.filter(kind='photo').first().pk}")
    for number in range(3):
        card.get_by_label("Photo").set_input_files(photo)
        begin = time.monotonic()
        card.get_by_role("button", name="Keep the photo").click()
        phone.get_by_text(f"{ACTIONS - TAPPED + 2 + number} entries wait").wait_for()
        print(f"a photo is kept in {time.monotonic() - begin:.2f} s")
    phone.get_by_role("button", name="Sign off").click()


# As static/js/phone/store.js kept an item while the bytes were still in it.
KEPT_BEFORE = """([item, base64]) => new Promise((resolve, reject) => {
    indexedDB.deleteDatabase("gaugerod").onsuccess = () => {
        const asked = indexedDB.open("gaugerod", 1);
        asked.onupgradeneeded = () => asked.result.createObjectStore("items", { keyPath: "key" });
        asked.onsuccess = () => {
            const bytes = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0)).buffer;
            const transaction = asked.result.transaction("items", "readwrite");
            transaction.objectStore("items").put({ ...item, photo: { ...item.photo, bytes } });
            transaction.oncomplete = () => { setTimeout(() => asked.result.close(), 1500); resolve(); };
            transaction.onabort = () => reject(transaction.error);
        };
    };
})"""


def test_what_a_page_of_the_version_before_kept_arrives(own_database, open_phases, web_server, phone, installer):
    """An update comes while a photo waits, and a page of the version before is still busy with it."""
    check, key, photo = open_phases[0].checks.filter(kind="photo").first(), str(uuid7()), picture((400, 300))
    item = {
        "key": key,
        "user": str(installer.pk),
        "name": installer.name,
        "address": reverse("inspections:entry", args=[check.pk]),
        "group": str(check.phase_id),
        "page": "/today/",
        "label": check.text,
        "at": "2026-11-25T10:00:00.000Z",
        "last": False,
        "counted": True,
        "fields": [["save", "1"], ["seen", "none"], ["key", key]],
        "verdict": "holds",
        "version": "1",
        "state": "waiting",
        "errors": None,
        "sent": None,
        "photo": {"name": "photo", "file": "photo.jpg", "type": "image/jpeg"},
    }
    phone.goto(f"{web_server}/alive/")
    before = phone.context.new_page()
    before.goto(f"{web_server}/alive/")
    before.evaluate(KEPT_BEFORE, [item, base64.b64encode(photo["buffer"]).decode()])
    phone.goto(f"{web_server}/today/")
    wait_for_states(phone, "sent")
    assert check.entries.get().photo.upload_sha256 == hashlib.sha256(photo["buffer"]).hexdigest()
