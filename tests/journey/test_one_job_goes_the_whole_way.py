"""One job from the first call to the last visit, by the people whose work it is, on the real stack.

Owner and office sit at desks, installer and client hold phones; behind them the real web server, the real worker, the
real broker and a database of its own. What a person would do in a browser is done in one here.
"""

import os
import signal
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from callbacks.models import Callback, Visit
from config.demo.pictures import picture
from estimating.models import Acceptance
from inspections.actions import sign_phase, waive_check
from inspections.models import Phase, Waiver
from inspections.queries import phase_view
from jobs.models import Booking, Job, Stage
from rooms.models import Room
from shop.models import Staff
from shop.queries import shop_settings
from tests.factories import PASSWORD, StaffFactory
from tests.inspections.proofs import prove
from tests.journey.seats import Seat, text_of
from tests.support.browsers import PATIENCE

ROOM_FILE = Path(__file__).parents[2] / "config/demo/rooms/mill-house-tub.json"
CLIENT = "Eudora Plumwhistle"
AGREE = "I have read this proposal and accept it: the work, the drawings, the total and what the price rests on."
STREET = "72 Saltmarsh Lane"


@pytest.fixture
def shop(web_server):
    """A shop with nothing in it but its people."""
    from shop.actions import change_settings

    change_settings(by=None, name="Plumb & Level Tile", phone="555-0110", email="office@example.com", tax_percent=6)
    for username, name, role in (
        ("ines", "Ines Okafor", "owner"),
        ("petra", "Petra Lindqvist", "office"),
        ("rui", "Rui Tavares", "installer"),
    ):
        StaffFactory(username=username, name=name, role=role)
    return web_server


@pytest.fixture
def seats(browser, shop) -> Iterator[dict[str, Seat]]:
    """Each in a browser context of their own; nobody's console may say a word."""
    people = {
        "owner": Seat(browser, shop, width=1280),
        "office": Seat(browser, shop, width=1280),
        "installer": Seat(browser, shop, width=390),
        "client": Seat(browser, shop, width=390),
    }
    yield people
    complaints = {name: seat.complaints for name, seat in people.items() if seat.complaints}
    for seat in people.values():
        seat.context.close()
    assert complaints == {}


@contextmanager
def held_up(worker) -> Iterator[None]:
    """The worker stands still: a document that is asked for now waits, for as long as a test must see that it does."""
    os.kill(worker.pid, signal.SIGSTOP)
    try:
        yield
    finally:
        os.kill(worker.pid, signal.SIGCONT)


def paper_comes_by_itself(seat: Seat, worker, button: str, said: str) -> str:
    """The text of the PDF that the button asks for: the page shows that it waits, and then the link, by itself."""
    with ExitStack() as stays:
        with held_up(worker):
            seat.press(button)
            seat.reads(said, "This document waits for its turn.")
            stays.enter_context(seat.without_loading_again())
        seat.page.get_by_role("link", name="Open the PDF").wait_for()
    return seat.pdf("Open the PDF")


def today() -> date:
    return timezone.localdate(timezone=ZoneInfo(shop_settings().time_zone))


def photo(kind: str) -> bytes:
    return picture(kind).getvalue()


def test_one_job_goes_the_whole_way(seats, worker):
    owner, office, installer, client = (seats[who] for who in ("owner", "office", "installer", "client"))
    office.log_in("petra", PASSWORD)
    owner.log_in("ines", PASSWORD)

    job = office_takes_the_call(office)
    owner_measures(owner, job)
    owner_uploads_a_room(owner, job)
    owner_sets_rates(owner)
    total = owner_prices(owner, job)
    link = owner_proposes(owner, worker, total)
    client_accepts(client, link, total)
    owner_sees_it(owner)
    office_books(office, job)

    installer.log_in("rui", PASSWORD)
    phase = installer_proves_a_phase(installer)
    owner_waives(owner, phase)
    installer_signs(installer)
    installer_reads_the_wall(installer)
    the_rest_is_proved(job)

    office_walks_through(office, worker, job)
    office_closes_out(office, job)
    callback = office_logs_a_callback(office, job)
    office_books_a_visit(office, callback)
    the_week_shows_it(office)


# ---------------------------------------------------------------- from the call to the layout


