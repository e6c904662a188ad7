"""A PDF as a reader that speaks finds it: its tree of structure elements, and its content as it is drawn and marked."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from pypdf import PdfReader
from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    ContentStream,
    DictionaryObject,
    IndirectObject,
    NullObject,
)

PAINTS = {*("Tj", "TJ", "'", '"', "sh", "f", "F", "f*", "B", "B*", "b", "b*", "S", "s", "INLINE IMAGE")}
"""Operators that leave something on the page; `Do` is looked into."""


@dataclass(slots=True)
class Element:
    """A structure element. `marks` are its pieces of content: (page, MCID); `objects` its annotations."""

    data: DictionaryObject
    role: str
    parent: "Element | None"
    kids: list["Element"] = field(default_factory=list)
    marks: list[tuple[int, int]] = field(default_factory=list)
    objects: list[DictionaryObject] = field(default_factory=list)

    def attribute(self, owner: str, name: str) -> Any:
        found = self.data.get("/A", ArrayObject())
        for each in found if isinstance(found, list) else [found]:
            attributes = each.get_object()
            if isinstance(attributes, DictionaryObject) and attributes.get("/O") == owner and name in attributes:
                return attributes[name]
        return None


class Tagged:
    """A PDF with its tree of structure elements and its content as it is drawn."""

    def __init__(self, reader: PdfReader) -> None:
        self.reader = reader
        self.root: DictionaryObject = reader.trailer["/Root"].get_object()
        tree = self.root.get("/StructTreeRoot", DictionaryObject()).get_object()
        self.roles: dict[str, str] = {
            str(name): str(role) for name, role in tree.get("/RoleMap", DictionaryObject()).get_object().items()
        }
        self.pages = {page.indirect_reference.idnum: at for at, page in enumerate(reader.pages)}
        self.elements: list[Element] = []
        self.tops = self._read(tree.get("/K"), None, None)

    def _read(self, kids: Any, parent: Element | None, page: Any) -> list[Element]:
        found = []
        for kid in listed(kids):
            value = kid.get_object()
            if isinstance(value, int) and parent is not None:
                parent.marks.append((self._page(page), int(value)))
            elif isinstance(value, DictionaryObject):
                self._take(value, parent, value.raw_get("/Pg") if "/Pg" in value else page, found)
        return found

    def _take(self, value: DictionaryObject, parent: Element | None, page: Any, found: list[Element]) -> None:
        if value.get("/Type") == "/MCR" and parent is not None:
            parent.marks.append((self._page(page), int(value["/MCID"])))
        elif value.get("/Type") == "/OBJR" and parent is not None:
            parent.objects.append(value["/Obj"].get_object())
        elif "/S" in value:
            element = Element(value, str(value["/S"]).removeprefix("/"), parent)
            self.elements.append(element)
            element.kids = self._read(value.get("/K"), element, page)
            found.append(element)

    def _page(self, page: Any) -> int:
        return self.pages.get(page.idnum, -1) if isinstance(page, IndirectObject) else -1

    @cached_property
    def drawn(self) -> list["Drawn"]:
        return [each for at, page in enumerate(self.reader.pages) for each in _content(self.reader, at, page)]

    @cached_property
    def fonts(self) -> list[DictionaryObject]:
        return list({id(each.font): each.font for each in self.drawn if each.font is not None}.values())

    @cached_property
    def annotations(self) -> list[tuple[DictionaryObject, DictionaryObject]]:
        """Each with its page."""
        return [(page, each.get_object()) for page in self.reader.pages for each in listed(page.get("/Annots"))]


@dataclass(frozen=True, slots=True)
class Drawn:
    """One thing on a page: how it is marked (from the outermost mark inward), and the codes that it shows in a font."""

    page: int
    marks: tuple[tuple[str, int | None], ...]
    opens: bool
    """It is a mark that begins here, the last of `marks`, and nothing that is drawn."""
    font: DictionaryObject | None = None
    codes: tuple[int, ...] = ()

    @property
    def artifact(self) -> bool:
        return any(tag == "/Artifact" for tag, _mcid in self.marks)

    @property
    def mcid(self) -> int | None:
        return next((mcid for _tag, mcid in reversed(self.marks) if mcid is not None), None)


def is_true(value: Any) -> bool:
    """Of a Boolean as pypdf reads it, which is true as an object either way."""
    return isinstance(value, BooleanObject) and bool(value.value)


def listed(value: Any) -> list[Any]:
    value = value.get_object() if value is not None else None
    if value is None or isinstance(value, NullObject):
        return []
    return list(value) if isinstance(value, list) else [value]


def _content(reader: PdfReader, at: int, page: DictionaryObject) -> Iterator[Drawn]:
    contents = page.get("/Contents")
    if contents is not None:
        yield from _stream(reader, at, contents.get_object(), page["/Resources"].get_object(), ())


def _stream(reader: PdfReader, at: int, stream: Any, resources: Any, marks: tuple[Any, ...]) -> Iterator[Drawn]:
    outer, font, kept = len(marks), None, []
    for operands, operator in ContentStream(stream, reader).operations:
        name = operator.decode()
        if name == "q":
            kept.append(font)
        elif name == "Q" and kept:
            font = kept.pop()
        elif name in ("BMC", "BDC"):
            marks = (*marks, (str(operands[0]), _mcid(operands, resources)))
            yield Drawn(at, marks, opens=True)
        elif name == "EMC" and len(marks) > outer:
            marks = marks[:-1]
        elif name == "Tf":
            font = resources["/Font"].get_object()[operands[0]].get_object()
        elif name == "Do":
            drawn = resources["/XObject"].get_object()[operands[0]].get_object()
            if drawn.get("/Subtype") == "/Form":
                inner = drawn.get("/Resources", resources).get_object()
                yield from _stream(reader, at, drawn, inner, marks)
            else:
                yield Drawn(at, marks, opens=False)
        elif name in PAINTS:
            codes = _codes(operands) if name in ("Tj", "TJ", "'", '"') else ()
            yield Drawn(at, marks, opens=False, font=font if codes else None, codes=codes)


def _mcid(operands: list[Any], resources: Any) -> int | None:
    if len(operands) < 2:
        return None
    said = operands[1]
    if not isinstance(said, DictionaryObject):
        said = resources.get("/Properties", DictionaryObject()).get_object().get(said, DictionaryObject()).get_object()
    return int(said["/MCID"]) if "/MCID" in said else None


def _codes(operands: list[Any]) -> tuple[int, ...]:
    """Two bytes each: all our fonts are Identity-H."""
    shown = operands[-1] if isinstance(operands[-1], list) else [operands[-1]]
    texts = [getattr(each, "original_bytes", each) for each in shown]
    data = b"".join(each if isinstance(each, bytes) else b"" for each in texts)
    return tuple(int.from_bytes(data[place : place + 2]) for place in range(0, len(data), 2))
