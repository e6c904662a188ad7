"""What a machine can say against a PDF as PDF/UA-1, after the failure conditions of the Matterhorn Protocol 1.1 (PDF
Association): each check has the number of its checkpoint.

The numbers and what they ask were compared with a public list of them, the protocol itself wasn't at hand; what the
structure types allow is ISO 32000-1, 14.8.4, from memory. Checkpoints about things that our documents never have
(forms, sound, scripts, optional content, ruby, contents, formulas) stand in NOT_LOOKED_AT.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from xml.etree import ElementTree

from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from tests.support.tagged import Element, Tagged, is_true, listed

NOT_LOOKED_AT = (
    *("09-006", "09-007", "09-008", "17-003", "20-001", "20-002", "20-003", "21-001", "25-001", "28-005", "28-010"),
    *("28-014", "28-015", "28-016", "28-017", "28-018", "30-002", "31-001", "31-002", "31-003", "31-006", "31-007"),
    *("31-008", "31-011", "31-012", "31-013", "31-014", "31-015", "31-016"),
)
"""Conditions for machines that nothing here looks at: of what isn't in our documents, or inside font files."""

GROUPS = {"Document", "Part", "Art", "Sect", "Div", "BlockQuote", "Caption", "TOC", "TOCI", "Index", "NonStruct"}
STANDARD = GROUPS | {
    *("Private", "P", "H", "H1", "H2", "H3", "H4", "H5", "H6", "L", "LI", "Lbl", "LBody", "Table", "TR", "TH", "TD"),
    *("THead", "TBody", "TFoot", "Span", "Quote", "Note", "Reference", "BibEntry", "Code", "Link", "Annot", "Ruby"),
    *("RB", "RT", "RP", "Warichu", "WT", "WP", "Figure", "Formula", "Form"),
}
# ISO 32000-1, tables 336 and 337: what may stand in a list and in a table, and where their parts may stand.
KIDS = {
    "L": {"Caption", "LI"},
    "LI": {"Lbl", "LBody"},
    "Table": {"Caption", "TR", "THead", "TBody", "TFoot"},
    "THead": {"TR"},
    "TBody": {"TR"},
    "TFoot": {"TR"},
    "TR": {"TH", "TD"},
}
PARENTS = {
    "LI": {"L"},
    "LBody": {"LI"},
    "THead": {"Table"},
    "TBody": {"Table"},
    "TFoot": {"Table"},
    "TR": {"Table", "THead", "TBody", "TFoot"},
    "TH": {"TR"},
    "TD": {"TR"},
}


@dataclass(frozen=True, slots=True)
class Fault:
    """`checkpoint`: its number in the protocol."""

    checkpoint: str
    says: str


Check = Callable[[Tagged], Iterator[Fault]]
CHECKS: list[Check] = []


def check(function: Check) -> Check:
    CHECKS.append(function)
    return function


def faults_of(reader: PdfReader) -> list[Fault]:
    """Every fault found, each once, by checkpoint."""
    tagged = Tagged(reader)
    found = dict.fromkeys(fault for each in CHECKS for fault in each(tagged))
    return sorted(found, key=lambda fault: (fault.checkpoint, fault.says))


@check
def content_is_marked(pdf: Tagged) -> Iterator[Fault]:
    in_tree = {mark for element in pdf.elements for mark in element.marks}
    for each in pdf.drawn:
        where = f"page {each.page + 1}"
        before = each.marks[:-1]
        if each.opens and each.marks[-1][0] == "/Artifact" and any(mcid is not None for _tag, mcid in before):
            yield Fault("01-003", f"{where}: an artifact stands inside tagged content")
        if each.opens and each.marks[-1][1] is not None and any(tag == "/Artifact" for tag, _mcid in before):
            yield Fault("01-004", f"{where}: tagged content stands inside an artifact")
        if not each.opens and not each.artifact and (each.page, each.mcid) not in in_tree:
            yield Fault("01-005", f"{where}: something is neither an artifact nor in the structure tree")