def office_takes_the_call(office: Seat) -> Job:
    office.menu("Jobs")
    office.goes_to("New job")
    office.goes_to("New client")
    office.fill("Name", CLIENT)
    office.fill("Phone", "555-0163")
    office.fill("Street", STREET)
    office.fill("City", "Averlin Falls")
    office.fill("Year built", "1996")
    office.fill("How to get in", "Side door, code 0451")
    office.press("Save")
    office.reads(f"New job for {CLIENT}")
    office.fill("What", "Guest bath")
    office.press("Start the job")
    office.reads("Next, its rooms.", "No room yet")
    job = Job.objects.get()
    assert (job.stage, job.client.name, job.site.street) == (Stage.MEASURING, CLIENT, STREET)
    return job


def owner_measures(owner: Seat, job: Job) -> None:
    """A three-wall shower, lengths as they come off the tape, the laser and the plan."""
    owner.menu("Week")
    owner.goes_to(f"Guest bath, {STREET}")
    owner.goes_to("Enter a room")
    owner.goes_to("Shower, three walls")
    owner.fill("Name of the room", "Guest shower")
    for label, text in (
        ("Width as it hangs", "11 13/16"),
        ("Height as it hangs", "23 5/8"),
        ("Thickness", "3/8"),
        ("Pieces in a box", "8"),
        ("Joint", "1/8"),
        ("Widest joint", "3/16"),
    ):
        owner.fill(label, text)
    owner.choose("Pattern", "offset by a third")
    for wall, width in (("Left wall", "63 1/2"), ("Back wall", "5' 3 1/2\""), ("Right wall", "1602 mm")):
        owner.fill("Width", width, within=owner.group(wall))
        owner.fill("Height", "8'", within=owner.group(wall))
        owner.fill("Build-up", "9/16", within=owner.group(wall))

    with owner.without_loading_again():
        owner.press("Add an opening", within=owner.group("Back wall"))
        niche = owner.group("Opening 1", within=owner.group("Back wall"))
        niche.wait_for()
    assert owner.field("Width", within=owner.group("Right wall")).input_value() == "1602 mm"
    owner.choose("Kind", "niche", within=niche)
    for label, text in (
        ("Across from there", "22"),
        ("Up or down from there", "3' 4\""),
        ("Width", "14"),
        ("Height", "a foot or two"),
    ):
        owner.fill(label, text, within=niche)
    owner.press("Save the room")
    # What can't be read is said, and nothing that was typed is lost.
    owner.reads("Kept unfinished. It gets no layout before this is right:")
    assert owner.field("Height", within=niche).input_value() == "a foot or two"
    owner.fill("Height", "24", within=niche)
    owner.press("Save the room")

    owner.reads("Now choose its layout.", "Layout of Guest shower")
    widths = [max(x for x, _ in wall.outline) for wall in Room.objects.get(job=job).surfaces.order_by("position")]
    assert widths == [Decimal("1612.9"), Decimal("1612.9"), Decimal("1602")]
    drawings = owner.page.locator("figure.drawing svg")
    expect(drawings).to_have_count(3)
    assert drawings.nth(1).bounding_box()["height"] > 100
    owner.fill("Or in your own words", "No sliver at the niche")
    owner.press("Use this layout")
    owner.reads("This layout is chosen for Guest shower.", "No sliver at the niche")

    owner.goes_to("Measurements")
    # Stored once, shown in the shop's units: 1602 mm is 63 1/16 in to the sixteenth.
    for shown in ('63 1/2"', '63 1/16"'):
        assert shown in " ".join(owner.page.locator("figure.drawing svg").all_text_contents())


def owner_uploads_a_room(owner: Seat, job: Job) -> None:
    owner.open(f"/jobs/{job.pk}/")
    owner.goes_to("Upload a room file")
    owner.attach("Room file", ROOM_FILE.name, "application/json", ROOM_FILE.read_bytes())
    owner.choose("What it is", "Tub surround")
    owner.press("Upload")
    owner.reads("Now choose its layout.")
    assert owner.page.locator("figure.drawing svg").count() >= 3
    owner.page.get_by_label("fewest cuts").check()
    owner.press("Use this layout")
    owner.reads("This layout is chosen for")
    job.refresh_from_db()
    assert job.stage == Stage.PRICING


# ---------------------------------------------------------------- from the rates to the acceptance


