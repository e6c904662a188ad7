"""Materials by class: what a takeoff's lines are priced as. Examples are invented."""

from collections.abc import Iterator
from dataclasses import replace

from django.utils.functional import Promise
from django.utils.text import format_lazy, slugify
from django.utils.translation import gettext_lazy as _

from estimating.catalogue.wanted import Wanted, material

_GENERAL: tuple[Wanted, ...] = (
    material(
        "mortar",
        _("Thin-set mortar"),
        _("By weight; the bag is the package."),
        inch=("lb", "26.00", "50"),
        metric=("kg", "26.00", "20"),
    ),
    material(
        "grout",
        _("Grout"),
        _("By weight; the bag is the package."),
        inch=("lb", "19.50", "10"),
        metric=("kg", "19.50", "5"),
    ),
    material(
        "membrane",
        _("Waterproofing membrane"),
        _("By area, laps included in the price of the area; band and corners come apart."),
        inch=("ft2", "1.95", None),
        metric=("m2", "21.00", None),
    ),
    material(
        "membrane-band",
        _("Membrane band"),
        _("By length, over changes of plane; the roll is the package."),
        inch=("ft", "38.00", "30"),
        metric=("m", "38.00", "10"),
    ),
    material(
        "membrane-corner",
        _("Membrane corner"),
        _("By the piece. 0 where the band is folded."),
        inch=("piece", "3.50", None),
        metric=("piece", "3.50", None),
    ),
    material(
        "board",
        _("Backer board"),
        _("By area, tape included; a sheet is the package. Fasteners come apart."),
        inch=("ft2", "17.50", "15"),
        metric=("m2", "16.00", "1.2"),
    ),
    material(
        "fastener",
        _("Board fasteners"),
        _("By the piece; the box is the package."),
        inch=("piece", "14.00", "150"),
        metric=("piece", "14.00", "150"),
    ),
    material(
        "sealant",
        _("Sealant for soft joints"),
        _("By length of joint; the package is what one cartridge fills."),
        inch=("ft", "11.00", "12"),
        metric=("m", "11.00", "3.6"),
    ),
    material(
        "edge-trim",
        _("Edge profile"),
        _("By length; the stick is the package."),
        inch=("ft", "14.00", "8"),
        metric=("m", "14.00", "2.5"),
    ),
    material(
        "clip",
        _("Leveling clips"),
        _("By the piece; the bag is the package. Wedges are used again."),
        inch=("piece", "18.00", "200"),
        metric=("piece", "18.00", "200"),
    ),
    material(
        "spacer",
        _("Spacers"),
        _("By the piece; the bag is the package."),
        inch=("piece", "6.00", "200"),
        metric=("piece", "6.00", "200"),
    ),
    material(
        "leveling",
        _("Leveling compound"),
        _("By the volume that it fills; the package is what one bag makes."),
        inch=("ft3", "38.00", "0.45"),
        metric=("l", "38.00", "12.5"),
    ),
    material(
        "primer",
        _("Primer under leveling compound"),
        _("By area; the package is what one can covers."),
        inch=("ft2", "42.00", "250"),
        metric=("m2", "42.00", "23"),
    ),
    material(
        "mud-bed",
        _("Mortar bed mix"),
        _("By the volume in place; the package is what one bag makes."),
        inch=("ft3", "9.50", "0.5"),
        metric=("l", "9.50", "14"),
    ),
    material(
        "sealer",
        _("Sealer for stone"),
        _("By area; the package is what one can covers."),
        inch=("ft2", "34.00", "150"),
        metric=("m2", "34.00", "14"),
    ),
)

# By the classes of ANSI A118 that `trade.materials` asks for, and by what `trade.specification` calls membrane and
# substrate.
_CLASSES: dict[str, dict[str, Promise]] = {
    "mortar": {
        "A118.1": _("A118.1, unmodified"),
        "A118.4": _("A118.4, modified"),
        "A118.11": _("A118.11, for plywood"),
        "A118.15": _("A118.15, improved"),
        "A118.3": _("A118.3, epoxy"),
    },
    "grout": {
        "A118.6": _("A118.6, cement"),
        "A118.7": _("A118.7, high performance"),
        "A118.3": _("A118.3, epoxy"),
    },
    "membrane": {"liquid": _("liquid"), "sheet": _("sheet"), "liner": _("liner")},
    "board": {
        "cement board": _("cement or fiber-cement"),
        "foam board": _("foam"),
        "gypsum board": _("gypsum"),
    },
}


def class_key(key: str, name: str) -> str:
    """The key of the rate for one class of a material: "mortar" and "A118.15" give "mortar-a118-15"."""
    return f"{key}-{slugify(name.replace('.', '-'))}"


def class_name(key: str, name: str) -> str:
    """As the catalogue calls a class of a material; nothing for one that it doesn't know."""
    return str(_CLASSES.get(key, {}).get(name, ""))


def _with_classes(general: Wanted) -> Iterator[Wanted]:
    yield general
    for name, told in _CLASSES.get(general.key, {}).items():
        yield replace(
            general,
            key=class_key(general.key, name),
            name=format_lazy("{material}, {told}", material=general.name, told=told),
            help=format_lazy(
                _("Where a room asks for this class. Without a price, that of “{material}” counts."),
                material=general.name,
            ),
            needed=False,
            class_of=general.key,
        )


MATERIALS: tuple[Wanted, ...] = tuple(wanted for general in _GENERAL for wanted in _with_classes(general))
