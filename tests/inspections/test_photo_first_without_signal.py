"""Photo first, sort later, on a phone: kept at once, sorted where there is no signal, each once."""

from django.urls import reverse
from PIL import Image

from inspections.models import Check, Sorting
from jobs.models import Photo
from rooms.models import Surface
from shop.models import ShopSettings
from tests.inspections.phones import log_in, picture, try_again, wait_for_states
from tests.inspections.test_on_the_phone import TARGET, TOO_SMALL
from tests.shop.pictures import GPS, jpeg_with_place
from tests.support.browsers import wait_until

BROUGHT = """([page, text]) => caches.open("pages").then((cache) => cache.match(location.origin + page))
    .then((kept) => kept.text()).then((html) => html.includes(text))"""


def sort_page(web_server, job) -> str:
    return web_server + reverse("inspections:sort", args=[job.pk])


def take(phone, size=(800, 600)) -> None:
    """Presses the button, takes a picture; nothing else is pressed."""
    with phone.expect_file_chooser() as chooser:
        phone.get_by_label("Take a photo").first.click()
    chooser.value.set_files(picture(size))


def test_a_photo_is_taken_from_today_and_sorted_with_the_network_cut_between(
    own_database, open_phases, web_server, phone, installer
):
    job, room = open_phases[0].room.job, open_phases[0].room
    check = Check.objects.filter(phase__in=open_phases, kind="photo").order_by("phase__position").first()
    # One without signal: it waits, and the page says so.
    phone.context.set_offline(True)
    take(phone)
    phone.get_by_text("not sent yet").wait_for()
    phone.goto(sort_page(web_server, job))
    phone.get_by_text("1 photo of this job is on this phone still").wait_for()
    assert phone.get_by_text("No photo to sort").is_visible()
    assert not Photo.objects.exists()
    # It goes, and stands among those to sort, without this page being opened with signal.
    phone.goto(f"{web_server}/today/")
    phone.context.set_offline(False)
    try_again(phone)
    wait_for_states(phone, "sent")
    phone.locator(f"#to-sort-{job.pk}").get_by_text("Photos to sort").wait_for()
    photo = Photo.objects.get()
    assert (photo.job, photo.by, photo.to_sort, photo.width) == (job, installer, True, 800)
    assert photo.happened_at < photo.created_at
    wait_until(phone, BROUGHT, [reverse("inspections:sort", args=[job.pk]), str(photo.pk)])
    # The network is cut; the photo is sorted.
    phone.context.set_offline(True)
    phone.goto(sort_page(web_server, job))
    form = phone.locator("form.sorting")
    image = form.locator("img")
    image.scroll_into_view_if_needed()
    # There is no small copy of it on the phone; the photo itself is.
    wait_until(phone, "document.querySelector('form.sorting img').src.startsWith('blob:')")
    image.evaluate("(img) => img.decode()")
    for width in (360, 390):
        phone.set_viewport_size({"width": width, "height": 844})
        assert phone.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        # A photo is pressed anywhere on its card, not on its small ring alone.
        assert form.locator("label:has([type=radio])").bounding_box()["height"] >= TARGET
        assert [small for small in phone.evaluate(TOO_SMALL, TARGET - 0.5) if "INPUT photo" not in small] == []
    form.get_by_role("button", name="Sort this photo").click()
    form.get_by_text("Choose the photo that is to be sorted.").wait_for()
    form.get_by_role("radio").check()
    form.get_by_label("Check").select_option(str(check.pk))
    back = Surface.objects.get(room=room, key="back")
    form.get_by_label("Surface").select_option(str(back.pk))
    # A wall 60 by 96 in: its middle is 30 in from the left and 48 in up.
    wall = form.locator("[data-spot] svg path.gap")
    wall.click(force=True)  # its niche lies in the middle
    assert form.get_by_label("From the left").input_value() == "30"
    assert form.get_by_label("From the bottom").input_value() == "48"
    assert form.locator("[data-spot] circle.photo").count() == 1
    # A quarter over and a quarter up: 15 in and 24 in, to the half inch.
    wall.scroll_into_view_if_needed()
    box = wall.bounding_box()
    phone.mouse.click(box["x"] + box["width"] / 4, box["y"] + box["height"] * 3 / 4)
    assert form.get_by_label("From the left").input_value() in ("14 1/2", "15", "15 1/2")
    assert form.get_by_label("From the bottom").input_value() in ("23 1/2", "24", "24 1/2")
    # Beyond the edge of the wall is its edge.
    phone.mouse.click(box["x"] + box["width"] + 4, box["y"] - 4)
    assert form.get_by_label("From the left").input_value() == "60"
    assert form.get_by_label("From the bottom").input_value() == "96"
    form.get_by_label("From the bottom").fill("48")
    form.get_by_label("From the left").fill("30 1/2")
    form.get_by_role("button", name="Sort this photo").click()
    phone.locator("#to-sort").get_by_text("sorted on this phone, not sent yet").wait_for()
    assert form.get_by_role("radio").is_disabled()
    assert not Sorting.objects.exists()
    phone.context.set_offline(False)
    try_again(phone)
    wait_for_states(phone, "sent", "sent")
    sorting = Sorting.objects.get()
    assert (sorting.check_shown, sorting.surface, sorting.photo) == (check, "back", photo)
    assert sorting.happened_at < sorting.created_at
    assert check.entries.get().outcome == "holds"
    phone.get_by_text("No photo to sort").wait_for()
    # Where it is said on the card.
    phone.goto(web_server + reverse("inspections:phase", args=[check.phase_id]))
    phone.locator(f"#check-{check.pk}").get_by_text("on the drawing:").wait_for()
    assert phone.locator("#photos-drawn svg circle.photo").count() == 1
    for width in (360, 390):
        phone.set_viewport_size({"width": width, "height": 844})
        assert phone.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    # A photo that is taken on the card says where as well, to who unfolds it; and where in the world, to a shop that
    # wants it. The phone has turned it upright, and the server doesn't turn it again.
    ShopSettings.objects.update_or_create(pk=1, defaults={"keep_photo_place": True})
    phone.reload()
    card = phone.locator(f"#check-{check.pk}")
    card.get_by_text("Check again").click()
    sent = jpeg_with_place(orientation=6, west=(122.0, 19.0, 48.0))
    camera = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": sent}
    card.get_by_label("Photo", exact=True).set_input_files(camera)
    card.get_by_text("Where on the wall?").click()
    card.get_by_label("Surface").select_option(label="Left")
    card.locator("[data-spot] svg path.gap").click()
    card.get_by_role("button", name="Keep the photo").click()
    wait_for_states(phone, "sent", "sent", "sent")
    placed = check.entries.last().photo
    assert placed.sortings.get().surface == "left"
    kept = Image.open(placed.file.path)
    assert kept.size == (40, 60)
    assert kept.getpixel((20, 5))[0] > 200  # red, the half that orientation 6 shows on top
    assert kept.getexif().get_ifd(GPS)[4] == (122.0, 19.0, 48.0)


