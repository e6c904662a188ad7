"""Without signal a phase is signed when all that the phone knows of lets it, and not before; it says what holds it."""

from datetime import timedelta

from django.urls import reverse
from django.utils import timezone

from inspections.actions import record_entry
from inspections.models import Check, Entry, SignOff
from tests.inspections.phones import enter, phase_url, states, try_again, wait_for_states
from tests.inspections.proofs import prove, prove_and_sign
from tests.inspections.test_cut_at_every_step import TWICE
from tests.support.browsers import let_in

ALL_PROVED = "As far as this phone knows, all is proved."


def sign(phone, signs: str = "Sign off") -> None:
    phone.get_by_role("button", name=signs).click(force=True)


def is_held(phone) -> bool:
    return phone.locator("form[data-last] .btn").get_attribute("aria-disabled") == "true"


def out_of_signal(phone, address: str) -> None:
    phone.goto(address)
    phone.context.set_offline(True)
    phone.reload()
    phone.get_by_text("No signal.").wait_for()


def test_a_check_that_failed_here_holds_it_until_it_is_entered_again(
    own_database, open_phases, web_server, phone, installer
):
    phase = open_phases[0]
    check = phase.checks.filter(kind="tick", required=True).first()
    prove(phase, by=installer)
    out_of_signal(phone, phase_url(web_server, phase))
    assert not is_held(phone)
    card = phone.locator(f"#check-{check.pk}")
    card.get_by_text("Check again").click()
    card.get_by_role("button", name="It isn't").click()
    card.get_by_text("Fails").first.wait_for()
    assert is_held(phone)
    sign(phone)
    phone.locator("#sign [role=alert]").get_by_text(f"Something holds it still: {check.text}").wait_for()
    assert states(phone) == ["waiting"]
    card.get_by_text("Check again").click()
    card.get_by_role("button", name="It is so").click()
    phone.get_by_text("2 entries wait").wait_for()
    assert not is_held(phone)
    phone.wait_for_timeout(TWICE)
    sign(phone)
    phone.locator("#sign").get_by_text("not sent yet").wait_for()
    phone.context.set_offline(False)
    try_again(phone)
    wait_for_states(phone, "sent", "sent", "sent")
    assert SignOff.objects.get().phase_id == phase.pk


def test_the_phases_before_it_hold_it_until_they_are_signed_here(
    own_database, open_phases, web_server, phone, installer
):
    first, second, third = open_phases[:3]
    left = first.checks.filter(kind="tick", required=True).first()
    prove(first, by=installer, but=left)
    prove(second, by=installer)
    prove(third, by=installer)
    for phase in (first, second, third):
        phone.goto(phase_url(web_server, phase))
    out_of_signal(phone, phase_url(web_server, first))
    enter(phone, left)
    phone.get_by_text(ALL_PROVED).wait_for()
    phone.goto(phase_url(web_server, third))
    phone.get_by_text("1 entry waits").wait_for()
    # What waits is of another phase: this one is ahead all the same.
    assert is_held(phone)
    assert phone.get_by_text(ALL_PROVED).count() == 0
    sign(phone)
    phone.locator("#sign [role=alert]").get_by_text(f"{first.name} isn't signed").wait_for()
    assert states(phone) == ["waiting"]
    for phase in (first, second):
        phone.goto(phase_url(web_server, phase))
        phone.locator("#phone-bar a:not(:empty)").wait_for()
        sign(phone)
        phone.locator("#sign").get_by_text("not sent yet").wait_for()
    phone.goto(phase_url(web_server, third))
    phone.get_by_text(ALL_PROVED).wait_for()
    sign(phone)
    phone.locator("#sign").get_by_text("not sent yet").wait_for()
    phone.context.set_offline(False)
    try_again(phone)
    wait_for_states(phone, *["sent"] * 4)
    assert {sign_off.phase_id for sign_off in SignOff.objects.all()} == {first.pk, second.pk, third.pk}


