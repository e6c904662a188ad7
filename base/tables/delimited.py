"""CSV, as spreadsheets and older programs write it."""

import codecs
import csv
import io
from collections.abc import Iterator

from django.utils.translation import gettext as _

from base.tables.errors import BadTable

_MARKS = ",;\t"


def rows_of_csv(content: bytes) -> Iterator[list[str]]:
    """Each row's cells, blank rows as []. Separated by comma, semicolon or tab, whichever parts the first row into the
    most cells. Raises BadTable."""
    text = _decoded(content)
    first = next((line for line in text.splitlines() if line.strip(_MARKS + " ")), "")
    mark = max(_MARKS, key=lambda mark: len(next(csv.reader([first], delimiter=mark))))
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    row = 0
    while True:
        row += 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error:
            raise BadTable(
                _("Row %(row)s: a quotation mark opens and isn't closed, or text follows the closing one. Mend it.")
                % {"row": row}
            ) from None
        yield [_unguarded(cell) for cell in cells]


def _decoded(content: bytes) -> str:
    """UTF-8; UTF-16 where its mark stands at the beginning; else as Windows in the West writes."""
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        encodings = ["utf-16"]
    else:
        encodings = ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise BadTable(_("This is no table as text. Save it from the spreadsheet as CSV UTF-8 or as XLSX, and try again."))


def _unguarded(cell: str) -> str:
    """Without the apostrophe that `writing.guarded` put before what a spreadsheet would take for a formula."""
    return cell[1:] if cell.startswith("'") and cell.lstrip("'")[:1] in ("=", "+", "-", "@") else cell