def owner_sets_rates(owner: Seat) -> None:
    owner.menu("Rates")
    owner.press("Install example rates")
    owner.reads("example figures are invented")
    unset = owner.page.get_by_role("row").filter(has_text="not set").get_by_role("link", name="Set")
    tiles = Room.objects.values("tile").distinct().count()
    expect(unset).to_have_count(tiles)
    for left in range(tiles, 0, -1):
        unset.first.click()
        owner.fill("Price", "52.80")
        owner.fill("Pieces in a box", "8")
        owner.press("Keep this rate")
        owner.reads("Rate kept:")
        expect(unset).to_have_count(left - 1)


def owner_prices(owner: Seat, job: Job) -> str:
    """The estimate with a markup of the owner's; what the client pays."""
    owner.open(f"/jobs/{job.pk}/")
    owner.goes_to("Price")
    owner.press("Fill from the layouts")
    owner.reads("The estimate is filled from the layouts.")
    for line in ("Tile", "mortar", "Grout"):
        owner.reads(line)
    before = total_of(owner)
    with owner.without_loading_again():
        owner.fill("Markup, percent of cost", "41.5")
        owner.press("Save markup and tax")
        owner.reads("41.5% of the cost")
    assert total_of(owner) != before
    return total_of(owner)


def total_of(owner: Seat) -> str:
    return owner.page.locator("#totals dl div", has_text="The client pays").locator("dd").inner_text()


def owner_proposes(owner: Seat, worker, total: str) -> str:
    """The proposal's PDF comes onto the page that waits for it; then the client's link."""
    paper = paper_comes_by_itself(owner, worker, "Make a proposal", "Its PDF follows in a moment.")
    assert [text for text in (CLIENT, STREET, total) if text not in paper] == []

    owner.press("Make a link")
    link = owner.field("The client’s link").input_value()
    assert link.startswith(f"{owner.url}/p/")
    return link


def client_accepts(client: Seat, link: str, total: str) -> None:
    client.open(link)
    client.reads("Proposal: Guest bath", total)
    with client.page.expect_download() as download:
        client.goes_to("Download the PDF")
    assert total in text_of(Path(download.value.path()).read_bytes())
    second = client.tab(link)

    # A browser that checks forms doesn't send this one; one that doesn't gets it back as it was filled in.
    client.tick(AGREE)
    client.press("Accept")
    assert client.page.locator("#id_typed_name").evaluate("field => field.validity.valueMissing")
    client.page.locator("form:has(.sign)").evaluate("form => { form.noValidate = true }")
    client.press("Accept")
    client.reads("Not saved yet. Please look at this:")
    expect(client.field(AGREE)).to_be_checked()
    client.page.locator("form:has(.sign)").evaluate("form => { form.noValidate = true }")
    client.fill("Your full name", CLIENT)
    client.page.locator("#id_agree").uncheck()
    client.press("Accept")
    client.reads("Tick this if you accept")
    assert client.field("Your full name").input_value() == CLIENT
    assert not Acceptance.objects.exists()

    client.tick(AGREE)
    client.press("Accept")
    client.reads("Accepted", f"by {CLIENT}")
    once = Acceptance.objects.get()
    assert once.proposal.job.stage == Stage.WORKING

    # The second tab still shows the form: it changes nothing any more, and says so.
    second.get_by_label("Your full name").fill("Somebody Else")
    second.get_by_label(AGREE).check()
    second.get_by_role("button", name="Accept", exact=True).click()
    expect(second.get_by_text(f"It was accepted already by {CLIENT}")).to_be_visible(timeout=PATIENCE)
    again = Acceptance.objects.get()
    assert (again.pk, again.typed_name, again.created_at) == (once.pk, CLIENT, once.created_at)


def owner_sees_it(owner: Seat) -> None:
    owner.menu("Week")
    owner.reads("No proposal is out.")
    owner.menu("Jobs")
    owner.goes_to("Guest bath")
    owner.goes_to("accepted")
    owner.reads("Accepted", CLIENT, "by the private link")


# ---------------------------------------------------------------- the work


