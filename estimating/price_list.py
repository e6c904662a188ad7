"""A price list out of a spreadsheet: what each of its rows would do to the rates, and the rates as such a list."""

from dataclasses import dataclass, field
from decimal import Decimal
from uuid import UUID

from django import forms
from django.utils import formats, timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.tables import Column, Line, NoFigure, Table, bare, figure_from, figure_text
from estimating.catalogue import ONE, UNIT_NAMES, unit_name
from estimating.forms import RateForm, check_day
from estimating.models import OWN, OwnRate, Rate, RateKind
from estimating.own_forms import OwnRateForm
from estimating.price_list_names import KINDS, BadRow, Names, Target, described, names_of, told_apart
from estimating.rate_days import Standing, standing_rates
from estimating.rate_figures import BadRate, Figures, NewRate, RateFigures, rate_of
from estimating.templatetags.estimating import rate_text
from rooms.models import Tile
from shop.models import Units
from shop.queries import shop_settings
from shop.table_files import Fate

COLUMNS = (
    Column(key="kind", label=gettext_lazy("Kind")),
    Column(key="rate", label=gettext_lazy("Rate"), also=("name", "item"), required=True),
    Column(key="size", label=gettext_lazy("Size and finish"), also=("size", "tile size")),
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
    Column(key="valid_from", label=gettext_lazy("From"), also=("date", "valid from")),
)
_LABELS = {column.key: column.label for column in COLUMNS}
_FIGURES = ("cost", "package", "hours", "hours_low", "hours_high", "setup_hours", "crew")
_NAMES = ("kind", "rate", "size")
"""The columns that say what a row is of; the others are its figures, and the day from which they hold."""


@dataclass(frozen=True, kw_only=True)
class PriceFate(Fate):
    """`figures`: what to set, where the row changes something; `new`: the rate that it makes."""

    figures: RateFigures | None = None
    new: NewRate | None = None


@dataclass(frozen=True, slots=True)
class _Rates:
    """What rows are held against."""

    standing: dict[tuple[str, UUID | None], Standing]
    names: Names
    units: dict[str, str]
    metric: bool
    fields: dict[str, dict[str, forms.Field]] = field(default_factory=dict)
    """Of the form of a rate, by its key: made once, since making them takes longer than reading a row by them."""

    def now(self, target: Target) -> Rate | None:
        """The rate in force."""
        return self.standing.get(target.pair, Standing()).now

    def fields_of(self, target: Target) -> dict[str, forms.Field]:
        """Without the name."""
        key = target.key or target.kind
        if key not in self.fields:
            self.fields[key] = {name: each for name, each in self._form(target).fields.items() if name != "name"}
        return self.fields[key]

    def _form(self, target: Target) -> RateForm:
        if target.key and not target.own:
            return RateForm(wanted=target.wanted, tile=target.tile)
        now = self.now(target)
        return OwnRateForm(kind=RateKind(target.kind), unit=now.unit if now else "")


def _rates() -> _Rates:
    """4 queries at most."""
    units = {bare(str(name)): unit for names in (UNIT_NAMES, ONE) for unit, name in names.items()}
    return _Rates(
        standing=standing_rates(Rate.objects.not_ended()),
        names=names_of(own=OwnRate.objects.all(), tiles=Tile.objects.filter(archived=False).order_by("name", "id")),
        units=units | {unit: unit for unit in UNIT_NAMES},
        metric=shop_settings().units == Units.MM,
    )


def fates_of(table: Table) -> list[PriceFate]:
    """In the order of the rows. 4 queries at most, however many rows."""
    rates = _rates()
    rows: dict[tuple[str, UUID | None], int] = {}
    fates = []
    for line in table.lines:
        try:
            target = rates.names.target(line)
            first = rows.setdefault(target.pair, line.number)
            if first != line.number:
                raise BadRow(_("Row %(row)s has the same rate. Take one of them out.") % {"row": first})
            fates.append(_fate(line, target, rates))
        except (BadRow, BadRate) as error:
            fates.append(_fate_of(line, word=_("can't be taken"), badge="late", text=str(error)))
    return fates


def _fate_of(line: Line, *, word: str, badge: str, text: str = "", figures: RateFigures | None = None) -> PriceFate:
    return PriceFate(number=line.number, name=line.cells["rate"], word=word, badge=badge, text=text, figures=figures)


def _new_rate(line: Line, target: Target, rates: _Rates) -> PriceFate:
    """Raises BadRow, BadRate."""
    figures, kind = _figures(line, target, rates), RateKind(target.kind)
    own = OwnRate(key=f"{OWN}new", kind=kind, name=target.name)
    today = timezone.localdate()
    rate = rate_of(RateFigures(key=own.key, own=own, **figures), figures.get("valid_from") or today)
    Standing().same(rate, today=today)
    text = " · ".join(filter(None, (str(kind.label), rate_text(rate), rate.bought_as)))
    new = NewRate(target.name, kind, figures)
    return PriceFate(number=line.number, name=target.name, word=_("new rate"), badge="now", text=text, new=new)


