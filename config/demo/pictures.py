"""Photos for the demo shop, drawn by ourselves: no camera, no real place."""

import io
import random
from collections.abc import Callable

from PIL import Image, ImageDraw, ImageFilter

SIZE = (1200, 900)

Painter = Callable[[ImageDraw.ImageDraw, random.Random], None]


def picture(kind: str, *, seed: int = 1) -> io.BytesIO:
    """A JPEG of what `kind` names: board, membrane, tile, lippage, corner, water. The same seed, the same picture."""
    rng = random.Random(seed)  # noqa: S311 -- shades of a drawing, nothing secret
    image = Image.new("RGB", SIZE, (190, 186, 178))
    _PAINTERS[kind](ImageDraw.Draw(image), rng)
    image = _grain(image, rng).filter(ImageFilter.GaussianBlur(0.6))
    data = io.BytesIO()
    image.save(data, "JPEG", quality=82)
    data.seek(0)
    return data


def _grain(image: Image.Image, rng: random.Random) -> Image.Image:
    """Unevenness as of a lamp held to one side."""
    small = Image.new("L", (24, 18))
    small.putdata([rng.randint(96, 150) + column * 2 for _ in range(18) for column in range(24)])
    light = small.resize(SIZE, Image.Resampling.BICUBIC)
    return Image.composite(image, Image.new("RGB", SIZE, (60, 56, 50)), light.point(lambda v: min(255, v + 90)))


def _board(draw: ImageDraw.ImageDraw, rng: random.Random) -> None:
    for x in range(0, SIZE[0], 400):
        draw.rectangle((x + 3, 0, x + 397, SIZE[1]), fill=(168 + rng.randint(-6, 6), 170, 168))
        draw.rectangle((x - 14, 0, x + 14, SIZE[1]), fill=(214, 212, 204))
        for y in range(60, SIZE[1], 120):
            for screw in (x + 40, x + 200, x + 360):
                draw.ellipse((screw - 6, y - 6, screw + 6, y + 6), fill=(96, 96, 94))


def _membrane(draw: ImageDraw.ImageDraw, rng: random.Random) -> None:
    draw.rectangle((0, 0, *SIZE), fill=(120, 148, 132))
    for _ in range(500):
        x, y = rng.randint(0, SIZE[0]), rng.randint(0, SIZE[1])
        shade = rng.randint(-10, 12)
        draw.line((x, y, x + rng.randint(40, 160), y + rng.randint(-6, 6)), (120 + shade, 148 + shade, 132 + shade), 7)
    draw.rectangle((560, 0, 640, SIZE[1]), fill=(106, 132, 118))
    draw.rectangle((0, 640, SIZE[0], 720), fill=(106, 132, 118))


def _tiles(draw: ImageDraw.ImageDraw, rng: random.Random, *, grout: tuple[int, int, int] = (140, 136, 128)) -> None:
    draw.rectangle((0, 0, *SIZE), fill=grout)
    width, height, joint = 360, 176, 6
    for course, y in enumerate(range(-40, SIZE[1], height + joint)):
        for x in range(-360 + (course % 2) * 122, SIZE[0], width + joint):
            shade = rng.randint(-8, 8)
            draw.rectangle((x, y, x + width, y + height), fill=(206 + shade, 203 + shade, 196 + shade))


def _lippage(draw: ImageDraw.ImageDraw, rng: random.Random) -> None:
    _tiles(draw, rng)
    draw.rectangle((180, 500, 1100, 524), fill=(196, 168, 96))
    draw.polygon(((620, 524), (1100, 524), (1100, 536)), fill=(40, 38, 34))


def _corner(draw: ImageDraw.ImageDraw, rng: random.Random) -> None:
    _tiles(draw, rng)
    draw.rectangle((596, 0, 606, SIZE[1]), fill=(122, 118, 110))
    x = 601
    for y in range(180, 760, 12):
        step = x + rng.randint(-4, 4)
        draw.line((x, y, step, y + 12), (30, 28, 26), 3)
        x = min(606, max(596, step))


def _water(draw: ImageDraw.ImageDraw, rng: random.Random) -> None:
    _membrane(draw, rng)
    draw.rectangle((80, 300, 1120, 860), fill=(96, 130, 140))
    for _ in range(60):
        x, y = rng.randint(90, 1000), rng.randint(320, 840)
        draw.line((x, y, x + rng.randint(20, 100), y), (150, 182, 190), 2)
    draw.rectangle((110, 260, 128, 560), fill=(214, 186, 110))
    for mark in range(260, 560, 30):
        draw.line((110, mark, 122, mark), (40, 38, 34), 2)


_PAINTERS: dict[str, Painter] = {
    "board": _board,
    "membrane": _membrane,
    "tile": _tiles,
    "lippage": _lippage,
    "corner": _corner,
    "water": _water,
}