@check
def it_says_that_it_is_tagged(pdf: Tagged) -> Iterator[Fault]:
    marked = pdf.root.get("/MarkInfo", DictionaryObject()).get_object()
    if not is_true(marked.get("/Marked")) or not pdf.tops:  # ISO 14289-1, 7.1: the mark, and a tree
        yield Fault("01-005", "the file doesn’t say that it is tagged, or has no structure tree")
    if is_true(marked.get("/Suspects")):
        yield Fault("01-007", "Suspects is true")


@check
def roles_are_known(pdf: Tagged) -> Iterator[Fault]:
    for role in sorted({element.role for element in pdf.elements} - STANDARD):
        seen = [role]
        while (mapped := pdf.roles.get(f"/{seen[-1]}", "").removeprefix("/")) and mapped not in seen:
            seen.append(mapped)
        if mapped:
            yield Fault("02-003", f"{role} is mapped in a circle")
        elif seen[-1] not in STANDARD:
            yield Fault("02-001", f"{role} is no standard type, and mapped to none")
    for role in pdf.roles:
        if role.removeprefix("/") in STANDARD:
            yield Fault("02-004", f"{role} is a standard type, and mapped to another")


PDFUAID, DC = "{http://www.aiim.org/pdfua/ns/id/}", "{http://purl.org/dc/elements/1.1/}"
RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"


@check
def metadata_names_standard_and_title(pdf: Tagged) -> Iterator[Fault]:
    if "/Metadata" not in pdf.root:
        yield Fault("06-001", "there is no XMP metadata")
        return
    xmp = ElementTree.fromstring(pdf.root["/Metadata"].get_object().get_data())  # noqa: S314 — a file that we made ourselves
    descriptions = list(xmp.iter(f"{RDF}Description"))
    part = [each.get(f"{PDFUAID}part") or each.findtext(f"{PDFUAID}part") for each in descriptions]
    if "1" not in part:
        yield Fault("06-002", "the metadata don’t name PDF/UA-1")
    titles = [each.text for title in xmp.iter(f"{DC}title") for each in title.iter(f"{RDF}li")]
    if not any(title and title.strip() for title in titles):
        yield Fault("06-003", "the metadata have no dc:title")


@check
def the_window_shows_the_title(pdf: Tagged) -> Iterator[Fault]:
    shown = pdf.root.get("/ViewerPreferences", DictionaryObject()).get_object().get("/DisplayDocTitle")
    if shown is None:
        yield Fault("07-001", "DisplayDocTitle is missing")
    elif not is_true(shown):
        yield Fault("07-002", "DisplayDocTitle is false")


@check
def lists_and_tables_are_built_as_they_may_be(pdf: Tagged) -> Iterator[Fault]:
    for element in pdf.elements:
        above = element.parent.role if element.parent else "the root"
        number = "09-005" if element.role in ("L", "LI", "LBody", "Lbl") else "09-004"
        allowed = KIDS.get(element.role)
        for kid in element.kids if allowed else ():
            if kid.role not in allowed:
                yield Fault(number, f"{kid.role} stands in {element.role}")
        if element.role in PARENTS and above not in PARENTS[element.role]:
            yield Fault(number, f"{element.role} stands in {above}")
        if allowed and not element.kids:
            yield Fault(number, f"{element.role} is empty")
        if allowed and element.marks:
            yield Fault(number, f"{element.role} has content of its own")
        if any(kid.role == "Caption" for kid in element.kids[1:-1]) and element.role in ("L", "Table"):
            yield Fault(number, f"the caption stands in the middle of {element.role}")


