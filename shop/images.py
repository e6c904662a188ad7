"""Pictures that people upload: checked by what they contain, turned upright, and encoded anew without metadata.

Nothing of the uploaded file is kept as it came: its name, its type as claimed, places and times inside it.
"""

import struct
import threading
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from typing import IO

from django.utils.translation import gettext as _
from PIL import Image, ImageCms, ImageFile, ImageOps

from base.errors import Refused

MAX_BYTES = 30 * 2**20
MAX_PIXELS = 70_000_000
"""As RGB about 200 MB while it is worked on. Above it a small file may unfold into more than the server has."""

LONGEST_SIDE = 2400
SMALL_SIDE = 640
"""Of a copy for lists and cards: sharp at 320 px on a phone's screen, some tens of kB."""
FORMATS = ("JPEG", "PNG", "WEBP")
ACCEPT = "image/jpeg,image/png,image/webp"
"""For a file field: phones that keep another format hand over a JPEG when asked for one of these."""

# Brands of an ISO base media file (ISO/IEC 23008-12) that phones write; seen at byte 8 after "ftyp".
_HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1", b"avif", b"avis")
# Tags of Exif 2.3 (CIPA DC-008), 4.6.3 and 4.6.6: where the position is told, and of what it is made. The letter that
# goes with each (N or S, E or W) has the tag before it.
_GPS, _LATITUDE, _LONGITUDE = 0x8825, 2, 4
# What Pillow's decoders raise at damaged or hostile files.
_DAMAGED = (OSError, SyntaxError, ValueError, TypeError, KeyError, IndexError, EOFError, struct.error, zlib.error)


class BadImage(Refused):
    """The upload isn't a picture that can be kept. The message is for the person who sent it."""


def photo_jpeg(
    upload: IO[bytes], *, longest_side: int = LONGEST_SIDE, keep_place: bool = False
) -> tuple[bytes, int, int]:
    """The picture as JPEG bytes without metadata, upright, its longest side at most that; its width and height.

    `keep_place`: the position at which it was taken (latitude and longitude) goes along, where the upload tells it.
    Raises BadImage.
    """
    image = _open(upload, longest_side=longest_side)
    place = _place_of(upload) if keep_place else None
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        over = image.convert("RGBA")
        image = Image.new("RGB", over.size, "white")
        image.paste(over, mask=over.getchannel("A"))
    return _encoded(image.convert("RGB"), "JPEG", quality=85, **({"exif": place} if place is not None else {}))


def logo_png(upload: IO[bytes]) -> bytes:
    """The picture as PNG bytes without metadata, at most 1200 x 600. Raises BadImage."""
    image = _open(upload, longest_side=1200)
    image = image.convert("RGBA" if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info else "RGB")
    image.thumbnail((1200, 600))
    return _encoded(image, "PNG", optimize=True)[0]


def _open(upload: IO[bytes], *, longest_side: int) -> Image.Image:
    upload.seek(0)
    data = upload.read(MAX_BYTES + 1)
    if not data:
        raise BadImage(_("The file is empty."))
    if len(data) > MAX_BYTES:
        raise BadImage(_("The file is larger than %(n)s MB.") % {"n": MAX_BYTES // 2**20})
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC_BRANDS:
        raise BadImage(
            _(
                "This is an HEIC or AVIF picture, which can't be kept here. Set the phone's camera to save JPEG, "
                "or share the picture as JPEG, and send it again."
            )
        )
    try:
        image = Image.open(BytesIO(data), formats=FORMATS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_many_pixels() from None
    except _DAMAGED:
        raise BadImage(_("This file isn't a picture that we can read. Send a JPEG, PNG or WebP.")) from None
    if image.width * image.height > MAX_PIXELS:
        raise _too_many_pixels()
    try:
        with _cut_off_is_an_error():
            image.draft("RGB", (longest_side, longest_side))  # a JPEG is decoded at a fraction of its size
            image.load()
    except (*_DAMAGED, MemoryError):
        raise BadImage(_("The picture is damaged or was cut off on its way. Send it again.")) from None
    upright = _upright(_in_srgb(image))
    upright.thumbnail((longest_side, longest_side))
    return upright


_one_at_a_time = threading.Lock()


@contextmanager
def _cut_off_is_an_error() -> Iterator[None]:
    """Within it a picture that ends early fails to load. Pillow's switch for that is one for the whole process, and the
    library that makes our PDFs turns it off on import. One picture at a time also keeps the memory needed to one."""
    with _one_at_a_time:
        before = ImageFile.LOAD_TRUNCATED_IMAGES
        ImageFile.LOAD_TRUNCATED_IMAGES = False
        try:
            yield
        finally:
            ImageFile.LOAD_TRUNCATED_IMAGES = before


def _too_many_pixels() -> BadImage:
    return BadImage(
        _("The picture has more than %(n)s million pixels. Send a smaller one.") % {"n": MAX_PIXELS // 10**6}
    )


def _upright(image: Image.Image) -> Image.Image:
    try:
        return ImageOps.exif_transpose(image)
    except _DAMAGED:
        return image  # broken metadata says nothing about which way is up


def _place_of(upload: IO[bytes]) -> Image.Exif | None:
    """Metadata with nothing but the latitude and longitude of an upload that `_open` has read; None where it tells
    none, or none that can be."""
    upload.seek(0)
    try:
        told = Image.open(upload, formats=FORMATS).getexif().get_ifd(_GPS)
        degrees = [tuple(float(part) for part in told[tag]) for tag in (_LATITUDE, _LONGITUDE)]
        signs = [str(told[tag - 1]).strip("\0 ") for tag in (_LATITUDE, _LONGITUDE)]
    except (*_DAMAGED, ZeroDivisionError):
        return None
    whole = all(len(each) == 3 and all(0 <= part <= 180 for part in each) for each in degrees)
    if not whole or signs[0] not in ("N", "S") or signs[1] not in ("E", "W"):
        return None
    place = Image.Exif()
    pairs = zip((_LATITUDE, _LONGITUDE), degrees, signs, strict=True)
    place.get_ifd(_GPS).update({each: value for tag, at, sign in pairs for each, value in ((tag - 1, sign), (tag, at))})
    return place


def _in_srgb(image: Image.Image) -> Image.Image:
    """The colors in sRGB: a phone's wider space would look dull once its profile is dropped, and shades matter here."""
    profile = image.info.get("icc_profile")
    if not profile or image.mode != "RGB":
        return image
    try:
        wide = ImageCms.ImageCmsProfile(BytesIO(profile))
        turned = ImageCms.profileToProfile(image, wide, ImageCms.createProfile("sRGB"), outputMode="RGB")
    except (ImageCms.PyCMSError, *_DAMAGED):
        return image
    return turned or image


def _encoded(image: Image.Image, kind: str, **options: object) -> tuple[bytes, int, int]:
    # A picture made afresh from the pixels: Pillow would write comments and profiles of `image.info` along.
    bare = image.copy()
    bare.info = {}
    out = BytesIO()
    bare.save(out, kind, **options)
    return out.getvalue(), bare.width, bare.height
