"""A price list out of a spreadsheet: what each of its rows would do to the rates, and the rates as such a list."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from uuid import UUID

from django import forms
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.tables import Column, Line, NoFigure, Table, bare, figure_from, figure_text
from estimating.catalogue import BY_KEY, ONE, RATES, TILE, UNIT_NAMES, Wanted, unit_name
from estimating.forms import RateForm
from estimating.models import Rate, RateKind
from estimating.rate_figures import BadRate, RateFigures, rate_of, same_rate
from estimating.templatetags.estimating import rate_text
from rooms.models import Tile
from shop.models import Units
from shop.queries import shop_settings
from shop.table_files import Fate

COLUMNS = (
    Column(key="kind", label=gettext_lazy("Kind")),
    Column(key="rate", label=gettext_lazy("Rate"), also=("name", "item"), required=True),
    Column(key="product", label=gettext_lazy("Product")),
    Column(key="supplier", label=gettext_lazy("Supplier")),
    Column(key="unit", label=gettext_lazy("Unit")),
    Column(key="cost", label=gettext_lazy("Price"), required=True),
    Column(key="package", label=gettext_lazy("Units in a package")),
    Column(key="hours", label=gettext_lazy("Hours for one unit")),
    Column(key="hours_low", label=gettext_lazy("Hours at best"), also=("at best",)),
    Column(key="hours_high", label=gettext_lazy("Hours at worst"), also=("at worst",)),
    Column(key="setup_hours", label=gettext_lazy("Set-up hours")),
    Column(key="crew", label=gettext_lazy("Persons at it")),
)
_LABELS = {column.key: column.label for column in COLUMNS}
_FIGURES = ("cost", "package", "hours", "hours_low", "hours_high", "setup_hours", "crew")
_KINDS: dict[str, Promise | str] = {
    "material": RateKind.MATERIAL.label,
    "labor": RateKind.LABOR.label,
    "tile": gettext_lazy("Tile"),
}


@dataclass(frozen=True, kw_only=True)
class PriceFate(Fate):
    """`figures`: what to set, where the row changes something."""

    figures: RateFigures | None = None


class _BadRow(ValueError):
    """The message says what is wrong with a row."""


@dataclass(frozen=True, slots=True)
class _Target:
    """What a row is the price of."""

    kind: str
    key: str
    tile: Tile | None = None

    @property
    def pair(self) -> tuple[str, UUID | None]:
        return self.key, self.tile.pk if self.tile else None

    @property
    def wanted(self) -> Wanted | None:
        return BY_KEY.get(self.key)


@dataclass(frozen=True, slots=True)
class _Rates:
    """What rows are held against."""

    in_force: dict[tuple[str, UUID | None], Rate]
    targets: dict[str, list[_Target]]
    units: dict[str, str]
    metric: bool
    fields: dict[str, dict[str, forms.Field]] = field(default_factory=dict)
    """Of the form of a rate, by its key: made once, since making them takes longer than reading a row by them."""

    def fields_of(self, target: _Target) -> dict[str, forms.Field]:
        if target.key not in self.fields:
            self.fields[target.key] = RateForm(wanted=target.wanted, tile=target.tile).fields
        return self.fields[target.key]


def _rates() -> _Rates:
    """3 queries at most."""
    units = {bare(str(name)): unit for names in (UNIT_NAMES, ONE) for unit, name in names.items()}
    return _Rates(
        in_force={(rate.key, rate.tile_id): rate for rate in Rate.objects.filter(valid_to=None)},
        targets=_targets(Tile.objects.filter(archived=False).order_by("name", "id")),
        units=units | {unit: unit for unit in UNIT_NAMES},
        metric=shop_settings().units == Units.MM,
    )


def fates_of(table: Table) -> list[PriceFate]:
    """In the order of the rows. 3 queries at most, however many rows."""
    rates = _rates()
    rows: dict[tuple[str, UUID | None], int] = {}
    fates = []
    for line in table.lines:
        try:
            target = _target(line, rates.targets)
            first = rows.setdefault(target.pair, line.number)
            if first != line.number:
                raise _BadRow(_("Row %(row)s has the same rate. Take one of them out.") % {"row": first})
            fates.append(_fate(line, target, rates))
        except (_BadRow, BadRate) as error:
            fates.append(_fate_of(line, word=_("can't be taken"), badge="late", text=str(error)))
    return fates


def _fate_of(line: Line, *, word: str, badge: str, text: str = "", figures: RateFigures | None = None) -> PriceFate:
    return PriceFate(number=line.number, name=line.cells["rate"], word=word, badge=badge, text=text, figures=figures)


def _fate(line: Line, target: _Target, rates: _Rates) -> PriceFate:
    """Raises _BadRow, BadRate."""
    if not line.cells["cost"]:
        return _fate_of(line, word=_("left as it is"), badge="todo", text=_("The row has no price."))
    figures = _figures(line, target, rates)
    now = rates.in_force.get(target.pair)
    new = rate_of(figures)
    if now is None:
        text = " · ".join(filter(None, (rate_text(new), new.bought_as)))
        return _fate_of(line, word=_("first price"), badge="now", text=text, figures=figures)
    new.example = now.example
    if same_rate(now, new):
        if now.as_of == timezone.localdate():
            return _fate_of(line, word=_("unchanged"), badge="todo", text=rate_text(now))
        return _fate_of(line, word=_("still holds"), badge="now", text=rate_text(now), figures=figures)
    before, after = rate_text(now), rate_text(new)
    word = _("other product") if before == after else _("new price")
    changes = [(before, after), (now.bought_as or _("no product"), new.bought_as or _("no product"))]
    text = "; ".join(
        _("%(before)s becomes %(after)s") % {"before": old, "after": to} for old, to in changes if old != to
    )
    return _fate_of(line, word=word, badge="now", text=text, figures=figures)


def _figures(line: Line, target: _Target, rates: _Rates) -> RateFigures:
    """What `set_rate` takes. A column that the table doesn't have stays as it is. Raises _BadRow."""
    now = rates.in_force.get(target.pair)
    # No column says it: a rate that follows the people goes on doing so.
    kept = {"by_people": now is not None and now.by_people}
    data = {**kept, **_standing(target, rates), **_typed(line, rates.units)}
    fields = rates.fields_of(target)
    errors = [
        _("%(column)s doesn't belong to this rate: leave it empty.") % {"column": column.label}
        for column in COLUMNS[2:]
        if column.key not in fields and line.cells.get(column.key)
    ]
    cleaned = {}
    for name, each in fields.items():
        try:
            cleaned[name] = each.clean(data.get(name))
        except forms.ValidationError as error:
            errors += [f"{_LABELS[name]}: {message}" for message in error.messages]
    if errors:
        raise _BadRow(" ".join(errors))
    return RateFigures(key=target.key, tile=target.tile, **cleaned)  # type: ignore[typeddict-item]