@check
def every_character_is_known(pdf: Tagged) -> Iterator[Fault]:
    shown: dict[int, set[int]] = {}
    for each in pdf.drawn:
        if each.font is not None:
            shown.setdefault(id(each.font), set()).update(each.codes)
    for font in pdf.fonts:
        name, codes = str(font["/BaseFont"]), shown[id(font)]
        if 0 in codes:
            yield Fault("31-030", f"{name}: the glyph for what the font lacks is shown")
        if "/ToUnicode" not in font:
            yield Fault("31-027", f"{name} has no ToUnicode")
            continue
        known = _to_unicode(font["/ToUnicode"].get_object().get_data().decode("latin-1"))
        if lost := sorted(codes - known.keys() - {0}):
            yield Fault("10-001", f"{name}: {len(lost)} of its characters stand for no text")
        values = [value for code in known for value in known[code]]
        if 0 in values:
            yield Fault("31-028", f"{name}: a character stands for U+0000")
        if {0xFEFF, 0xFFFE} & set(values):
            yield Fault("31-029", f"{name}: a character stands for U+FEFF or U+FFFE")


def _to_unicode(cmap: str) -> dict[int, tuple[int, ...]]:
    """Each code of a CMap with the UTF-16 units that it stands for."""
    known = {}
    for block in re.findall(r"(?s)beginbfchar(.*?)endbfchar", cmap):
        for code, text in re.findall(r"<([0-9a-fA-F]+)>\s*<([0-9a-fA-F]*)>", block):
            known[int(code, 16)] = tuple(int(text[at : at + 4], 16) for at in range(0, len(text), 4))
    for block in re.findall(r"(?s)beginbfrange(.*?)endbfrange", cmap):
        for low, high, text in re.findall(r"<([0-9a-fA-F]+)>\s*<([0-9a-fA-F]+)>\s*<([0-9a-fA-F]+)>", block):
            for code in range(int(low, 16), int(high, 16) + 1):
                known[code] = (int(text, 16) + code - int(low, 16),)
    return known


@check
def the_language_is_known(pdf: Tagged) -> Iterator[Fault]:
    """One language for the whole stands for what 11-001 to 11-006 ask of its parts."""
    if not re.fullmatch(r"[a-zA-Z]{2,3}(-[a-zA-Z0-9]{2,8})*", str(pdf.root.get("/Lang", ""))):
        yield Fault("11-001", "the document names no language")
    for element in pdf.elements:
        if "/Lang" in element.data and not str(element.data["/Lang"]):
            yield Fault("11-001", f"{element.role} names an empty language")


@check
def pictures_are_told(pdf: Tagged) -> Iterator[Fault]:
    for element in pdf.elements:
        told = any(str(element.data.get(key, "")).strip() for key in ("/Alt", "/ActualText"))
        if element.role == "Figure" and not told:
            yield Fault("13-004", "a Figure has no text in its place")
        if element.role == "Formula" and not told:
            yield Fault("17-002", "a Formula has no text in its place")


@check
def headings_go_down_step_by_step(pdf: Tagged) -> Iterator[Fault]:
    levels = [int(element.role[1]) for element in pdf.elements if re.fullmatch(r"H[1-6]", element.role)]
    plain = [element for element in pdf.elements if element.role == "H"]
    if levels and levels[0] != 1:
        yield Fault("14-002", f"the first heading is H{levels[0]}")
    for above, below in pairwise(levels):
        if below > above + 1:
            yield Fault("14-003", f"H{below} follows H{above}")
    if len({id(element.parent) for element in plain}) < len(plain):
        yield Fault("14-006", "an element has more than one H")
    if levels and plain:
        yield Fault("14-007", "both H and H1 to H6 are used")


@check
def heads_of_tables_say_what_they_head(pdf: Tagged) -> Iterator[Fault]:
    for table in pdf.elements:
        if table.role != "Table":
            continue
        cells = [each for each in _below(table) if each.role in ("TH", "TD")]
        named = {str(each.data.get("/ID")) for each in cells if each.role == "TH" and "/ID" in each.data}
        linked = all(
            {str(head) for head in listed(each.attribute("/Table", "/Headers"))} <= named
            and (each.attribute("/Table", "/Headers") or not named)
            for each in cells
            if each.role == "TD"
        )
        for each in cells:
            scope = each.attribute("/Table", "/Scope")
            if each.role == "TH" and scope not in ("/Row", "/Column", "/Both") and not ("/ID" in each.data and linked):
                yield Fault("15-003", "a TH has no Scope, and its table no Headers")


