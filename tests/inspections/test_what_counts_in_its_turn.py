"""What proves a check counts only in its turn: a wait that begins too early, or a look before the water has stood,
proves nothing. The page says so in words, and the database by itself."""

import io
from datetime import timedelta

import pytest
from django.db import IntegrityError
from django.urls import reverse
from django.utils import timezone

from inspections.actions import NotProved, record_entry, sign_phase, sort_photo, tell_waits_over, waive_check
from inspections.models import Check, Phase
from inspections.queries import phase_view
from jobs.actions import keep_photo
from tests.inspections.proofs import come_to, picture, prove, prove_and_sign, some_photo
from tests.inspections.test_signing import insert_sign_off
from trade.catalogue import PHASE_KINDS
from trade.lengths import inches

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture
def water_test(open_phases):
    return open_phases[4]


@pytest.fixture
def checks(water_test):
    return {check.key.removeprefix("water_test."): check for check in water_test.checks.all()}


def state_of(check: Check) -> str:
    return next(view.state for view in phase_view(check.phase).checks if view.check.pk == check.pk)


def why(check: Check) -> str:
    return next(view.holds for view in phase_view(check.phase).checks if view.check.pk == check.pk)


def refused(phase, by) -> None:
    """By the action and by the database."""
    with pytest.raises(NotProved):
        sign_phase(phase=phase, by=by, happened_at=timezone.now())
    with pytest.raises(IntegrityError, match="held by"):
        insert_sign_off(phase, by)


def test_a_check_comes_after_checks_of_its_own_phase_that_stand_before_it():
    for kind in PHASE_KINDS:
        places = [check.key for check in kind.checks]
        for check in kind.checks:
            assert all(places.index(key) < places.index(check.key) for key in check.after)
            assert set(check.restarts) <= set(places)


def test_what_was_pressed_before_the_waterproofing_was_signed_proves_nothing(open_phases, checks, installer):
    """The finding: both waits at once, and all of the test ticked on the day before."""
    for phase in open_phases[:3]:
        prove_and_sign(phase, by=installer)
    monday = timezone.now() - timedelta(days=3)
    photos = {name: some_photo(checks[name].phase.room.job, installer, at=monday) for name in ("mark", "mark_end")}
    for name in ("cured", "hours", "mark", "mark_end", "level", "below", "spray"):
        record_entry(check=checks[name], by=installer, happened_at=monday, ticked=True, photo=photos.get(name))
    prove(open_phases[3], by=installer)
    sign_phase(phase=open_phases[3], by=installer, happened_at=timezone.now())
    record_entry(check=checks["depth"], by=installer, happened_at=timezone.now(), values=[inches(3)])
    assert state_of(checks["cured"]) == "early"
    assert "Waterproofing has to be signed first" in why(checks["cured"])
    assert "“Water has stood” comes first" in why(checks["level"])
    refused(open_phases[4], installer)


def test_the_water_stands_only_after_the_membrane_has_cured(open_phases, checks, installer):
    begun = come_to(checks["cured"], by=installer)
    for name in ("cured", "hours"):
        record_entry(check=checks[name], by=installer, happened_at=begun)
    prove(open_phases[4], by=installer, but=checks["hours"])
    assert state_of(checks["cured"]) == "holds"
    assert state_of(checks["hours"]) == "early"
    refused(open_phases[4], installer)


@pytest.mark.parametrize("name", ["level", "below", "mark_end"])
def test_the_level_is_looked_at_when_the_water_has_stood(water_test, checks, installer, name):
    over = come_to(checks[name], by=installer)
    check = checks[name]
    photo = some_photo(water_test.room.job, installer, at=over - HOUR) if name == "mark_end" else None
    record_entry(check=check, by=installer, happened_at=over - HOUR, ticked=True, photo=photo)
    prove(water_test, by=installer, but=check)
    refused(water_test, installer)
    photo = some_photo(water_test.room.job, installer, at=over + HOUR) if name == "mark_end" else None
    record_entry(check=check, by=installer, happened_at=over + HOUR, ticked=True, photo=photo)
    sign_phase(phase=water_test, by=installer, happened_at=timezone.now())


def test_a_photo_sorted_later_shows_the_moment_when_it_was_taken(water_test, checks, installer):
    prove(water_test, by=installer, but=checks["mark_end"])
    over = come_to(checks["mark_end"], by=installer)
    early = keep_photo(
        job=water_test.room.job, by=installer, upload=io.BytesIO(picture()), happened_at=over - HOUR, to_sort=True
    )
    sort_photo(photo=early, by=installer, happened_at=timezone.now(), check=checks["mark_end"])
    assert state_of(checks["mark_end"]) == "early"
    refused(water_test, installer)


