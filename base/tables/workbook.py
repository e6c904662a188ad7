"""XLSX: the first sheet that shows, as text. No formula is worked out: what the spreadsheet kept of it counts."""

import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, time
from typing import Any
from xml.parsers import expat

from django.utils.translation import gettext as _
from openpyxl import load_workbook

from base.tables.errors import BadTable
from base.tables.figures import figure_text

# Unpacked. A sheet of 5000 rows and 12 columns takes about 5 MB and 130,000 elements.
LARGEST_UNPACKED = 20 * 2**20
MOST_ELEMENTS = 600_000
COLUMNS = 60


@dataclass
class _Seen:
    """What reading would pass over in silence."""

    merged: list[str] = field(default_factory=list)
    without_value: list[str] = field(default_factory=list)


def rows_of_xlsx(content: bytes) -> tuple[str, Iterator[list[str]]]:
    """Name of the sheet ("" where it is the only one), and each row's cells, blank rows too. Raises BadTable."""
    seen = _looked_through(content)
    try:
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
        sheets = book.worksheets
        sheet = next((each for each in sheets if each.sheet_state == "visible"), sheets[0])
        found = seen[sheet._worksheet_path]
    except Exception as error:  # whatever the library meets in a damaged or hostile file
        raise _unreadable() from error
    _refuse_gaps(found)
    # What the sheet says of its own size may be anything.
    sheet.reset_dimensions()
    return (str(sheet.title) if len(sheets) > 1 else ""), _rows(sheet)


def _rows(sheet: Any) -> Iterator[list[str]]:
    rows = sheet.iter_rows(max_col=COLUMNS)
    while True:
        try:
            cells = [_text(cell) for cell in next(rows)]
        except StopIteration:
            return
        except Exception as error:  # as above: rows are read one by one
            raise _unreadable() from error
        yield cells


def _text(cell: Any) -> str:
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, int | float):
        zeros = re.fullmatch(r"0{2,20}", str(cell.number_format)) if isinstance(value, int) and value >= 0 else None
        return str(value).zfill(len(zeros[0])) if zeros else figure_text(value)
    return value.isoformat() if isinstance(value, date | time) else str(value)


def _unreadable() -> BadTable:
    return BadTable(_("This workbook can't be read. Open it in the spreadsheet, save it as XLSX anew, and try again."))


def _refuse_gaps(seen: _Seen) -> None:
    """Cells that hold nothing though the spreadsheet shows something in them."""
    if seen.merged:
        raise BadTable(
            _("Cells %(cells)s are merged: only the first of them holds anything. Split them, and fill each.")
            % {"cells": ", ".join(seen.merged[:5])}
        )
    if seen.without_value:
        raise BadTable(
            _("Cell %(cell)s has a formula without its value. Open the file in the spreadsheet, save, and try again.")
            % {"cell": seen.without_value[0]}
        )


def _looked_through(content: bytes) -> dict[str, _Seen]:
    """What each part of the workbook has, by its path. Raises BadTable for what is no workbook or unpacks too large."""
    seen: dict[str, _Seen] = {}
    elements = 0
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = archive.infolist()
            # A part gives no more than it says here: the rest isn't unpacked.
            if sum(part.file_size for part in parts) > LARGEST_UNPACKED:
                raise _too_large()
            for part in parts:
                if part.filename.endswith((".xml", ".rels")):
                    reader = _PartReader(most=MOST_ELEMENTS - elements)
                    reader.read(archive.read(part))
                    elements += reader.elements
                    seen[part.filename] = reader.seen
    except BadTable:
        raise
    except Exception as error:  # damaged, encrypted, packed in an unknown way, no XML
        raise _unreadable() from error
    return seen


def _too_large() -> BadTable:
    return BadTable(_("Unpacked, this workbook is too large. Copy the table into a new workbook of its own."))


class _PartReader:
    """Counts the elements of one part, without keeping them, and looks for merged cells and formulas without value."""

    def __init__(self, *, most: int) -> None:
        self.seen, self.elements, self._most = _Seen(), 0, most
        self._cell, self._formula, self._value = "", False, False
        self._parser = expat.ParserCreate(namespace_separator=" ")
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        self._parser.StartDoctypeDeclHandler = self._no_doctype

    def read(self, xml: bytes) -> None:
        self._parser.Parse(xml, True)

    def _no_doctype(self, *_declared: object) -> None:
        """No spreadsheet writes one, and entities can be declared in it."""
        raise _unreadable()

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self.elements += 1
        if self.elements > self._most:
            raise _too_large()
        match name.rpartition(" ")[2]:
            case "c":
                # Of a text, the value may be empty.
                self._cell, self._formula, self._value = attributes.get("r", "?"), False, attributes.get("t") == "str"
            case "f":
                self._formula = True
            case "v" if self._formula:
                self._parser.CharacterDataHandler = self._has_value
            case "mergeCell":
                self.seen.merged.append(attributes.get("ref", "?"))

    def _has_value(self, _text: str) -> None:
        self._value, self._parser.CharacterDataHandler = True, None

    def _end(self, name: str) -> None:
        if self._formula and not self._value and name.rpartition(" ")[2] == "c":
            self.seen.without_value.append(self._cell)
            self._formula = False