def office_books(office: Seat, job: Job) -> None:
    office.open(f"/jobs/{job.pk}/")
    office.goes_to("Crew")
    office.choose("Who", "Rui Tavares")
    office.press("Put on the crew")
    office.reads("Rui Tavares is on the crew and sees this job.")
    office.open(f"/jobs/{job.pk}/bookings/")
    office.choose("Who", "Rui Tavares")
    office.fill("What for", "Rough-in and substrate")
    office.fill("Day", today().isoformat())
    office.fill("From", "07:30")
    office.fill("To", "16:00")
    office.press("Book")
    office.reads("Rui Tavares is booked.")


def installer_proves_a_phase(installer: Seat) -> Phase:
    """Of the first phase everything but one thing that isn't right."""
    installer.reads("Today", STREET, "Rough-in and substrate")
    installer.goes_to("Guest shower: Rough-in and blocking")
    phase = Phase.objects.get(room__name="Guest shower", key="rough_in")
    checks = list(phase.checks.order_by("position"))
    assert [check.kind for check in checks[:5]] == ["tick", "tick", "tick", "tick", "photo"]
    # The rough-in sheet's items come on top: a hole of 14 x 24 in, lined with board of 1/2 in on each side.
    items = checks[5:]
    assert any(item.text.startswith('Niche on Back wall: rough opening 15" by 25", 22" from') for item in items)

    # Nothing is checked yet: pressed all the same, the button says what holds.
    installer.presses_all_the_same("Sign off: Rough-in")
    installer.reads("Not signed")
    assert installer.page.locator(".errors li").count() == len(checks)

    for check in (*checks[:3], *items):
        card = installer.part(check.text)
        installer.press("It is so", within=card)
        expect(installer.part(check.text).locator(".is-holds").first).to_be_attached(timeout=PATIENCE)
    plates = installer.part(checks[3].text)
    installer.press("It isn't", within=plates)
    board = installer.part(checks[4].text)
    installer.attach("Photo", "blocking.jpg", "image/jpeg", photo("board"), within=board)
    installer.press("Keep the photo", within=board)
    expect(installer.part(checks[4].text).get_by_role("img", name="Photo:")).to_be_visible(timeout=PATIENCE)

    installer.presses_all_the_same("Sign off: Rough-in")
    installer.reads("Not signed")
    [hold] = installer.page.locator(".errors li").all_inner_texts()
    assert checks[3].text in hold
    assert not hasattr(Phase.objects.get(pk=phase.pk), "sign_off")
    return phase


def owner_waives(owner: Seat, phase: Phase) -> None:
    owner.menu("Week")
    owner.goes_to("Rough-in and blocking, Guest shower", within=owner.part("Held"))
    plates = owner.part(phase.checks.order_by("position")[3].text)
    plates.locator("summary", has_text="Waive").click()
    owner.fill("Why this hold is let go", "Plates come Thursday, before the board; I check them", within=plates)
    owner.press("Waive, as the owner", within=plates)
    owner.reads("Waived by Ines Okafor", "Plates come Thursday, before the board; I check them")
    assert Waiver.objects.get().reason.startswith("Plates come Thursday")


def installer_signs(installer: Seat) -> None:
    installer.goes_to("Today")
    installer.goes_to("Guest shower: Rough-in and blocking")
    installer.press("Sign off: Rough-in")
    installer.reads("it may be covered now")


def installer_reads_the_wall(installer: Seat) -> None:
    """A reading out of bounds holds; planed and read again, it doesn't."""
    installer.goes_to("Today")
    installer.goes_to("Guest shower: Substrate")
    plane = Phase.objects.get(room__name="Guest shower", key="substrate").checks.get(key="substrate.plane")
    card = installer.part(plane.text)
    # 1/8 in in 10 ft for tile with an edge of 15 in or more: ANSI A108.02 4.2.2.
    installer.fill("Reading", "3/16", within=card)
    installer.press("Enter", within=card)
    expect(installer.part(plane.text).locator(".is-fails").first).to_be_attached(timeout=PATIENCE)
    # The phone judges at once; the card is the server's again when the entry has arrived.
    expect(installer.page.locator(".on-phone")).to_have_count(0, timeout=PATIENCE)
    installer.fill("Reading", "1/16", within=installer.part(plane.text))
    installer.press("Enter", within=installer.part(plane.text))
    expect(installer.part(plane.text).locator(".is-holds").first).to_be_attached(timeout=PATIENCE)
    expect(installer.page.locator(".on-phone")).to_have_count(0, timeout=PATIENCE)
    assert [entry.outcome for entry in plane.entries.order_by("happened_at")] == ["fails", "holds"]