def _standing(target: _Target, rates: _Rates) -> dict[str, object]:
    if now := rates.in_force.get(target.pair):
        return {column.key: getattr(now, column.key) for column in COLUMNS if column.key not in ("kind", "rate")}
    return {"unit": target.wanted.example(metric=rates.metric).unit if target.wanted else "piece"}


def _typed(line: Line, units: dict[str, str]) -> dict[str, object]:
    """The cells as a form takes them. Raises _BadRow."""
    typed: dict[str, object] = {}
    for key, text in line.cells.items():
        if key == "unit":
            typed |= {key: units.get(bare(text), text)} if text else {}
        elif key in _FIGURES and text:
            try:
                typed[key] = figure_from(text)
            except NoFigure:
                raise _BadRow(
                    _("%(column)s: “%(text)s” is no figure. Write it as %(example)s.")
                    % {"column": _LABELS[key], "text": text, "example": figure_text(12.5)}
                ) from None
        else:
            typed[key] = text
    return typed


def _targets(tiles: Iterable[Tile]) -> dict[str, list[_Target]]:
    """What may be priced, by its name or key in small letters."""
    targets: dict[str, list[_Target]] = {}
    for wanted in RATES:
        for name in {str(wanted.name).casefold(), wanted.key}:
            targets.setdefault(name, []).append(_Target(str(wanted.kind), wanted.key))
    for tile in tiles:
        targets.setdefault(" ".join(tile.name.split()).casefold(), []).append(_Target("tile", TILE, tile))
    return targets


def _target(line: Line, targets: dict[str, list[_Target]]) -> _Target:
    name, kind = line.cells["rate"].casefold(), line.cells.get("kind", "")
    found = targets.get(name, [])
    choices = {"kinds": ", ".join(str(label) for label in _KINDS.values())}
    if kind:
        kinds = [key for key, label in _KINDS.items() if bare(kind) in (key, bare(str(label)))]
        if not kinds:
            raise _BadRow(_("Kind is one of %(kinds)s, or empty.") % choices)
        found = [target for target in found if target.kind in kinds]
    if not found:
        raise _BadRow(_("There is no rate or tile of this name. Write it as on the page of rates."))
    if len({target.kind for target in found}) > 1:
        raise _BadRow(_("More than one rate has this name: say which under “Kind”, %(kinds)s.") % choices)
    if len(found) > 1:
        raise _BadRow(_("More than one tile has this name: set their prices on the page of rates."))
    return found[0]


def price_list() -> list[list[str]]:
    """The rates in force as rows of such a table, headings first; those that aren't set without figures. 3 queries."""
    rates = _rates()
    rows = [[str(column.label) for column in COLUMNS]]
    for name, targets in rates.targets.items():
        several = sum(target.tile is not None for target in targets) > 1
        for target in targets:
            if target.tile and several:
                continue  # which of the tiles it is, no list could say
            if target.tile or name == str(target.wanted.name if target.wanted else "").casefold():
                rows.append(_row(target, rates))
    return rows


def _row(target: _Target, rates: _Rates) -> list[str]:
    values = _standing(target, rates)
    cells = {"kind": str(_KINDS[target.kind]), "rate": str(target.wanted.name if target.wanted else target.tile)}
    cells["unit"] = unit_name(str(values.pop("unit")))
    for key in values.keys() & rates.fields_of(target).keys():
        value = values[key]
        cells[key] = figure_text(value) if isinstance(value, Decimal | int) else str(value or "")
    return [cells.get(column.key, "") for column in COLUMNS]
