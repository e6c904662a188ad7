"""The owner changes what a phase asks; work that opens afterwards asks that, open work keeps its list."""

import pytest
from django.db import DatabaseError, connection, transaction
from django.urls import reverse
from django.utils import timezone

from base.errors import Refused
from inspections.actions import ChecklistMoved, open_phases, record_entry, set_checklist
from inspections.judging import yardstick_of, yardsticks
from inspections.models import Check, ChecklistVersion, Phase
from shop.queries import shop_limits
from tests.factories import JobFactory, RoomFactory, SurfaceFactory
from tests.inspections.opening import open_phases_of
from tests.support.forms import as_sent
from trade.checklists import Checklist, OwnCheck
from trade.lengths import inches

pytestmark = pytest.mark.django_db

PAGE = "inspections:checklist"


def entered(response, **changes) -> dict[str, object]:
    """The page's forms as they stand, with some fields otherwise; False takes a box away."""
    own = response.context["own"]
    fields = as_sent(response.context["form"], *own.forms, own.management_form) | changes
    return {name: value for name, value in fields.items() if value is not False}


def change(client, phase="grout", **changes):
    address = reverse(PAGE, args=[phase])
    return client.post(address, entered(client.get(address), **({"reason": "Callbacks"} | changes)))


def hall(job):
    room = RoomFactory(job=job, name="Hall", place="dry_floor", walls=False)
    SurfaceFactory(room=room, key="floor", kind="floor", wet=False)
    return room


@pytest.fixture
def as_owner(client, owner):
    client.force_login(owner)
    return client


def test_what_the_owner_asks_is_what_new_work_asks(as_owner, job):
    answer = change(
        as_owner,
        **{
            "ask grout.batch": False,
            "need grout.soft": False,
            "own-0-text": "Sample panel signed",
            "own-0-help": "Make one and wait.",
            "own-0-kind": "tick",
        },
    )
    assert answer.status_code == 302
    phases = open_phases_of(hall(job))
    grout = next(phase for phase in phases if phase.key == "grout")
    keys = list(grout.checks.values_list("key", flat=True))
    assert "grout.batch" not in keys
    assert keys[-1] == "grout.own_1"
    own = grout.checks.get(key="grout.own_1")
    assert (own.text, own.source, own.required) == ("Sample panel signed", "the shop's own check", True)
    assert not grout.checks.get(key="grout.soft").required
    assert grout.checklist.number == 1
    assert next(phase for phase in phases if phase.key == "setting").checklist is None


def test_open_work_keeps_its_list_and_so_does_a_room_that_comes_later(as_owner, job):
    first = open_phases_of(hall(job))
    change(as_owner, **{"ask grout.batch": False})
    assert Check.objects.filter(phase__in=first, key="grout.batch").exists()
    second = hall(job)
    open_phases(job)
    assert Check.objects.filter(phase__room=second, key="grout.batch").exists()
    other = JobFactory()
    later = open_phases_of(hall(other))
    assert not Check.objects.filter(phase__in=later, key="grout.batch").exists()


def test_a_reading_of_the_shops_own_is_judged_by_its_limit(as_owner, job, installer):
    fields = {"own-0-text": "Joint is open so deep", "own-0-kind": "reading", "own-0-compare": "at least"}
    assert change(as_owner, **fields, **{"own-0-figure": "1/8", "own-0-unit": "mm"}).status_code == 302
    grout = next(phase for phase in open_phases_of(hall(job)) if phase.key == "grout")
    check = grout.checks.get(key="grout.own_1")
    assert yardstick_of(check, yardsticks(grout, shop_limits())).limit.low == inches("1/8")

    entry = record_entry(check=check, by=installer, happened_at=timezone.now(), values=[inches("1/16")])
    assert entry.outcome == "fails"