def test_what_fails_later_in_a_phase_before_it_holds_it(own_database, open_phases, web_server, phone, installer):
    first, second = open_phases[:2]
    check, other = first.checks.filter(kind="tick", required=True)[:2]
    prove_and_sign(first, by=installer)
    prove(second, by=installer)
    # On the server already.
    record_entry(check=check, by=installer, happened_at=timezone.now())
    phone.goto(phase_url(web_server, second))
    out_of_signal(phone, phase_url(web_server, first))
    for each, says in ((check, "It is so"), (other, "It isn't")):
        card = phone.locator(f"#check-{each.pk}")
        if not card.get_by_role("button", name=says).is_visible():
            card.get_by_text("Check again").click()
        card.get_by_role("button", name=says).click()
        card.get_by_text("not sent yet").wait_for()
    phone.goto(phase_url(web_server, second))
    # The one is mended here, the other was broken here.
    sign(phone)
    phone.locator("#sign [role=alert]").get_by_text(f"Something holds it still: {other.text}").wait_for()
    assert phone.locator("#sign [role=alert]").get_by_text(check.text).count() == 0
    assert states(phone) == ["waiting", "waiting"]


def test_a_wait_that_ends_without_signal_lets_it_be_signed(own_database, open_phases, web_server, phone, installer):
    wait = Check.objects.get(phase__in=open_phases, key="grout.set")
    phase = wait.phase
    for each in open_phases[: open_phases.index(phase)]:
        prove_and_sign(each, by=installer)
    prove(phase, by=installer, but=wait)
    record_entry(check=wait, by=installer, happened_at=timezone.now() - timedelta(hours=int(wait.limit["low"]) - 1))
    phone.clock.install()
    out_of_signal(phone, phase_url(web_server, phase))
    assert is_held(phone)
    phone.clock.fast_forward("59:00")
    assert is_held(phone)
    sign(phone)
    phone.locator("#sign [role=alert]").wait_for()
    phone.clock.fast_forward("02:00")
    phone.get_by_text("By this phone’s clock the wait is over.").wait_for()
    phone.get_by_text(ALL_PROVED).wait_for()
    assert not is_held(phone)
    sign(phone)
    phone.locator("#sign").get_by_text("not sent yet").wait_for()
    wait_for_states(phone, "waiting")


def test_what_only_the_server_can_judge_may_be_signed_and_is_said_to_be_so(
    own_database, open_phases, web_server, phone, installer
):
    first, second = open_phases[:2]
    check = Check.objects.get(phase=second, key="substrate.plane")
    prove_and_sign(first, by=installer)
    prove(second, by=installer, but=check)
    phone.goto(phase_url(web_server, second))
    card = phone.locator(f"#check-{check.pk}")
    card.get_by_label("Reading, inches").fill("about 3")
    card.get_by_role("button", name="Enter").click()
    wait_for_states(phone, "parked")
    phone.context.set_offline(True)
    try_again(phone)
    phone.get_by_text("No signal.").wait_for()
    phone.get_by_text("Some of it only the shop can judge.").wait_for()
    sign(phone)
    phone.locator("#sign").get_by_text("not sent yet").wait_for()
    phone.context.set_offline(False)
    try_again(phone)
    phone.get_by_text("No signal.").wait_for(state="hidden")
    # It goes after what is to be mended, and not before.
    wait_for_states(phone, "parked", "waiting")
    assert not Entry.objects.filter(check_done=check).exists()
    assert not SignOff.objects.filter(phase=second).exists()


def test_a_waiver_without_signal_keeps_its_reason(own_database, open_phases, web_server, page, owner):
    check = open_phases[0].checks.filter(kind="tick", required=True).first()
    let_in(page.context, owner, web_server)
    page.goto(phase_url(web_server, open_phases[0]))
    card = page.locator(f"#check-{check.pk}")
    card.get_by_text("Waive", exact=True).click()
    card.locator("textarea[name=reason], input[name=reason]").fill("The client keeps the old box")
    page.context.set_offline(True)
    card.get_by_role("button", name="Waive, as the owner").click()
    card.get_by_text("this can be done only with signal").wait_for()
    assert card.locator("[name=reason]").input_value() == "The client keeps the old box"
    page.context.set_offline(False)
    card.get_by_role("button", name="Waive, as the owner").click()
    page.get_by_text(f"Waived by {owner.name}").wait_for()
    assert check.waivers.get().reason == "The client keeps the old box"
    assert page.url.startswith(web_server + reverse("inspections:phase", args=[open_phases[0].pk]))
