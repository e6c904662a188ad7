"""CSV and XLSX as people have them, and as nobody should: what is read, and what the error says."""

import time
from datetime import date

import pytest
from openpyxl import Workbook

from base.tables import ROWS, BadTable, Column, csv_of, read_table
from tests.base.workbooks import cells, saved, sheet_of, with_sheet, workbook

COLUMNS = (
    Column(key="name", label="Name", required=True),
    Column(key="price", label="Price", also=("cost",)),
    Column(key="code", label="Postal code", also=("zip",)),
)
HEAD = cells("Name", "Price")


def read(content: bytes | str, name: str = "list.csv"):
    return read_table(name=name, content=content.encode() if isinstance(content, str) else content, columns=COLUMNS)


def rows(content: bytes | str, name: str = "list.csv"):
    return [(line.number, line.cells) for line in read(content, name).lines]


@pytest.mark.parametrize(
    "content",
    [
        b"Name,Price\nZahn\xc3\xa9,5\n",
        b"\xef\xbb\xbfName,Price\r\nZahn\xc3\xa9,5\r\n",
        b"Name;Price\nZahn\xe9;5\n",  # Windows-1252
        "Name\tPrice\nZahné\t5\n".encode("utf-16"),
        b'"name";"PRICE:"\n  Zahn\xc3\xa9 ;"5"',
    ],
)
def test_text_is_read_in_every_usual_encoding_and_mark(content):
    assert rows(content) == [(2, {"name": "Zahné", "price": "5"})]


def test_quoted_cells_blank_rows_and_the_numbers_of_the_file():
    table = 'Name,Price\n\n,\n"Grout, ""fast""","1,50"\nA,\n"Two\nlines",3\n'
    assert rows(table) == [
        (4, {"name": 'Grout, "fast"', "price": "1,50"}),
        (5, {"name": "A", "price": ""}),
        (6, {"name": "Two lines", "price": "3"}),
    ]


def test_headings_are_known_by_their_other_names_and_the_rest_is_told():
    table = read("ZIP,Note,name,,Empty\n02139,hi,A,x,\n")
    assert table.lines[0].cells == {"name": "A", "code": "02139"}
    assert table.ignored == ["Note", "column 4"]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "empty"),
        (b" \n", "empty"),
        ("Name,Price\n", "no row under the headings"),
        ("Price\n5\n", "lacks “Name”"),
        ("Name,Price,Cost\nA,1,2\n", "Row 1: two columns are headed “Cost”"),
        ("Name,Price\nA,1\nGrout,1,234\n", "Row 3 has more cells"),
        ('Name,Price\nA,1\n"B,2\nC,3\n', "Row 3: a quotation mark"),
        ("Name\n" + "x" * 1001, "Row 2 has too much text"),
        ("Name\n" + "x\n" * (ROWS + 1), "more than 5000 rows"),
        (b"Name\n" + b"x" * 2**21, "larger than 2 MB"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00", "no table as text"),
        (b"PK\x03\x04 and nothing else", "can't be read"),
    ],
)
def test_an_error_says_where_and_what_to_do(content, says):
    with pytest.raises(BadTable, match=says):
        read(content)


def test_an_old_workbook_is_named_as_what_it_is():
    with pytest.raises(BadTable, match="Save it as XLSX"):
        read(b"\xd0\xcf\x11\xe0", "prices.xls")


def test_a_workbook_is_read_as_text():
    book = Workbook()
    book.active.title = "Prices"
    book.active.append(["Name", "Cost", "Zip", "Seen"])
    book.active.append(["=cmd|' /C calc'!A0", 0.1 + 0.2, 2139, date(2026, 3, 1)])
    book.active["A2"].data_type = "s"  # text that looks like a formula
    book.active["C2"].number_format = "00000"
    book.active.append([None])
    book.active.append(["Board", 17])
    book.create_sheet("Other")
    table = read(saved(book), "list.xlsx")
    assert [(line.number, line.cells) for line in table.lines] == [
        (2, {"name": "=cmd|' /C calc'!A0", "price": "0.3", "code": "02139"}),
        (4, {"name": "Board", "price": "17", "code": ""}),
    ]
    assert (table.sheet, table.ignored) == ("Prices", ["Seen"])


def test_a_formula_s_kept_value_counts_and_nothing_is_worked_out():
    row = '<row r="2"><c r="A2" t="str"><f>UPPER("a")</f><v>kept</v></c><c r="B2"><f>1+1</f><v>7</v></c></row>'
    assert rows(with_sheet(sheet_of(f"<row>{HEAD}</row>{row}"))) == [(2, {"name": "kept", "price": "7"})]


def _bomb() -> str:
    return sheet_of(f"<row>{HEAD}</row><row>{'<c/>' * 700_000}</row>")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (lambda: workbook(["Name", "Price"], ["A", 5], ["B", None], merge="B2:B3"), "Cells B2:B3 are merged"),
        (lambda: workbook(["Name", "Price"], ["A", "=1+1"]), "Cell B2 has a formula without its value"),
        (lambda: with_sheet(sheet_of(f'<row>{HEAD}</row><row r="1000000000">{HEAD}</row>')), "blank ones without end"),
        (lambda: with_sheet(_bomb()), "too large"),
        (lambda: with_sheet(" " * 21 * 2**20), "too large"),
        (
            lambda: with_sheet(sheet_of(f"<row>{HEAD}</row>", before='<!DOCTYPE x [<!ENTITY a "aa">]>')),
            "can't be read",
        ),
        (lambda: with_sheet("<worksheet><row>"), "can't be read"),
        (lambda: workbook(["Name"], ["A"])[:-30], "can't be read"),
        (lambda: with_sheet(sheet_of('<row r="?"><c r="??"/></row>')), "can't be read"),
    ],
)
def test_a_nasty_workbook_is_refused_soon(content, says):
    made = content()
    begun = time.process_time()
    with pytest.raises(BadTable, match=says):
        read(made, "list.xlsx")
    assert time.process_time() - begun < 5


def test_a_size_that_the_sheet_only_claims_is_not_believed():
    sheet = sheet_of(f"<row>{HEAD}</row><row>{cells('A', '5')}</row>", claims="A1:XFD1048576")
    assert rows(with_sheet(sheet)) == [(2, {"name": "A", "price": "5"})]


@pytest.mark.parametrize("text", ["=1+1", "+1 555 0100", "-", "@sum", "'=x", "plain", "'tis", 'a "b", c;d'])
def test_what_is_written_can_be_no_formula_and_is_read_back(text):
    written = csv_of([["Name", "Price"], [text, "5"]])
    assert b"\n" + text[:1].encode() not in written or text[0] not in "=+-@"
    assert rows(written) == [(2, {"name": text, "price": "5"})]
