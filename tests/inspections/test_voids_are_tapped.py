"""The back of a lifted tile, tapped square by square: its share, and support at all corners and edges (A108.5 3.3.2).

The means of three tiles are arithmetic on the standard's 95 percent in wet places.
"""

import uuid

import pytest
from django.templatetags.static import static
from django.urls import reverse

from inspections.models import Check, Entry
from tests.inspections.phones import log_in
from tests.support.browsers import wait_until
from trade.coverage import Lifted

CLEAN = "0" * 100


def tapped(count: int, *, at: int = 11) -> str:
    """So many squares without mortar inside the tile, from the second row on; or one at a place of choice."""
    inner = [row * 10 + column for row in range(1, 9) for column in range(1, 9)]
    cells = set(inner[:count]) if at == 11 else {at}
    return "".join("1" if n in cells else "0" for n in range(100))


@pytest.fixture
def check(open_phases):
    return Check.objects.get(phase__in=open_phases, key="setting.coverage")


def enter(client, check, voids, **more):
    data = {"key": str(uuid.uuid4()), "save": "1", "seen": "", "note": "", "helper": ""}
    for n, text in enumerate(voids):
        data |= {f"voids_{n}": text, f"value_{n}": str(100 - text.count("1"))}
    return client.post(reverse("inspections:entry", args=[check.pk]), {**data, **more})


@pytest.mark.django_db
@pytest.mark.parametrize(("missing", "outcome"), [((4, 6, 5), "holds"), ((4, 6, 6), "fails")])
def test_three_tiles_are_averaged(as_installer, check, missing, outcome):
    """96, 94 and 95 percent make 95.0, which holds; 96, 94 and 94 make 94.67, which doesn't."""
    assert enter(as_installer, check, [tapped(count) for count in missing]).status_code == 302
    entry = Entry.objects.get()
    assert entry.outcome == outcome
    assert [text.count("1") for text in entry.voids] == list(missing)


@pytest.mark.django_db
@pytest.mark.parametrize("corner_or_edge", [0, 9, 5, 40, 99])
def test_a_bare_corner_or_edge_fails_whatever_the_share(as_installer, check, corner_or_edge):
    enter(as_installer, check, [CLEAN, CLEAN, tapped(1, at=corner_or_edge)])
    entry = Entry.objects.get()
    assert (entry.outcome, entry.bare_edges) == ("fails", 1)
    text = as_installer.get(reverse("inspections:phase", args=[check.phase_id])).text
    assert "no mortar at 1 place of a corner or edge" in text


@pytest.mark.django_db
def test_what_was_tapped_and_typed_must_agree_and_nothing_is_lost(as_installer, check):
    answer = enter(as_installer, check, [tapped(4)] * 3, value_1="99")
    assert answer.status_code == 422
    assert "leave 96 percent" in answer.text
    assert f'value="{tapped(4)}"' in answer.text
    assert not Entry.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize("text", ["0" * 99, "2" * 100, "x"])
def test_a_grid_of_another_size_is_refused(as_installer, check, text):
    assert enter(as_installer, check, [CLEAN] * 3, voids_0=text).status_code == 422
    assert not Entry.objects.exists()


@pytest.mark.django_db
def test_shares_may_still_be_typed(as_installer, check):
    typed = {f"value_{n}": "96" for n in range(3)} | {f"voids_{n}": "" for n in range(3)}
    assert enter(as_installer, check, [], **typed).status_code == 302
    assert Entry.objects.get().voids == []


EDGES = [CLEAN, tapped(5), tapped(1, at=0), tapped(1, at=95), "1" * 100]


def test_the_phone_counts_bare_edges_as_the_server_does(page, web_server):
    page.goto(f"{web_server}/login/")
    run = "async ([address, rows]) => { const m = await import(address); return rows.map((row) => m.bareEdges(row)); }"
    counted = page.evaluate(run, [static("js/phone/verdict.js"), EDGES])
    tiles = [Lifted.of(text) for text in EDGES]
    assert counted == [tile.bare_corners + tile.bare_edges for tile in tiles]
    assert counted[-1] == 36


def test_voids_are_tapped_by_finger_and_by_keyboard(browser, web_server, own_database, check, installer):
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    log_in(page, web_server)
    page.goto(f"{web_server}{reverse('inspections:phase', args=[check.phase_id])}", wait_until="networkidle")
    card = page.locator(f"#check-{check.pk}")
    boxes = card.locator("details.voids")
    assert boxes.count() == 3
    for n in range(3):
        boxes.nth(n).locator("summary").tap()
        boxes.nth(n).locator(".void-grid button").nth(44 + n).tap()
        assert card.locator(f"[name=value_{n}]").input_value() == "99"
    first = boxes.nth(0).locator(".void-grid button")
    first.nth(0).focus()
    for key in ("ArrowDown", "ArrowRight", " "):
        page.keyboard.press(key)
    assert first.nth(11).get_attribute("aria-pressed") == "true"
    assert card.locator("[name=value_0]").input_value() == "98"
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    # Typed by hand it is another share than was tapped.
    card.locator("[name=value_2]").fill("97")
    assert card.locator("[name=voids_2]").input_value() == ""
    card.get_by_role("button", name="Enter", exact=True).click()
    wait_until(page, "id => document.querySelector(id)?.innerText.includes('98')", f"#check-{check.pk}")
    page.wait_for_timeout(500)
    entry = Entry.objects.get()
    assert (entry.outcome, entry.values) == ("holds", ["98", "99", "97"])
    assert [text.count("1") for text in entry.voids] == [2, 1, 0]
    context.close()
