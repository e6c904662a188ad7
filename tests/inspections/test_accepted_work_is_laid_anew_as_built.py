"""While accepted work is under way, what was framed otherwise is taken over with a reason: a new layout beside the
accepted one, which every sheet goes by, and checks that say the figures anew."""

import pytest
from django.db import DatabaseError, transaction
from django.urls import reverse

from base.errors import Refused
from inspections.actions import lay_anew_as_built, record_entry, sign_phase, waive_check
from inspections.models import Check, Phase, SaidAnew
from inspections.queries import phase_view
from jobs.actions import move_job
from jobs.models import Job, Stage
from rooms.actions import RoomLocked, change_room, choose_layout, import_room
from rooms.as_built_actions import print_rough_in
from rooms.files import room_to_file
from rooms.models import AsBuilt, Layout
from rooms.queries import current_layout, is_stale, room_with_parts
from rooms.rough_in import RoughIn
from tests.factories import StaffFactory
from tests.inspections.opening import open_phases_of
from tests.rooms_app.rough_ins import fields, measured, shower

pytestmark = pytest.mark.django_db

HIGHER = {"niche_bottom_of_the_rough_opening": "41 1/4"}
REASON = "the client saw it and keeps it"


@pytest.fixture
def accepted(job, owner):
    """The layout that was accepted; its room's phases are open."""
    room = import_room(job=job, data=shower(), place="shower", by=owner)
    layout = choose_layout(room=room, option=1, why="least cuts", by=owner)
    open_phases_of(room)
    return Layout.objects.get(pk=layout.pk)


def sheet_page(layout):
    return reverse("rooms:rough_in", args=[layout.room_id])


def taking_over(layout):
    return reverse("inspections:as_built", args=[layout.room_id])


def relaid(layout, by, **more) -> AsBuilt:
    measures = measured(layout, niche_bottom_of_the_rough_opening="41.25")
    return lay_anew_as_built(layout=layout, measures=measures, by=by, **{"reason": REASON, **more})


def rough_in_of(layout) -> Phase:
    return Phase.objects.get(room=layout.room_id, key="rough_in")


def texts(layout) -> list[str]:
    return [view.text for view in phase_view(rough_in_of(layout)).checks if view.check.key.startswith("rough_in.item")]


def test_the_page_offers_it_with_what_it_takes_and_where_a_price_would_change(as_office, accepted):
    text = as_office.post(sheet_page(accepted), {**fields(accepted, **HIGHER), "compare": ""}).text
    assert f'formaction="{taking_over(accepted)}"' in text
    for said in ("Take it over", "Why it stays as it was built", "Tiles to order", "change order"):
        assert said in text
    assert reverse("estimating:changes", args=[accepted.room.job_id]) in text


def test_taken_over_every_sheet_goes_by_it_and_the_accepted_one_stays(as_office, as_installer, office, accepted):
    typed = {**fields(accepted, **HIGHER), "take_over": "", "reason": REASON}
    answer = as_office.post(taking_over(accepted), typed)
    assert (answer.status_code, answer.url) == (302, sheet_page(accepted))
    room = room_with_parts(accepted.room)
    layout = current_layout(room)
    assert (layout.instead_of, layout.chosen_by, is_stale(room, layout)) == (accepted, office, False)
    assert layout.why.startswith(f"{REASON}; as built: Niche, bottom of the rough opening 41 1/4")
    assert Layout.objects.filter(pk=accepted.pk, result=accepted.result, drawings=accepted.drawings).exists()
    # The sheets, as page for office and installer, and the phone's page of the room.
    for visitor in (as_office, as_installer):
        for name in ("rooms:sheet", "rooms:rough_in"):
            page = visitor.get(reverse(name, args=[room.pk]))
            assert page.context["layout"] == layout
            assert "Laid out anew as built on" in page.text
            assert REASON in page.text
            assert accepted.title in page.text
            # Of the accepted layout only a title stands there.
            assert page.context["layout"].instead_of.get_deferred_fields() >= {"result", "drawings", "takeoff"}
    assert "laid out anew as built" in as_installer.get(reverse("inspections:room", args=[room.pk])).text
    assert '41 1/4"' in RoughIn(layout).items[0].said.values()
    # On paper as well.
    assert REASON in print_rough_in(layout=layout, by=office).document.input["relaid"]
    as_office.post(reverse("rooms:sheet_print", args=[room.pk]), {"paper": "letter"})
    assert REASON in layout.prints.get().document.input["relaid"]
    # Nothing of the job or its sum moved.
    assert Job.objects.get(pk=room.job_id).stage == Stage.WORKING


def test_checks_that_name_what_moved_are_said_anew_and_the_others_stay(as_installer, installer, office, accepted):
    phase = rough_in_of(accepted)
    niche, *others = [check for check in phase.checks.all() if check.key.startswith("rough_in.item")]
    before = texts(accepted)
    entry = record_entry(check=niche, by=installer, happened_at=niche.created_at, ticked=True)
    layout = relaid(accepted, office).led_to
    now = texts(layout)
    assert '41 1/4" up' in now[0]
    assert (before[1:], len(now)) == (now[1:], len(before))
    gone = SaidAnew.objects.get()
    assert (gone.check_gone, gone.layout, gone.by) == (niche, layout, office)
    # What was ticked for the old figures stays with them and doesn't prove the new ones.
    view = phase_view(phase)
    assert [each.newest for each in view.said_anew] == [entry]
    new = next(each for each in view.checks if '41 1/4" up' in each.text)
    assert (new.state, new.check.required, new.check.key) == ("open", True, f"{niche.key}-2")
    page = as_installer.get(reverse("inspections:phase", args=[phase.pk])).text
    assert niche.text.replace('"', "&quot;") in page
    assert "Not asked any more" in page
    assert {check.pk for check in others} == {
        each.check.pk for each in view.checks if each.check.key.startswith("rough_in.item") and each is not new
    }


