"""A limit that the shop changes judges from then on; what was read, judged and signed before stays byte for byte."""

import html
import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from base.errors import KeyTaken
from base.keys import uuid7
from inspections.actions import record_entry, sign_phase
from inspections.judging import judged_by, yardstick_of, yardsticks
from inspections.models import Check, Entry
from shop.actions import set_limit
from shop.models import LimitChange, ShopSettings
from shop.queries import shop_limits
from tests.inspections.opening import open_phases_of
from tests.inspections.proofs import prove, prove_and_sign
from trade.lengths import inches
from trade.limits import Limit
from trade.shop_limits import FIGURES, OWN

pytestmark = pytest.mark.django_db

TABLES = ("phase", "check", "entry", "waiver", "signoff", "closeout")


def set_to(owner, key: str, value: str | Decimal | None, reason: str = "Our own") -> None:
    seen = LimitChange.objects.filter(key=key).count()
    number = None if value is None else Decimal(value)
    set_limit(key=key, value=number, reason=reason, seen=seen, by=owner)


def raw_rows() -> dict[str, list[str]]:
    """Every row of the inspections as the database writes it."""
    found = {}
    with connection.cursor() as cursor:
        for table in TABLES:
            cursor.execute(f"SELECT t::text FROM inspections_{table} t ORDER BY t.id")
            found[table] = [row for (row,) in cursor.fetchall()]
    return found


def plane(phases) -> Check:
    """The gap under the long straightedge: 1/8 in for this tile, by ANSI A108.02 4.2.2."""
    return Check.objects.get(phase__in=phases, key="substrate.plane")


def read(check: Check, value: str, by, **more) -> Entry:
    values = [inches(value)] if check.unit == "mm" else [Decimal(value)]
    return record_entry(check=check, by=by, values=values, **{"happened_at": timezone.now()} | more)


def page_of(client, check: Check) -> str:
    """The card of a check as it is read."""
    page = client.get(reverse("inspections:phase", args=[check.phase_id])).content.decode()
    card = page.split(f'id="check-{check.pk}"')[1].split("</section>")[0]
    return " ".join(html.unescape(re.sub(r"<[^>]+>", "", card)).split())


def test_a_reading_is_judged_by_the_limit_of_its_moment_and_keeps_it(open_phases, installer, owner):
    check = plane(open_phases)
    assert read(check, "3/16", installer).outcome == "fails"
    set_to(owner, "flat_large_long_mm", inches("1/4"))
    looser = read(check, "3/16", installer)
    set_to(owner, "flat_large_long_mm", inches("1/16"))
    stricter = read(check, "3/32", installer)
    set_to(owner, "flat_large_long_mm", None)
    back = read(check, "3/32", installer)
    kept = [(entry.outcome, entry.limit["high"]) for entry in check.entries.order_by("created_at", "id")]
    assert kept == [
        ("fails", "3.175000"),
        ("holds", "6.350000"),
        ("fails", "1.587500"),
        ("holds", "3.175000"),
    ]
    assert looser.limit_source.startswith(f"{OWN}, looser than its source: ANSI A108.02")
    assert stricter.limit_source.startswith(f"{OWN}, stricter than its source: ANSI A108.02")
    assert back.limit_source == check.source


def test_nothing_that_was_recorded_or_signed_changes_with_a_limit(open_phases, installer, owner, as_installer):
    signed, proved, begun = open_phases[:3]
    prove_and_sign(signed, by=installer)
    prove_and_sign(proved, by=installer)
    prove(begun, by=installer)
    read(plane(open_phases), "3/16", installer)
    before = raw_rows()
    assert all(before[table] for table in ("phase", "check", "entry", "signoff"))
    for figure in FIGURES.values():
        up = figure.default * Decimal("1.04")
        set_to(owner, figure.key, up if up <= figure.highest else figure.default * Decimal("0.96"))
    for phase in open_phases:
        as_installer.get(reverse("inspections:phase", args=[phase.pk]))
    assert raw_rows() == before
    for figure in FIGURES.values():
        set_to(owner, figure.key, None)
    assert raw_rows() == before


def test_a_signed_phase_stays_signed_under_a_limit_that_it_would_not_meet(open_phases, installer, owner, as_installer):
    for phase in open_phases[:3]:
        prove_and_sign(phase, by=installer)  # each reading on the bound of what is allowed
    check = plane(open_phases)
    set_to(owner, "flat_large_long_mm", inches("1/16"))
    prove_and_sign(open_phases[3], by=installer)  # the phases before it still hold
    card = page_of(as_installer, check)
    assert 'at most 1/8"' in card
    assert 'What is read now is judged by: at most 1/16"' in card
    late = read(check, "1/8", installer)
    assert (late.late, late.outcome) == (True, "fails")