def test_conditions_are_plain_choices(as_owner, job):
    fields = {"own-0-text": "Curb watched", "own-0-places": ["shower"], "own-0-surface": "floor", "own-0-only": "curb"}
    change(as_owner, **fields)
    kept = Checklist.from_json(ChecklistVersion.objects.get().content).own[0].applies
    assert (kept.places, kept.surface, kept.curb, kept.stone) == (("shower",), "floor", True, None)
    grout = next(phase for phase in open_phases_of(hall(job)) if phase.key == "grout")
    assert not grout.checks.filter(key="grout.own_1").exists()
    again = as_owner.get(reverse(PAGE, args=["grout"])).context["own"].forms[0]
    assert (again["places"].value(), again["only"].value()) == (["shower"], "curb")


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"reason": ""}, "Say why"),
        ({"own-0-text": "Deep", "own-0-kind": "reading"}, "Enter the limit"),
        ({"own-0-text": "Deep", "own-0-kind": "reading", "own-0-figure": "deep"}, "can&#x27;t be read as a length"),
        ({"own-0-text": "Deep", "own-0-kind": "wait", "own-0-figure": "soon"}, "can&#x27;t be read as a number"),
        ({"own-0-text": "Deep", "own-0-kind": "wait", "own-0-figure": "-1"}, "more than 0"),
        ({"own-0-help": "A text is missing"}, "This field is required"),
    ],
)
def test_what_cant_be_comes_back_as_it_was_typed(as_owner, changes, told):
    answer = change(as_owner, **changes)
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert not ChecklistVersion.objects.exists()
    for name, value in changes.items():
        form = answer.context["own"].forms[0] if name.startswith("own-") else answer.context["form"]
        assert form[name.removeprefix("own-0-")].value() == value


def test_what_keeps_people_safe_has_no_box_and_cant_be_posted_away(as_owner, owner):
    page = as_owner.get(reverse(PAGE, args=["demolition"])).content.decode()
    assert 'name="ask demolition.lead"' not in page
    assert "it keeps people safe, or the law asks it" in page
    checklist = Checklist(phase="demolition", off=frozenset({"demolition.lead"}))
    with pytest.raises(Refused, match="keeps people safe"):
        set_checklist(checklist=checklist, reason="No", seen=0, by=owner)


def test_a_phase_is_never_left_with_nothing_to_prove(as_owner):
    boxes = {
        f"ask {row.check.key}": False for row in as_owner.get(reverse(PAGE, args=["layout"])).context["form"].rows()
    }
    answer = change(as_owner, "layout", **boxes)
    assert answer.status_code == 422
    assert "nothing to prove" in answer.content.decode()


def test_two_owners_at_once_dont_overwrite_each_other(as_owner, owner):
    mine = entered(as_owner.get(reverse(PAGE, args=["grout"])), reason="Mine", **{"ask grout.batch": False})
    change(as_owner, reason="Theirs", **{"need grout.batch": False})
    answer = as_owner.post(reverse(PAGE, args=["grout"]), mine)
    assert answer.status_code == 422
    assert "in the meantime" in answer.content.decode()
    assert answer.context["form"]["ask grout.batch"].value() is False
    again = entered(answer, reason="Mine")
    assert as_owner.post(reverse(PAGE, args=["grout"]), again).status_code == 302
    assert ChecklistVersion.objects.first().number == 2
    with pytest.raises(ChecklistMoved):
        set_checklist(checklist=Checklist(phase="grout"), reason="Late", seen=1, by=owner)


def test_a_check_that_is_taken_off_gives_its_key_to_no_other(as_owner):
    change(as_owner, **{"own-0-text": "First"})
    change(as_owner, **{"own-0-DELETE": "on"})
    change(as_owner, **{"own-0-text": "Second"})
    newest = Checklist.from_json(ChecklistVersion.objects.first().content)
    assert [(own.key, own.text) for own in newest.own] == [("grout.own_2", "Second")]
    page = as_owner.get(reverse(PAGE, args=["grout"])).content.decode()
    assert "version 3" in page


def test_keeping_what_is_so_makes_no_version(as_owner):
    change(as_owner, **{"ask grout.batch": False})
    change(as_owner)
    assert ChecklistVersion.objects.count() == 1


def test_versions_are_only_added(owner):
    checklist = Checklist(phase="grout", own=(OwnCheck(key="grout.own_1", text="Right", kind="tick"),))
    version = set_checklist(checklist=checklist, reason="Callbacks", seen=0, by=owner)
    for sql in ("UPDATE inspections_checklistversion SET reason = 'x'", "DELETE FROM inspections_checklistversion"):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(sql)
    assert ChecklistVersion.objects.get() == version


def test_only_the_owner_comes_here(client, office, installer):
    for person in (office, installer):
        client.force_login(person)
        assert client.get(reverse("inspections:checklists")).status_code == 403
        assert client.post(reverse(PAGE, args=["grout"]), {"reason": "Mine"}).status_code == 403
    assert not Phase.objects.exists()


def test_the_list_shows_every_phase_in_two_queries_more(as_owner, django_assert_max_num_queries):
    change(as_owner, **{"own-0-text": "First"})
    with django_assert_max_num_queries(8):
        page = as_owner.get(reverse("inspections:checklists")).content.decode()
    assert "Callbacks" in page
    assert as_owner.get(reverse(PAGE, args=["moon"])).status_code == 404