def test_the_rough_in_is_signed_by_the_new_checks_alone(installer, office, accepted):
    relaid(accepted, office)
    phase = rough_in_of(accepted)
    for earlier in Phase.objects.filter(room=accepted.room_id, position__lt=phase.position).order_by("position"):
        prove(earlier, installer)
    prove(phase, installer)
    assert phase_view(phase).signed_by == installer


def prove(phase, by) -> None:
    boss = StaffFactory(role="owner")
    for view in phase_view(phase).checks:
        if view.check.kind == "tick":
            record_entry(check=view.check, by=by, happened_at=view.check.created_at, ticked=True)
        elif view.holds:
            waive_check(check=view.check, reason="not of this test", by=boss)
    sign_phase(phase=phase, by=by, happened_at=phase.created_at)


def test_of_a_signed_rough_in_nothing_is_said_anew(installer, office, accepted):
    phase = rough_in_of(accepted)
    for earlier in Phase.objects.filter(room=accepted.room_id, position__lt=phase.position).order_by("position"):
        prove(earlier, installer)
    prove(phase, installer)
    before = texts(accepted)
    relaid(accepted, office)
    assert (texts(accepted), SaidAnew.objects.count()) == (before, 0)
    check = Check.objects.filter(phase=phase).first()
    with pytest.raises(DatabaseError, match="the phase is signed"), transaction.atomic():
        Check.objects.create(phase=phase, key="own", position=99, text="more", kind="tick", source=check.source)
    with pytest.raises(DatabaseError), transaction.atomic():
        Check.objects.filter(phase=phase).update(text="else")


def test_grouped_checks_are_said_anew_by_the_figures_of_their_items(job, owner, office):
    """Too many items for a check each: one a wall, which says no figure where the wall has several items."""
    data = shower()
    data["surfaces"][2]["aim"] = [
        {"at": [4 + 2 * n, 20 + 4 * n], "want": "joint-centered", "why": f"grab bar {n}"} for n in range(15)
    ]
    room = import_room(job=job, data=data, place="shower", by=owner)
    layout = choose_layout(room=room, option=1, why="", by=owner)
    open_phases_of(room)
    before = texts(layout)
    assert len(before) == 2
    measures = measured(layout, blocking_center_up="21")
    layout = Layout.objects.get(pk=layout.pk)
    lay_anew_as_built(layout=layout, measures=measures, reason=REASON, by=office)
    assert texts(layout) == before
    assert [each.check_gone.text for each in SaidAnew.objects.all()] == [before[1]]
    assert phase_view(rough_in_of(layout)).checks[-1].check.key.endswith("-2")


def test_a_second_time_the_accepted_one_is_still_the_first(office, accepted):
    second = relaid(accepted, office).led_to
    measures = measured(second, niche_bottom_of_the_rough_opening="42")
    third = lay_anew_as_built(layout=second, measures=measures, reason="again", by=office).led_to
    assert (second.instead_of, third.instead_of) == (accepted, accepted)
    assert sum('42" up' in text for text in texts(third)) == 1
    assert not any('41 1/4" up' in text for text in texts(third))
    assert SaidAnew.objects.count() == 2


def test_it_needs_a_reason_and_nothing_typed_is_lost(as_office, accepted):
    answer = as_office.post(taking_over(accepted), {**fields(accepted, **HIGHER), "take_over": "", "reason": " "})
    assert answer.status_code == 422
    assert "Say why it stays as it was built" in answer.text
    assert 'value="41 1/4"' in answer.text
    assert (AsBuilt.objects.count(), Layout.objects.count()) == (0, 1)
    assert as_office.get(taking_over(accepted)).url == sheet_page(accepted)


def test_only_owner_and_office_take_over(as_installer, as_other_installer, accepted):
    typed = {**fields(accepted, **HIGHER), "take_over": "", "reason": REASON}
    assert as_installer.post(taking_over(accepted), typed).status_code == 403
    assert as_other_installer.post(taking_over(accepted), typed).status_code in (403, 404)
    assert Layout.objects.count() == 1


def test_everything_else_of_the_room_stays_closed(office, accepted):
    room = room_with_parts(accepted.room)
    with pytest.raises(RoomLocked):
        change_room(room=room, data={**room_to_file(room), "joint": "4 mm"}, by=office)
    with pytest.raises(RoomLocked):
        choose_layout(room=room, option=2, why="nicer", by=office)
    move_job(job=room.job, to=Stage.PUNCH_LIST, by=office)
    with pytest.raises(Refused):
        relaid(Layout.objects.get(pk=accepted.pk), office)
    assert Layout.objects.count() == 1
