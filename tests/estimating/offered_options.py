"""A proposal with options, put into a frozen content: two tiles to pick from and a bench to add.

The figures are whole: each choice has lines that add up to its total, and payments that come to it.
"""

from decimal import Decimal

from base.keys import uuid7
from estimating.letterhead import amount
from estimating.models import Option, OptionGroup
from estimating.options import key_of
from estimating.payments import USUAL, pay
from estimating.plans import plan_of
from rooms.models import Standing
from tests.factories import RoomFactory

MARBLE, BENCH = Decimal("250.00"), Decimal("180.00")
"""What the other tile and the bench come to. Invented."""


class Offered:
    """The keys, as texts: of the options `white`, `marble` and `bench`, and of their groups `tile` and `extra`."""

    def __init__(self, room):
        self.job, self.white_room = room.job, room
        self.tile, self.extra, self.white, self.marble, self.bench = (str(uuid7()) for _ in range(5))
        self.marble_room = RoomFactory(job=room.job, name="Shower in marble", standing=Standing.OFFERED)
        self.bench_room = RoomFactory(job=room.job, name="Shower bench", standing=Standing.OFFERED)
        groups = [
            OptionGroup.objects.create(pk=key, job=room.job, name=name, kind=kind)
            for key, name, kind in [(self.tile, "Shower tile", "one"), (self.extra, "Extras", "add")]
        ]
        for pk, group, option_room, name in [
            (self.white, groups[0], self.white_room, "White field tile"),
            (self.marble, groups[0], self.marble_room, "Marble hexagon"),
            (self.bench, groups[1], self.bench_room, "A bench"),
        ]:
            Option.objects.create(pk=pk, group=group, room=option_room, name=name)

    def choice(self, *options):
        return key_of(options)

    def into(self, content):
        """The content with the options in it, the white tile in the price."""
        (room,) = content["rooms"]
        white, marble, bench = (
            {**room, "name": each.name, "key": str(each.pk)}
            for each in (self.white_room, self.marble_room, self.bench_room)
        )
        choices = {
            self.choice(self.white): {"rooms": [white["key"]]},
            self.choice(self.marble): self._other(content, MARBLE, [marble]),
            self.choice(self.white, self.bench): self._other(content, BENCH, [white, bench]),
            self.choice(self.marble, self.bench): self._other(content, MARBLE + BENCH, [marble, bench]),
        }
        return {
            **content,
            "rooms": [white],
            "option_rooms": {each["key"]: each for each in (white, marble, bench)},
            "chosen": self.choice(self.white),
            "choices": choices,
            "options": [
                {
                    "key": self.tile,
                    "name": "Shower tile",
                    "kind": "one",
                    "options": [
                        _option(self.white, white, "White field tile", Decimal(0), included=True),
                        _option(self.marble, marble, "Marble hexagon", MARBLE),
                    ],
                },
                {
                    "key": self.extra,
                    "name": "Extras",
                    "kind": "add",
                    "options": [_option(self.bench, bench, "A bench", BENCH)],
                },
            ],
        }

    def _other(self, content, more, rooms):
        total = Decimal(content["total"]["amount"]) + more
        dues = pay(total=total, steps=plan_of(self.job).steps)
        steps = [{**step, **amount(due.amount)} for step, due in zip(content["payments"]["steps"], dues, strict=True)]
        return {
            "rooms": [room["key"] for room in rooms],
            "greeting": content["greeting"].replace(content["total"]["shown"], amount(total)["shown"]),
            "lines": [*content["lines"], {"group": rooms[-1]["name"], "text": "Labor", **amount(more)}],
            "total": amount(total),
            "payments": {**content["payments"], "steps": steps},
        }


def _plain(value):
    """An amount as a content has it, without the shop's settings."""
    return {"amount": f"{value:.2f}", "shown": f"${value:,.2f}"}


def _option(key, room, name, more, *, included=False):
    difference = _plain(more)
    if more:
        difference["shown"] = f"+{difference['shown']}"
    return {
        "key": key,
        "name": name,
        "text": f"About it: {name.lower()}.",
        "included": included,
        "room": room["key"],
        "difference": difference,
    }


def printed_with_options(letter, *, extras=1):
    """The letter of `benchmarks.letters` with a tile to pick and `extras` add-ons, all of them drawn as its rooms."""
    rooms = [{**room, "key": f"room {at}"} for at, room in enumerate(letter["rooms"])]
    total = Decimal(letter["total"]["shown"].replace("$", "").replace(",", ""))
    other = {**rooms[0], "name": "Shower in marble", "key": "marble"}
    benches = [{**rooms[-1], "name": f"Bench {at}", "key": f"bench {at}"} for at in range(1, extras + 1)]
    choices = {
        key_of([tile, *(each["key"] for at, each in enumerate(benches) if taken >> at & 1)]): {
            "total": _plain(comes_to),
            "payments": {
                **letter["payments"],
                "steps": [
                    {**step, **_plain(due.amount)}
                    for step, due in zip(letter["payments"]["steps"], pay(total=comes_to, steps=USUAL), strict=True)
                ],
            },
        }
        for tile in ("white", "marble")
        for taken in range(2**extras)
        for comes_to in [total + (MARBLE if tile == "marble" else 0) + BENCH * taken.bit_count()]
    }
    white = _option("white", rooms[0], "White field tile", Decimal(0), included=True)
    return {
        **letter,
        "rooms": rooms,
        "option_rooms": {room["key"]: room for room in (rooms[0], other, *benches)},
        "chosen": "white",
        "choices": choices,
        "options": [
            {
                "key": "tile",
                "name": "Shower tile",
                "kind": "one",
                "options": [white, _option("marble", other, "Marble hexagon", MARBLE)],
            },
            {
                "key": "extra",
                "name": "Extras",
                "kind": "add",
                "options": [_option(each["key"], each, each["name"], BENCH) for each in benches],
            },
        ],
    }