def test_it_all_works_by_the_keyboard_and_without_javascript(own_database, open_phases, web_server, browser, installer):
    job = open_phases[0].room.job
    context = browser.new_context(viewport={"width": 390, "height": 844}, java_script_enabled=False)
    page = context.new_page()
    log_in(page, web_server)
    page.goto(f"{web_server}/today/")
    page.get_by_label("Take a photo").first.set_input_files(picture((400, 300)))
    page.get_by_role("button", name="Keep the photo").first.press("Enter")
    page.get_by_text("The photo is kept.").wait_for()
    page.goto(sort_page(web_server, job))
    page.get_by_role("radio").check()
    page.get_by_label("Check").select_option(index=1)
    page.get_by_label("Surface").select_option(label="Back")
    page.get_by_label("From the left").fill("30 1/2")
    page.get_by_label("From the bottom").fill("97")
    page.get_by_role("button", name="Sort this photo").click()
    page.get_by_text("That place lies off the surface.").first.wait_for()
    assert page.get_by_label("From the left").input_value() == "30 1/2"
    assert page.get_by_role("radio").is_checked()
    page.get_by_label("From the bottom").fill("48")
    page.get_by_role("button", name="Sort this photo").click()
    page.get_by_text("No photo to sort").wait_for()
    context.close()
    assert (Sorting.objects.get().surface, Photo.objects.get().by) == ("back", installer)
