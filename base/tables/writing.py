"""A table as CSV for a spreadsheet."""

import csv
import io
from collections.abc import Iterable, Sequence

from django.utils import formats


def csv_of(rows: Iterable[Sequence[str]]) -> bytes:
    """UTF-8 with the mark by which spreadsheets know it; separated as spreadsheets in this language expect."""
    mark = ";" if formats.get_format("DECIMAL_SEPARATOR") == "," else ","
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=mark).writerows([[guarded(cell) for cell in row] for row in rows])
    return text.getvalue().encode("utf-8-sig")


def guarded(cell: str) -> str:
    """With an apostrophe before what a spreadsheet would take for a formula; reading takes it off again."""
    return f"'{cell}" if cell.lstrip("'")[:1] in ("=", "+", "-", "@") else cell
