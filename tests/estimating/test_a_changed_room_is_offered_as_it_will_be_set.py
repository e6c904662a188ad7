"""A layout that moves the niche, tunes the joint or turns the tile: takeoff, price, proposal and phases follow it."""

import io
from decimal import Decimal

import pytest
from pypdf import PdfReader

import layout as engine
from documents.actions import make_document
from estimating.actions import fill_estimate, make_proposal
from estimating.filling import areas_of
from estimating.models import EstimateLine
from inspections.actions import open_phases
from inspections.models import Phase
from rooms.actions import choose_layout, import_room
from rooms.files import layout_input
from rooms.laying import lay
from rooms.queries import room_with_parts
from tests.rooms_app.files import changeable, option_that

pytestmark = pytest.mark.django_db


@pytest.fixture
def room(job, owner):
    """In place of the three-wall shower: one whose options change it."""
    return import_room(job=job, data=changeable(), place="shower", by=owner)


@pytest.fixture
def laid_out(job):
    """Nothing is chosen until a test does."""
    return job


@pytest.fixture
def choose(room, owner, job, rates):
    """Chooses the option that makes this change ("": none), and fills the estimate; layout and estimate."""

    def act(change):
        laid = lay(layout_input(room_with_parts(room), units="in"))
        option = option_that(laid.result, change) if change else 1
        chosen = choose_layout(room=room, option=option, why="", by=owner)
        job.refresh_from_db()
        return chosen, fill_estimate(job=job, by=owner).estimate

    return act


def quantity(estimate, key):
    return EstimateLine.objects.get(estimate=estimate, key=key).quantity


def facts_of(proposal):
    (room,) = proposal.content["rooms"]
    return {fact["name"]: fact["text"] for fact in room["facts"]}


@pytest.mark.parametrize("change", ["openings", "joint", "turned"])
def test_the_takeoff_is_of_the_room_as_it_will_be_set(choose, change):
    chosen, estimate = choose(change)
    # By the engine, from the file: what the estimate holds is that, and nothing of the room as measured.
    room = engine.read_room(chosen.input)
    takeoff = engine.take_off(room, engine.lay_out(room, option=chosen.option))
    lines = {line["key"]: Decimal(str(line["quantity"])) for line in takeoff["lines"]}
    assert quantity(estimate, "tile") == lines["tile"]
    # The rate is by the pound, of 0.45359237 kg; the estimate keeps three places.
    assert quantity(estimate, "grout") == round(lines["grout"] / Decimal("0.45359237"), 3)


def test_a_wider_joint_takes_more_grout(choose):
    """Grout fills joint x depth x length: of joints a quarter wider, about a quarter more (TRADE.md 7)."""
    measured, tuned = (choose(change)[0] for change in ("", "joint"))
    volumes = [
        next(line["quantity"] for line in each.takeoff["lines"] if line["key"] == "grout_volume")
        for each in (measured, tuned)
    ]
    # Not of the joints alone: the soft joints at the edges stay as wide as they were, and cuts fall elsewhere.
    assert 1.1 < volumes[1] / volumes[0] < 1.25


def test_areas_and_niches_are_counted_on_the_room_as_it_will_be_set(choose):
    areas = {change: areas_of(choose(change)[0]) for change in ("", "openings", "joint", "turned")}
    # By hand: 60 x 96 and 36 x 96 in, less 13 x 15 in, are 9021 square inches.
    assert {each.walls for each in areas.values()} == {round(Decimal(9021) * Decimal("0.00064516"), 4)}
    assert {each.niches for each in areas.values()} == {1}


FACTS = {
    "": {"Joint": '1/8"'},
    "openings": {
        "Joint": '1/8"',
        "Layout": "Niche moved onto the joints",
        "Changed for the layout": 'Niche on Back wall moved 2 13/16" up: '
        'now 18" from the left, 44 13/16" from the bottom.',
    },
    "joint": {"Joint": '5/32"', "Changed for the layout": 'Joint 5/32" everywhere instead of 1/8".'},
    "turned": {
        "Tile": '11 13/16" × 23 5/8", rectified, hung turned: 23 5/8" wide, 11 13/16" high',
        "Changed for the layout": 'Tile hung turned: 23 5/8" wide, 11 13/16" high.',
    },
}


@pytest.mark.parametrize("change", FACTS)
def test_the_proposal_says_what_will_be_set(choose, owner, job, change):
    chosen, _estimate = choose(change)
    proposal = make_proposal(job=job, by=owner)
    facts = facts_of(proposal)
    assert {name: facts[name] for name in FACTS[change]} == FACTS[change]
    assert ("Changed for the layout" in facts) == bool(change)
    (room,) = proposal.content["rooms"]
    assert [each["svg"] for each in room["drawings"]] == [each["svg"] for each in chosen.drawings]


def test_the_paper_says_it_too(choose, owner, job):
    choose("joint")
    proposal = make_proposal(job=job, by=owner)
    make_document(document_id=proposal.document_id)
    proposal.document.refresh_from_db()
    text = " ".join(PdfReader(io.BytesIO(proposal.document.file.read())).pages[0].extract_text().split())
    assert 'Joint 5/32" everywhere instead of 1/8".' in text


def test_the_phases_are_opened_for_the_joint_that_is_set(choose, room, job):
    choose("joint")
    open_phases(job)
    specification = Phase.objects.filter(room=room).first().specification
    # 5/32 in, in mm.
    assert Decimal(specification["joint_mm"]) == Decimal("3.96875")
