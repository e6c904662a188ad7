"""Where an entry arrives while the camera of another check is open, what the camera takes has a form to go into."""

from tests.inspections.phones import enter, phase_url, picture, try_again, wait_for_states
from tests.support.browsers import wait_until


def test_a_card_stays_as_it_is_until_its_photo_is_taken(own_database, open_phases, web_server, phone):
    tick = open_phases[0].checks.filter(kind="tick").first()
    photo = open_phases[0].checks.filter(kind="photo").first()
    phone.goto(phase_url(web_server, open_phases[0]))
    phone.context.set_offline(True)
    enter(phone, tick)
    wait_for_states(phone, "waiting")
    card = phone.locator(f"#check-{photo.pk}")
    with phone.expect_file_chooser() as chooser:
        card.get_by_label("Photo").click()
    phone.evaluate("id => { window.before = document.getElementById(id) }", f"check-{tick.pk}")
    phone.context.set_offline(False)
    try_again(phone)
    wait_until(phone, "!window.before.isConnected")
    chooser.value.set_files(picture((400, 300)))
    card.get_by_role("button", name="Keep the photo").click()
    wait_for_states(phone, "sent", "sent")
    assert photo.entries.get().outcome == "holds"
