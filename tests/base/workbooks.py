"""Workbooks for tests, sound and nasty."""

import io
import zipfile
from collections.abc import Iterable
from typing import Any

from openpyxl import Workbook


def workbook(*rows: Iterable[Any], merge: str = "") -> bytes:
    book = Workbook()
    for row in rows:
        book.active.append(list(row))
    if merge:
        book.active.merge_cells(merge)
    return saved(book)


def saved(book: Workbook) -> bytes:
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def with_sheet(xml: str) -> bytes:
    """A workbook whose sheet is `xml`, written by hand."""
    sheet = "xl/worksheets/sheet1.xml"
    file = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(workbook(["x"]))) as old,
        zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for part in old.infolist():
            new.writestr(part.filename, xml if part.filename == sheet else old.read(part))
    return file.getvalue()


def sheet_of(rows: str, *, before: str = "", claims: str = "A1:B2") -> str:
    space = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    return (
        f'<?xml version="1.0"?>{before}<worksheet xmlns="{space}"><dimension ref="{claims}"/>'
        f"<sheetData>{rows}</sheetData></worksheet>"
    )


def cells(*texts: str) -> str:
    return "".join(f'<c t="inlineStr"><is><t>{text}</t></is></c>' for text in texts)