@pytest.mark.parametrize("name", ["level", "below"])
def test_a_test_that_failed_is_done_again_from_the_start(water_test, checks, installer, name):
    come_to(checks["cured"], by=installer)
    over = prove(water_test, by=installer)
    assert phase_view(water_test).may_be_signed
    record_entry(check=checks[name], by=installer, happened_at=over + HOUR, ticked=False)
    record_entry(check=checks[name], by=installer, happened_at=over + 2 * HOUR, ticked=True)
    assert {key for key in checks if state_of(checks[key]) == "early"} == {
        "depth", "mark", "hours", "mark_end", "level", "below",
    }  # fmt: skip
    assert "failed since: enter it again, from the start" in why(checks["hours"])
    refused(water_test, installer)


def test_what_fails_counts_whenever_it_is_seen(checks, installer):
    over = come_to(checks["level"], by=installer)
    record_entry(check=checks["level"], by=installer, happened_at=over - 10 * HOUR, ticked=False)
    assert (state_of(checks["level"]), state_of(checks["hours"])) == ("fails", "early")


def test_a_failure_that_the_owner_waived_restarts_nothing(checks, installer, owner):
    over = come_to(checks["level"], by=installer)
    record_entry(check=checks["level"], by=installer, happened_at=over + HOUR, ticked=False)
    assert state_of(checks["hours"]) == "early"
    waive_check(check=checks["level"], reason="The plug leaked, seen by me", by=owner)
    assert (state_of(checks["level"]), state_of(checks["hours"])) == ("waived", "holds")


def test_what_comes_after_a_waived_wait_needs_no_wait(checks, installer, owner):
    begun = come_to(checks["cured"], by=installer)
    for name in ("cured", "hours"):
        record_entry(check=checks[name], by=installer, happened_at=begun)
    record_entry(check=checks["cured"], by=installer, happened_at=timezone.now())
    waive_check(check=checks["cured"], reason="A sheet: it needs none", by=owner)
    assert state_of(checks["hours"]) == "holds"


def test_mortar_sets_only_once_all_tiles_are_set(floor_phases, installer):
    *before, setting, grout, _soft = floor_phases
    for phase in before:
        prove_and_sign(phase, by=installer)
    begun = prove(setting, by=installer)
    wait = grout.checks.get(key="grout.set")
    record_entry(check=wait, by=installer, happened_at=begun - HOUR)
    sign_phase(phase=setting, by=installer, happened_at=begun)
    assert state_of(wait) == "early"
    record_entry(check=wait, by=installer, happened_at=begun + HOUR)
    assert state_of(wait) == "holds"


def test_the_card_says_what_comes_first_and_why_it_does_not_count(checks, as_installer, installer):
    address = reverse("inspections:phase", args=[checks["level"].phase_id])
    page = as_installer.get(address).content.decode()
    assert "Comes after: Water has stood" in page
    assert "Comes after: Waterproofing signed" in page
    record_entry(check=checks["level"], by=installer, happened_at=timezone.now(), ticked=True)
    page = as_installer.get(address).content.decode()
    assert "too early: “Water has stood” comes first. Enter it again after that." in page


def test_nobody_hears_by_mail_of_a_wait_that_does_not_count(checks, installer, owner):
    record_entry(check=checks["hours"], by=installer, happened_at=timezone.now() - timedelta(hours=25))
    assert tell_waits_over() == 0


def test_a_job_under_way_keeps_the_order_it_began_with(open_phases, installer, own_checks_without_order):
    """Checks from before there was an order have none: they count whenever they came."""
    phase = own_checks_without_order
    then = timezone.now() - timedelta(days=4)
    for check in phase.checks.all():
        record_entry(check=check, by=installer, happened_at=then, ticked=True)
    for each in open_phases[:5]:
        prove_and_sign(each, by=installer)
    assert {view.state for view in phase_view(phase).checks} == {"holds"}


@pytest.fixture
def own_checks_without_order(open_phases):
    room = open_phases[0].room
    phase = Phase.objects.create(
        room=room, key="old", name="Water test", position=99, specification=open_phases[4].specification
    )
    limit = {"compare": "at least", "low": "24", "high": None, "over": "each", "count": 1}
    for place, (key, kind) in enumerate((("old.cured", "wait"), ("old.hours", "wait"), ("old.level", "tick"))):
        Check.objects.create(
            phase=phase, key=key, position=place, text=key, kind=kind, unit="hours" if kind == "wait" else "",
            limit=limit if kind == "wait" else None, source="x", confidence="memory",
        )  # fmt: skip
    return phase
