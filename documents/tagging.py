"""What WeasyPrint's tags lack for PDF/UA, put right in the PDF that it is about to write.

Numbers are those of the Matterhorn Protocol's checkpoints; `tests/support/pdf_ua.py` looks at what comes of it, and
`docs/tagged-documents.md` says what is left.
"""

from collections.abc import Iterator
from typing import Any, cast

import pydyf
from weasyprint import Document


def mend_tags(document: Document, pdf: pydyf.PDF) -> None:
    """The finisher for `write_pdf`: changes the tags of `pdf` in place."""
    root = _at(pdf, pdf.catalog["StructTreeRoot"])
    reached = set()
    for reference in root["K"]:
        reached |= set(_mend(pdf, reference))
    _turn_into_artifacts(pdf, root, reached)


def _at(pdf: pydyf.PDF, reference: bytes) -> Any:
    return pdf.objects[int(reference.split()[0])]


def _kids(pdf: pydyf.PDF, element: Any) -> list[tuple[bytes, Any]]:
    """The structure elements right below, each with its reference."""
    found = [(kid, _at(pdf, kid)) for kid in element["K"] if isinstance(kid, bytes)]
    return [(kid, each) for kid, each in found if "S" in each]


def _mend(pdf: pydyf.PDF, reference: bytes) -> Iterator[bytes]:
    """Mends what stands below an element. The references of all that is reached."""
    element = _at(pdf, reference)
    if element.get("S") == "/L":
        _mend_list(pdf, reference, element)
    elif element.get("S") == "/TR":
        _say_what_heads_head(pdf, element)
    yield reference
    for kid, _each in _kids(pdf, element):
        yield from _mend(pdf, kid)


def _mend_list(pdf: pydyf.PDF, reference: bytes, element: Any) -> None:
    """09-005. A list that is laid out as a table has lists around it for the boxes of the table: they are one. What
    `<div>` holds together in `<dl>`, a term and what is said of it, is an item with its label."""
    while [each["S"] for _kid, each in _kids(pdf, element)] == ["/L"]:
        ((_inner, only),) = _kids(pdf, element)
        _adopt(pdf, reference, element, only["K"])
    for kid, each in _kids(pdf, element):
        items = [item for _at_, item in _kids(pdf, each)]
        if each["S"] == "/Div" and items and all(item["S"] == "/LI" for item in items):
            each["S"] = "/LI"
            for item in items[:1] if len(items) > 1 else []:
                for _place, body in _kids(pdf, item):
                    body["S"] = "/Lbl"
            _adopt(pdf, kid, each, [part for item in items for part in item["K"]])


def _say_what_heads_head(pdf: pydyf.PDF, row: Any) -> None:
    """15-003. A head stands over its column in a row of heads, else before its row."""
    cells = [cell for _kid, cell in _kids(pdf, row)]
    over = _at(pdf, row["P"])["S"] == "/THead" or all(cell["S"] == "/TH" for cell in cells)
    for cell in cells:
        if cell["S"] == "/TH":
            cell["A"]["Scope"] = "/Column" if over else "/Row"


def _adopt(pdf: pydyf.PDF, reference: bytes, element: Any, kids: list[Any]) -> None:
    element["K"] = pydyf.Array(kids)
    for _kid, each in _kids(pdf, element):
        each["P"] = reference


def _turn_into_artifacts(pdf: pydyf.PDF, root: Any, reached: set[bytes]) -> None:
    """01-005. What stands in the margin of every page, and so in no element that is reached, is an artifact."""
    numbers = _at(pdf, root["ParentTree"])["Nums"]
    by_page = dict(zip(numbers[::2], numbers[1::2], strict=True))
    for page, reference in enumerate(pdf.page_references):
        owners = by_page[page]
        lost = {mcid for mcid, owner in enumerate(owners) if owner not in reached}
        for mcid in lost:
            owners[mcid] = "null"
        stream = cast(list[Any], _at(pdf, _at(pdf, reference)["Contents"]).stream)
        for place, each in enumerate(stream):
            if isinstance(each, pydyf.Dictionary) and each.get("MCID") in lost and stream[place + 1] == b"BDC":
                stream[place - 1 : place + 1] = ["/Artifact", pydyf.Dictionary({"Type": "/Pagination"})]
