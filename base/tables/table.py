"""A table with headings: which of its columns are meant, and what stands in each row."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from django.utils.functional import Promise
from django.utils.text import get_text_list
from django.utils.translation import gettext as _

from base.tables.delimited import rows_of_csv
from base.tables.errors import BadTable
from base.tables.workbook import rows_of_xlsx

LARGEST = 2 * 2**20
ROWS = 5000
# A sheet may have blank rows between others and behind them; not without end.
_LAST_ROW = 20_000
_LONGEST_CELL = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column that a table may have, under `label` or one of `also`; capitals, spaces and marks don't matter."""

    key: str
    label: Promise | str
    also: tuple[str, ...] = ()
    required: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """A row by its number in the file, and the text under each column that the table has, by the column's key."""

    number: int
    cells: dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    lines: list[Line]
    ignored: list[str] = field(default_factory=list)
    """Headings of columns with something in them that nobody asked for; those without a heading by their place."""
    sheet: str = ""
    """Where a workbook has several, the one that was read."""


def read_table(*, name: str, content: bytes, columns: Sequence[Column]) -> Table:
    """The table of a CSV or XLSX file; `name` is the file's. Blank rows are left out, spaces made one, no formula is
    worked out. Raises BadTable: too large, unreadable, headings that are missing or there twice, a row too wide.
    """
    if len(content) > LARGEST:
        raise BadTable(_("The file is larger than 2 MB. Split it, or leave out what isn't the table."))
    if not content.strip():
        raise BadTable(_("The file is empty."))
    sheet, rows = "", rows_of_csv(content) if not content.startswith(b"PK\x03\x04") else None
    if rows is None:
        sheet, rows = rows_of_xlsx(content)
    elif name.lower().endswith((".xls", ".xlsx", ".ods", ".numbers")):
        raise BadTable(_("This kind of file isn't read. Save it as XLSX without a password, or as CSV."))
    numbered = _filled(rows)
    heading_row, headings = next(numbered, (1, []))
    places = _places(headings, row=heading_row, columns=columns)
    lines, used = [], set()
    for number, cells in numbered:
        if len(cells) > len(headings):
            raise BadTable(
                _(
                    "Row %(row)s has more cells than there are headings. A comma or semicolon inside a cell needs "
                    "quotation marks around the cell."
                )
                % {"row": number}
            )
        used |= {place for place, cell in enumerate(cells) if cell}
        found = {key: cells[place] if place < len(cells) else "" for key, place in places.items()}
        if any(found.values()):
            lines.append(Line(number, found))
    if not lines:
        raise BadTable(_("There is no row under the headings."))
    ignored = [
        headings[place] or _("column %(place)s") % {"place": place + 1} for place in sorted(used - set(places.values()))
    ]
    return Table(lines=lines, ignored=ignored, sheet=sheet)


def _filled(rows: Iterable[list[str]]) -> Iterator[tuple[int, list[str]]]:
    """The rows that aren't blank, with their numbers. Raises BadTable for too many, or a cell too long."""
    count = characters = 0
    for number, cells in enumerate(rows, start=1):
        cells = [" ".join(cell.split()) for cell in cells]
        characters += sum(map(len, cells))
        count += any(cells)
        if max(map(len, cells), default=0) > _LONGEST_CELL or characters > LARGEST:
            raise BadTable(
                _("Row %(row)s has too much text for a table like this: a cell holds %(most)s characters at most.")
                % {"row": number, "most": _LONGEST_CELL}
            )
        if count > ROWS + 1 or number > _LAST_ROW:
            raise BadTable(
                _("There are more than %(most)s rows, or blank ones without end. Split the table, or delete them.")
                % {"most": ROWS}
            )
        if any(cells):
            yield number, cells


def _places(headings: Sequence[str], *, row: int, columns: Sequence[Column]) -> dict[str, int]:
    """Where each column stands, by its key. Raises BadTable for a required one that is missing, and for doubles."""
    named = {bare(name): column for column in columns for name in (str(column.label), column.key, *column.also)}
    places: dict[str, int] = {}
    for place, heading in enumerate(headings):
        column = named.get(bare(heading))
        if column is None:
            continue
        if column.key in places:
            raise BadTable(
                _("Row %(row)s: two columns are headed “%(heading)s”. Take one out.") % {"row": row, "heading": heading}
            )
        places[column.key] = place
    if missing := [f"“{column.label}”" for column in columns if column.required and column.key not in places]:
        raise BadTable(
            _("Row %(row)s has to hold the headings, and lacks %(missing)s.")
            % {"row": row, "missing": get_text_list(missing, _("and"))}
        )
    return places


def bare(text: str) -> str:
    """Letters and figures alone, in small letters: by which headings and units are told."""
    return "".join(sign for sign in text.casefold() if sign.isalnum())