def the_rest_is_proved(job: Job) -> None:
    """Not in the browser: two dozen checks of the same kinds. What was signed today was covered today: mortar and grout
    get no time, and the owner answers for it."""
    rui, ines = job.crew.get(username="rui"), Staff.objects.get(username="ines")
    for phase in Phase.objects.filter(room__job=job, sign_off=None).order_by("room__position", "position"):
        prove(phase, by=rui)
        for view in phase_view(phase).checks:
            if view.state == "waiting":
                waive_check(check=view.check, reason="Its maker says less", by=ines)
        sign_phase(phase=phase, by=rui, happened_at=timezone.now())


# ---------------------------------------------------------------- from the walk-through to the visit


def office_walks_through(office: Seat, worker, job: Job) -> None:
    office.open(f"/jobs/{job.pk}/")
    office.goes_to("Punch list")
    office.press("The work is done: start the walk-through")
    office.fill("What is to do", "Grout haze on the niche sill")
    office.choose("Room", "Guest shower")
    office.fill("Where", "Back wall, at the niche")
    office.attach("Photo", "haze.jpg", "image/jpeg", photo("tile"))
    office.press("Add to the punch list")
    expect(office.page.get_by_role("img", name="Photo: Grout haze")).to_be_visible(timeout=PATIENCE)

    paper = paper_comes_by_itself(office, worker, "Print as PDF", "The punch list is being printed.")
    assert [text for text in ("Grout haze on the niche sill", STREET) if text not in paper] == []

    office.reads("1 thing is still in the way of the closeout")
    office.press("Done")
    office.reads("done by Petra Lindqvist")


def office_closes_out(office: Seat, job: Job) -> None:
    office.goes_to("Close out")
    office.fill("Walked through with", CLIENT)
    office.press("Close out the job")
    office.reads("Closed out. The warranty runs until")
    job.refresh_from_db()
    assert (job.stage, job.warranty.starts_on) == (Stage.CLOSED, today())
    office.reads("Warranty", "both days included")


def office_logs_a_callback(office: Seat, job: Job) -> Callback:
    office.goes_to("Log a callback")
    office.reads("within warranty")
    office.page.get_by_label("What it looks like").select_option(index=1)
    office.choose("Room", "Guest shower")
    office.fill("In the client's words", "The corner behind the door has opened up.")
    assert office.field("Who called").input_value() == CLIENT
    office.press("Log the callback")
    office.reads("Logged, within warranty. Next, book a visit.", "The corner behind the door has opened up.")
    return Callback.objects.get(job=job)


def office_books_a_visit(office: Seat, callback: Callback) -> None:
    """Today Rui is on the job until four: that is said, and what was typed stays."""
    visits = office.part("Visits")
    office.choose("Who", "Rui Tavares", within=visits)
    for label, text in (("Day", today().isoformat()), ("From", "09:15"), ("To", "10:45")):
        office.fill(label, text, within=visits)
    office.press("Book the visit", within=visits)
    office.reads("Not saved yet. Please look at this:", "Rui Tavares", within=visits)
    refusal = visits.locator(".errors").inner_text()
    assert "Rui Tavares" in refusal
    assert "16:00" in refusal or "4 p.m." in refusal
    assert (office.field("From", within=visits).input_value(), office.field("To", within=visits).input_value()) == (
        "09:15",
        "10:45",
    )
    assert not Visit.objects.exists()

    office.fill("Day", (today() + timedelta(days=1)).isoformat(), within=visits)
    office.press("Book the visit", within=visits)
    office.reads("Rui Tavares is booked.")
    assert Visit.objects.get(callback=callback).booking.person.username == "rui"
    assert Booking.objects.count() == 2


def the_week_shows_it(office: Seat) -> None:
    tomorrow = today() + timedelta(days=1)
    office.open(f"/week/?day={tomorrow.isoformat()}")
    day = office.page.locator("li.day").nth(tomorrow.weekday())
    office.reads("Rui Tavares", STREET, within=day)
    callbacks = office.part("Callbacks")
    office.goes_to(STREET, within=callbacks)
    office.reads("The corner behind the door has opened up.")
