"""Pictures for tests, drawn here. As bytes, as a phone would send them."""

import struct
import zlib
from io import BytesIO

from PIL import Image

# Tags of Exif 2.3 (CIPA DC-008), tables 4 and 12: orientation, maker, GPS pointer, latitude.
ORIENTATION, MAKE, GPS, LATITUDE_REF, LATITUDE = 0x0112, 0x010F, 0x8825, 1, 2


def two_halves(width: int = 60, height: int = 40) -> Image.Image:
    """Red on the left, blue on the right."""
    image = Image.new("RGB", (width, height), (255, 0, 0))
    image.paste((0, 0, 255), (width // 2, 0, width, height))
    return image


def encoded(image: Image.Image, kind: str = "JPEG", **options: object) -> bytes:
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def jpeg(width: int = 60, height: int = 40, **options: object) -> bytes:
    return encoded(two_halves(width, height), **options)


def jpeg_with_place(*, orientation: int = 1, west: tuple[float, ...] | None = None) -> bytes:
    """With an orientation, a maker, a place (47° 36' N, and `west` degrees, minutes, seconds west) and a comment
    inside."""
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif[MAKE] = "SECRETMAKER"
    exif.get_ifd(GPS).update({LATITUDE_REF: "N", LATITUDE: (47.0, 36.0, 0.0)})
    if west:
        exif.get_ifd(GPS).update({LATITUDE_REF + 2: "W", LATITUDE + 2: west})
    return encoded(two_halves(), exif=exif, comment=b"SECRETCOMMENT", quality=95)


def png_bomb(width: int, height: int) -> bytes:
    """A small PNG (ISO/IEC 15948) that says it is width x height and unfolds into that many black pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    packer = zlib.compressobj(9)
    row = bytes(1 + (width + 7) // 8)
    rows = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def heic() -> bytes:
    """The first bytes of an HEIC file (ISO/IEC 23008-12): a file type box of the brand heic."""
    return struct.pack(">I4s4sI4s4s", 24, b"ftyp", b"heic", 0, b"mif1", b"heic") + bytes(2000)
