"""What becomes of a picture that somebody uploads."""

import random
from io import BytesIO

import pytest
from PIL import Image

from shop.images import LONGEST_SIDE, MAX_BYTES, MAX_PIXELS, BadImage, logo_png, photo_jpeg
from tests.shop.pictures import GPS, encoded, heic, jpeg, jpeg_with_place, png_bomb, two_halves

# Pillow's remarks about the damaged metadata that is sent here on purpose.
pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:PIL.TiffImagePlugin")


def opened(data: bytes) -> Image.Image:
    image = Image.open(BytesIO(data))
    image.load()
    return image


def is_red(pixel) -> bool:
    return pixel[0] > 200 and pixel[2] < 60


# Where the stored left half (red) has to be seen, by Exif 2.3 (CIPA DC-008) 4.6.4: what the 0th row and the 0th
# column of the stored picture are. 6: row 0 is the visual right side, column 0 the top. 8: row 0 left, column 0 bottom.
SEEN = {1: "left", 2: "right", 3: "right", 4: "left", 5: "top", 6: "top", 7: "bottom", 8: "bottom"}


@pytest.mark.parametrize(("orientation", "side"), SEEN.items())
def test_a_photo_is_turned_as_its_orientation_says(orientation, side):
    data, width, height = photo_jpeg(BytesIO(jpeg_with_place(orientation=orientation)))
    image = opened(data)
    assert (image.width, image.height) == (width, height) == ((60, 40) if side in ("left", "right") else (40, 60))
    spot = {"left": (5, 20), "right": (54, 20), "top": (20, 5), "bottom": (20, 54)}[side]
    assert is_red(image.getpixel(spot))
    assert not is_red(image.getpixel((width - 1 - spot[0], height - 1 - spot[1])))


def test_place_maker_and_comment_are_gone():
    sent = jpeg_with_place()
    assert b"SECRETMAKER" in sent
    assert b"SECRETCOMMENT" in sent
    assert opened(sent).getexif().get_ifd(0x8825)
    data, _, _ = photo_jpeg(BytesIO(sent))
    image = opened(data)
    assert not image.getexif()
    assert not {"exif", "comment", "icc_profile", "xmp"} & image.info.keys()
    assert b"SECRET" not in data
    assert b"Exif" not in data


def test_a_logo_keeps_its_clear_ground_and_loses_its_texts():
    from PIL.PngImagePlugin import PngInfo

    texts = PngInfo()
    texts.add_text("Comment", "SECRETTEXT")
    sent = encoded(Image.new("RGBA", (3000, 300), (10, 20, 30, 0)), "PNG", pnginfo=texts)
    assert b"SECRETTEXT" in sent
    data = logo_png(BytesIO(sent))
    image = opened(data)
    assert (image.format, image.size, image.mode) == ("PNG", (1200, 120), "RGBA")
    assert image.getpixel((0, 0))[3] == 0
    assert b"SECRETTEXT" not in data


def test_clear_ground_of_a_photo_becomes_white():
    data, _, _ = photo_jpeg(BytesIO(encoded(Image.new("RGBA", (50, 50), (0, 0, 0, 0)), "PNG")))
    assert min(opened(data).getpixel((25, 25))) > 250


MODES = {
    "JPEG": ("RGB", "L", "1", "CMYK"),
    "PNG": ("RGB", "L", "P", "1", "LA", "RGBA", "I;16"),
    "WEBP": ("RGB", "L", "P", "RGBA"),
}


@pytest.mark.parametrize(("kind", "mode"), [(kind, mode) for kind, modes in MODES.items() for mode in modes])
def test_whatever_color_mode_comes_a_jpeg_in_rgb_goes_in(kind, mode):
    sent = encoded(Image.new("I;16", (50, 30)) if mode == "I;16" else two_halves(50, 30).convert(mode), kind)
    data, width, height = photo_jpeg(BytesIO(sent))
    assert (opened(data).format, opened(data).mode, width, height) == ("JPEG", "RGB", 50, 30)


@pytest.mark.parametrize(
    ("size", "kept"), [((5000, 2500), (2400, 1200)), ((30, 9000), (8, 2400)), ((2400, 2400), (2400, 2400))]
)
def test_the_longest_side_is_at_most_2400(size, kept):
    assert LONGEST_SIDE == 2400
    assert photo_jpeg(BytesIO(jpeg(*size)))[1:] == kept


def test_a_picture_of_one_pixel_is_a_picture():
    assert photo_jpeg(BytesIO(jpeg(1, 1)))[1:] == (1, 1)


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        (b"", "empty"),
        (b"just a text, called photo.jpg", "isn't a picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", "isn't a picture"),
        (b"GIF89a" + bytes(200), "isn't a picture"),
        (b"%PDF-1.7\n" + bytes(200), "isn't a picture"),
        (heic(), "HEIC"),
        (jpeg(600, 400)[:2000], "cut off"),
        (jpeg(600, 400)[:30], "isn't a picture"),
        (encoded(two_halves(600, 400), "PNG")[:-400], "cut off"),
        (bytes(MAX_BYTES + 1), "larger than 30 MB"),
    ],
    ids=["empty", "text", "svg", "gif", "pdf", "heic", "cut jpeg", "jpeg head only", "cut png", "too many bytes"],
)
def test_what_is_no_picture_is_refused_in_words_that_say_why(sent, says):
    for keep in (photo_jpeg, logo_png):
        with pytest.raises(BadImage, match=says):
            keep(BytesIO(sent))