def test_an_open_phase_shows_todays_limit_and_what_an_earlier_reading_was_judged_by(
    open_phases, installer, owner, as_installer
):
    check = plane(open_phases)
    read(check, "3/32", installer)
    assert "judged by" not in page_of(as_installer, check)
    set_to(owner, "flat_large_long_mm", inches("1/16"))
    card = page_of(as_installer, check)
    assert 'at most 1/16" · the shop’s own limit' in card
    assert 'read: 3/32" judged by the limit of its time, at most 1/8"' in card
    assert f"{OWN}, stricter than its source: ANSI A108.02" in card
    assert "The maker's written instructions and the local code come before it." in card
    assert check.entries.get().outcome == "holds"
    read(check, "3/32", installer)
    card = page_of(as_installer, check)
    assert card.count("judged by the limit of its time") == 1
    assert "looser" not in card
    set_to(owner, "flat_large_long_mm", inches("1/4"))
    assert 'at most 1/4" · the shop’s own limit, looser than its source' in page_of(as_installer, check)


def test_a_failed_reading_fails_until_it_is_read_again(open_phases, installer, owner):
    for phase in open_phases[:2]:
        prove_and_sign(phase, by=installer)
    substrate, check = open_phases[2], plane(open_phases)
    prove(substrate, by=installer, but=check)
    read(check, "3/16", installer)
    set_to(owner, "flat_large_long_mm", inches("1/4"))
    with pytest.raises(Exception, match="failed"):
        sign_phase(phase=substrate, by=installer, happened_at=timezone.now())
    read(check, "3/16", installer)
    assert sign_phase(phase=substrate, by=installer, happened_at=timezone.now())


def test_a_reading_made_without_signal_before_the_change_is_judged_as_it_was_shown(open_phases, installer, owner):
    check = plane(open_phases)
    set_to(owner, "flat_large_long_mm", inches("1/4"))
    earlier = read(check, "3/16", installer, happened_at=timezone.now() - timedelta(hours=1))
    assert (earlier.outcome, earlier.limit["high"]) == ("fails", "3.175000")
    assert earlier.limit_source == check.source
    ahead = read(check, "3/16", installer, happened_at=timezone.now() + timedelta(days=1))
    assert ahead.outcome == "holds"


@pytest.mark.parametrize(("reading", "own", "outcome"), [("3/16", "1/4", "fails"), ("3/32", "1/16", "holds")])
def test_the_same_entry_sent_again_after_a_change_is_still_the_same(
    open_phases, installer, owner, reading, own, outcome
):
    check, key = plane(open_phases), uuid7()
    first = read(check, reading, installer, key=key, note="by the door")
    set_to(owner, "flat_large_long_mm", inches(own))
    again = read(check, reading, installer, key=key, note="by the door")
    assert again.pk == first.pk
    assert (again.outcome, again.limit) == (outcome, first.limit)
    assert check.entries.count() == 1
    for other in ({"note": "by the window"}, {"skipped": True, "note": "by the door"}):
        with pytest.raises(KeyTaken):
            read(check, reading, installer, key=key, **other)
    with pytest.raises(KeyTaken):
        read(check, "1/32", installer, key=key, note="by the door")


def test_a_wait_that_runs_ends_when_it_was_said_to_and_the_next_by_the_new_limit(open_phases, installer, owner):
    check = Check.objects.get(phase__in=open_phases, key="grout.set")
    begun = timezone.now()
    first = record_entry(check=check, by=installer, happened_at=begun)
    set_to(owner, "mortar_large_hours", "96")
    second = record_entry(check=check, by=installer, happened_at=timezone.now())
    first.refresh_from_db()
    assert first.due_at == begun + timedelta(hours=72)
    assert second.due_at == second.happened_at + timedelta(hours=96)
    assert (first.limit["low"], second.limit["low"]) == ("72", "96.000000")


def test_coverage_and_slope_follow_with_their_counts(open_phases, installer, owner):
    coverage = Check.objects.get(phase__in=open_phases, key="setting.coverage")
    slope = Check.objects.get(phase__in=open_phases, key="slope.fall")
    set_to(owner, "coverage_wet_percent", "90")
    set_to(owner, "shower_slope_low_percent", "2.5")
    now = timezone.now()
    lifted = record_entry(check=coverage, by=installer, happened_at=now, values=[Decimal(92)] * 3)
    falls = record_entry(check=slope, by=installer, happened_at=now, values=[Decimal("2.2")] * 2)
    assert (lifted.outcome, lifted.limit["over"], lifted.limit["count"]) == ("holds", "mean", 3)
    assert (falls.outcome, falls.limit["count"]) == ("fails", 2)