def _fate(line: Line, target: Target, rates: _Rates) -> PriceFate:
    """Raises BadRow, BadRate."""
    if not target.key:
        return _new_rate(line, target, rates)
    if target.own and target.own.archived_on:
        text = _("The rate was put away. To price it, take it up again on the page of rates first.")
        return _fate_of(line, word=_("put away"), badge="todo", text=text)
    if not line.cells["cost"]:
        return _fate_of(line, word=_("left as it is"), badge="todo", text=_("The row has no price."))
    figures = RateFigures(key=target.key, tile=target.tile, own=target.own, **_figures(line, target, rates))
    now, today = rates.now(target), timezone.localdate()
    day = figures.get("valid_from") or today
    new = rate_of(figures, day)
    if now is None:
        Standing().same(new, today=today)
        text = " · ".join(filter(None, (rate_text(new), new.bought_as)))
        return _fate_of(line, word=_("first price"), badge="now", text=text, figures=figures)
    new.example = now.example
    if same := rates.standing[target.pair].same(new, today=today):
        if min(day, today) <= same.as_of:
            return _fate_of(line, word=_("unchanged"), badge="todo", text=rate_text(same))
        return _fate_of(line, word=_("still holds"), badge="now", text=rate_text(same), figures=figures)
    before, after = rate_text(now), rate_text(new)
    word = _("other product") if before == after else _("new price")
    changes = [(before, after), (now.bought_as or _("no product"), new.bought_as or _("no product"))]
    text = "; ".join(
        _("%(before)s becomes %(after)s") % {"before": old, "after": to} for old, to in changes if old != to
    )
    if day != today:
        dated = _("from %(day)s") % {"day": formats.date_format(day)}
        text = ", ".join(filter(None, (text, dated)))
    return _fate_of(line, word=word, badge="now", text=text, figures=figures)


def _figures(line: Line, target: Target, rates: _Rates) -> Figures:
    """A column that the table doesn't have stays as it is. Raises BadRow."""
    now = rates.now(target)
    # No column says it: a rate that follows the people goes on doing so.
    kept = {"by_people": now is not None and now.by_people}
    data = {**kept, **_standing(target, rates), **_typed(line, rates.units)}
    fields = rates.fields_of(target)
    errors = [
        _("%(column)s doesn't belong to this rate: leave it empty.") % {"column": column.label}
        for column in COLUMNS
        if column.key not in (*fields, "kind", "rate", "size" if target.tile else "") and line.cells.get(column.key)
    ]
    cleaned = {}
    for name, each in fields.items():
        try:
            cleaned[name] = each.clean(data.get(name))
            if name == "valid_from":
                check_day(cleaned[name])
        except forms.ValidationError as error:
            errors += [f"{_LABELS[name]}: {message}" for message in error.messages]
    if errors:
        raise BadRow(" ".join(errors))
    return Figures(**cleaned)  # type: ignore[typeddict-item]


def _standing(target: Target, rates: _Rates) -> dict[str, object]:
    if now := rates.now(target):
        return {column.key: getattr(now, column.key) for column in COLUMNS if column.key not in (*_NAMES, "valid_from")}
    if target.tile:
        return {"unit": "piece"}
    return {"unit": target.wanted.example(metric=rates.metric).unit} if target.wanted else {}


def _typed(line: Line, units: dict[str, str]) -> dict[str, object]:
    """The cells as a form takes them. Raises BadRow."""
    typed: dict[str, object] = {}
    for key, text in line.cells.items():
        if key == "unit":
            typed |= {key: units.get(bare(text), text)} if text else {}
        elif key in _FIGURES and text:
            try:
                typed[key] = figure_from(text)
            except NoFigure:
                raise BadRow(
                    _("%(column)s: “%(text)s” is no figure. Write it as %(example)s.")
                    % {"column": _LABELS[key], "text": text, "example": figure_text(12.5)}
                ) from None
        elif key == "valid_from":
            # A spreadsheet's date has a time in it.
            typed[key] = text.removesuffix("T00:00:00")
        else:
            typed[key] = text
    return typed


def price_list() -> list[list[str]]:
    """The rates in force as rows of such a table, headings first; those that aren't set without figures. 4 queries."""
    rates = _rates()
    headings = [str(column.label) for column in COLUMNS]
    return [headings, *(_row(target, rates) for target in told_apart(rates.names))]


def _row(target: Target, rates: _Rates) -> list[str]:
    values = _standing(target, rates)
    cells = {"kind": str(KINDS[target.kind]), "rate": target.name}
    if target.tile:
        cells["size"] = described(target.tile)
    if unit := values.pop("unit", ""):
        cells["unit"] = unit_name(str(unit))
    for key in values.keys() & rates.fields_of(target).keys():
        value = values[key]
        cells[key] = figure_text(value) if isinstance(value, Decimal | int) else str(value or "")
    return [cells.get(column.key, "") for column in COLUMNS]