@pytest.mark.parametrize("sent", [jpeg(600, 400)[:2000], encoded(two_halves(600, 400), "PNG")[:-400]])
def test_half_a_picture_is_refused_even_where_another_library_told_pillow_to_put_up_with_it(sent, monkeypatch):
    monkeypatch.setattr("PIL.ImageFile.LOAD_TRUNCATED_IMAGES", True)
    with pytest.raises(BadImage, match="cut off"):
        photo_jpeg(BytesIO(sent))
    from PIL import ImageFile

    assert ImageFile.LOAD_TRUNCATED_IMAGES  # as it was found


@pytest.mark.parametrize("side", [9_000, 30_000])
def test_a_small_file_that_unfolds_into_a_huge_picture_is_refused_before_it_unfolds(side, monkeypatch):
    bomb = png_bomb(side, side)
    assert len(bomb) < 200_000
    assert side * side > MAX_PIXELS
    monkeypatch.setattr("PIL.ImageFile.ImageFile.load", lambda image: pytest.fail("it was unfolded"))
    with pytest.raises(BadImage, match="million pixels"):
        photo_jpeg(BytesIO(bomb))


def test_a_picture_just_within_the_limit_is_kept():
    assert photo_jpeg(BytesIO(png_bomb(10_000, 7_000)))[1:] == (2400, 1680)


def test_broken_metadata_spoils_no_photo():
    sent = jpeg_with_place(orientation=6)
    at = sent.index(b"Exif\0\0") + 14
    broken = sent[:at] + b"\xff" * 12 + sent[at + 12 :]
    assert set(photo_jpeg(BytesIO(broken))[1:]) == {60, 40}


def test_damage_anywhere_ends_in_a_picture_or_a_clear_refusal():
    """No input brings anything but BadImage out: 400 files with bytes changed by chance, seeded."""
    chance = random.Random(2026)
    sources = [jpeg_with_place(orientation=6), encoded(two_halves(), "PNG"), encoded(two_halves(), "WEBP")]
    outcomes = {"kept": 0, "refused": 0}
    for _ in range(400):
        data = bytearray(chance.choice(sources))
        for _ in range(chance.randint(1, 12)):
            data[chance.randrange(len(data))] = chance.randrange(256)
        try:
            photo_jpeg(BytesIO(bytes(data[: chance.choice([len(data), chance.randrange(1, len(data))])])))
            outcomes["kept"] += 1
        except BadImage:
            outcomes["refused"] += 1
    assert min(outcomes.values()) > 20  # both ends were met


def test_the_colors_of_another_space_are_turned_into_the_usual_one():
    """The sRGB profile with its red and blue primaries exchanged (ICC.1:2010, 9.2: tags rXYZ and bXYZ): what such a
    file calls red is blue to the eye, and has to be blue once the profile is gone."""
    from PIL import ImageCms

    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    exchanged = profile.replace(b"rXYZ", b"????", 1).replace(b"bXYZ", b"rXYZ", 1).replace(b"????", b"bXYZ", 1)
    data, _, _ = photo_jpeg(BytesIO(encoded(two_halves(), icc_profile=exchanged, quality=95)))
    red, _, blue = opened(data).getpixel((5, 20))
    assert blue > 200
    assert red < 60


def test_an_unusable_color_profile_is_no_reason_to_refuse():
    data, _, _ = photo_jpeg(BytesIO(encoded(two_halves(), icc_profile=b"nonsense" * 40, quality=95)))
    assert is_red(opened(data).getpixel((5, 20)))


def place_in(data: bytes) -> dict:
    return opened(data).getexif().get_ifd(GPS)


def test_where_the_shop_wants_it_the_place_stays_and_nothing_else():
    sent = jpeg_with_place(orientation=6, west=(122.0, 19.0, 48.0))
    data, width, height = photo_jpeg(BytesIO(sent), keep_place=True)
    # The tags of Exif 2.3 (CIPA DC-008), 4.6.6: 1 and 2 are the latitude, 3 and 4 the longitude.
    assert place_in(data) == {1: "N", 2: (47.0, 36.0, 0.0), 3: "W", 4: (122.0, 19.0, 48.0)}
    assert list(opened(data).getexif()) == [GPS]
    assert (width, height) == (40, 60)
    assert b"SECRET" not in data
    # The small copy of it tells nothing.
    assert not opened(photo_jpeg(BytesIO(data), longest_side=20)[0]).getexif()


@pytest.mark.parametrize("west", [None, (122.0, 19.0), (400.0, 0.0, 0.0)])
def test_a_place_that_cant_be_one_is_left_out(west):
    data, _width, _height = photo_jpeg(BytesIO(jpeg_with_place(west=west)), keep_place=True)
    assert not opened(data).getexif()