def test_a_tick_a_photo_and_what_could_not_be_checked_have_no_limit(open_phases, installer):
    tick = Check.objects.filter(phase__in=open_phases, kind="tick").first()
    assert record_entry(check=tick, by=installer, happened_at=timezone.now(), ticked=True).limit is None
    skipped = record_entry(check=plane(open_phases), by=installer, happened_at=timezone.now(), note="x", skipped=True)
    assert (skipped.limit, skipped.limit_source) == (None, "")
    assert judged_by(skipped, plane(open_phases)) is None


def test_a_row_from_before_shops_had_limits_was_judged_by_its_check(open_phases, installer, owner, as_installer):
    check = plane(open_phases)
    Entry.objects.create(
        check_done=check,
        outcome="holds",
        values=["3.175000"],
        by=installer,
        happened_at=timezone.now() - timedelta(days=9),
        payload_sha256="0" * 64,
    )
    set_to(owner, "flat_large_long_mm", inches("1/16"))
    assert 'judged by the limit of its time, at most 1/8"' in page_of(as_installer, check)


def test_phases_opened_after_a_change_open_with_the_shops_limit(room, owner):
    set_to(owner, "mortar_large_hours", "84")
    phases = open_phases_of(room)
    check = Check.objects.get(phase__in=phases, key="grout.set")
    assert Limit.from_json(check.limit).low == 84
    assert check.source.startswith(f"{OWN}, stricter than its source")
    set_to(owner, "mortar_large_hours", None)
    now = yardsticks(check.phase, shop_limits())
    assert yardstick_of(check, now).limit.low == 72
    check.refresh_from_db()
    assert Limit.from_json(check.limit).low == 84


def test_a_check_that_the_catalogue_no_longer_has_keeps_its_limit(open_phases, installer):
    check = plane(open_phases)
    check.key = "substrate.of_an_earlier_edition"
    assert yardstick_of(check, yardsticks(check.phase, shop_limits())).limit.high == inches("1/8")
    assert read(check, "1/8", installer).outcome == "holds"


def test_what_applies_to_the_room_is_not_asked_anew(open_phases, owner):
    """Without a change of the shop's, every check is judged by what its phase was opened with."""
    for phase in open_phases:
        now = yardsticks(phase, shop_limits())
        for check in phase.checks.exclude(limit=None):
            assert now[check.key].limit == Limit.from_json(check.limit)
            assert now[check.key].source == check.source


def test_the_keypad_follows_and_a_key_of_an_older_page_still_counts(open_phases, owner, as_installer):
    check = plane(open_phases)
    url = reverse("inspections:phase", args=[check.phase_id])

    def keys(page: str) -> list[str]:
        card = page.split(f'id="check-{check.pk}"')[1].split("</section>")[0]
        return re.findall(r'name="tap" value="([^"]+)"', card)

    assert keys(as_installer.get(url).content.decode()) == ["0", "1/16", "1/8", "3/16", "1/4"]
    set_to(owner, "flat_large_long_mm", inches("1/32"))
    assert keys(as_installer.get(url).content.decode()) == ["0", "1/32", "1/16", "3/32", "1/8"]
    data = {"key": str(uuid7()), "value_0": "", "tap": "3/16"}
    assert as_installer.post(reverse("inspections:entry", args=[check.pk]), data).status_code == 302
    entry = check.entries.get()
    assert (entry.values, entry.outcome) == (["4.762500"], "fails")


def test_a_bound_on_a_card_holds_when_it_is_read_whatever_the_shop_set(open_phases, owner, installer, as_installer):
    """3 mm is no fraction of an inch, and 2.083 percent has no two places: shown, they must not promise too much."""
    set_to(owner, "flat_large_long_mm", "3")
    set_to(owner, "shower_slope_low_percent", "2.0833")
    check = plane(open_phases)
    assert 'at most 7/64"' in page_of(as_installer, check)
    assert read(check, "7/64", installer).outcome == "holds"
    slope = Check.objects.get(phase__in=open_phases, key="slope.fall")
    assert "from 2.09 %" in page_of(as_installer, slope)


def test_a_metric_shop_sees_its_own_limit_in_millimeters(open_phases, owner, as_installer):
    ShopSettings.objects.update_or_create(pk=1, defaults={"units": "mm"})
    set_to(owner, "flat_large_long_mm", "2")
    assert "at most 2 mm · the shop’s own limit" in page_of(as_installer, plane(open_phases))


def test_the_page_takes_one_query_for_the_limits_however_many_were_set(open_phases, owner, as_installer):
    url = reverse("inspections:phase", args=[open_phases[2].pk])

    def queries() -> tuple[int, int]:
        with CaptureQueriesContext(
            connection,
        ) as found:
            assert as_installer.get(url).status_code == 200
        sql = [query["sql"] for query in found]
        return len(sql), sum("shop_limitchange" in each for each in sql)

    before = queries()
    assert before[1] == 1
    for number in range(1, 6):
        for key in ("flat_large_long_mm", "mortar_hours"):
            set_to(owner, key, FIGURES[key].default + number)
    assert queries() == before