def _below(element: Element) -> Iterator[Element]:
    for kid in element.kids:
        yield kid
        yield from _below(kid)


@check
def notes_have_names(pdf: Tagged) -> Iterator[Fault]:
    names = [str(element.data.get("/ID", "")) for element in pdf.elements if element.role == "Note"]
    if "" in names:
        yield Fault("19-003", "a Note has no ID")
    if len(set(names)) < len(names):
        yield Fault("19-004", "two Notes have one ID")


@check
def readers_may_read_it(pdf: Tagged) -> Iterator[Fault]:
    encrypted = pdf.reader.trailer.get("/Encrypt")
    if encrypted is not None and "/P" not in encrypted.get_object():
        yield Fault("26-001", "it is encrypted, and doesn’t say what is allowed")
    elif encrypted is not None and not int(encrypted.get_object()["/P"]) & 1 << 9:
        yield Fault("26-002", "it is encrypted so that readers that speak can’t read it")


@check
def annotations_are_told_in_their_order(pdf: Tagged) -> Iterator[Fault]:
    owners = {id(each): element for element in pdf.elements for each in element.objects}
    for page, annotation in pdf.annotations:
        owner, kind = owners.get(id(annotation)), annotation.get("/Subtype")
        if int(annotation.get("/F", 0)) & 2 or kind in ("/Popup", "/Widget"):  # hidden, or not looked at
            continue
        told = bool(annotation.get("/Contents"))
        if kind != "/Link" and (owner is None or owner.role != "Annot"):
            yield Fault("28-002", f"an annotation {kind} isn’t in an Annot")
        if not told and not (owner and owner.data.get("/Alt")):
            yield Fault("28-004", f"an annotation {kind} says nothing")
        if kind == "/Link" and (owner is None or owner.role != "Link"):
            yield Fault("28-011", "a link isn’t in a Link")
        if kind == "/Link" and not told:
            yield Fault("28-012", "a link has no Contents")
        if "/Tabs" not in page:
            yield Fault("28-008", "a page with annotations says nothing of their order")
        elif page["/Tabs"] != "/S":
            yield Fault("28-009", "a page with annotations has them in another order than its structure’s")


@check
def fonts_are_whole(pdf: Tagged) -> Iterator[Fault]:
    for font in pdf.fonts:
        name = str(font["/BaseFont"])
        for each in listed(font.get("/DescendantFonts")) or [font]:
            described = each.get_object().get("/FontDescriptor", DictionaryObject()).get_object()
            if not {"/FontFile", "/FontFile2", "/FontFile3"} & described.keys():
                yield Fault("31-009", f"{name} isn’t embedded")
            if each.get_object().get("/Subtype") == "/CIDFontType2":
                mapped = each.get_object().get("/CIDToGIDMap")
                if mapped is None:
                    yield Fault("31-005", f"{name} has no CIDToGIDMap")
                elif mapped != "/Identity" and not hasattr(mapped.get_object(), "get_data"):
                    yield Fault("31-004", f"{name} has a CIDToGIDMap that is neither Identity nor a stream")


@check
def nothing_is_drawn_from_elsewhere(pdf: Tagged) -> Iterator[Fault]:
    for number in range(1, len(pdf.reader.xref_objStm) + len(pdf.reader.xref.get(0, {})) + 1):
        found = pdf.reader.get_object(number)
        if isinstance(found, DictionaryObject) and found.get("/Subtype") == "/Form" and "/Ref" in found:
            yield Fault("30-001", "something is drawn from another file")
