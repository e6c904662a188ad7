"""The tags of real proposals, judged by tests/support/pdf_ua.py; and that judge, judged by planted faults."""

import inspect
import io
import re

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    DecodedStreamObject,
    DictionaryObject,
    NameObject,
    NumberObject,
    TextStringObject,
)

from benchmarks.letters import letter
from documents.rendering import render_pdf
from tests.estimating.offered_options import printed_with_options
from tests.support.pdf_ua import CHECKS, NOT_LOOKED_AT, faults_of
from tests.support.tagged import Tagged

TITLE = "Proposal 0147-1, 14 Quarry Lane"


def proposal(paper, *, options):
    """A drawing, lists, tables, a logo; with options all of it over more pages, and boxes to tick."""
    context = letter(rooms=1, drawn=1, lines=30 if options else 2, paper=paper)
    if options:
        context["letter"] = printed_with_options(context["letter"])
    return render_pdf(kind="proposal", title=TITLE, language="en-us", context=context)


@pytest.fixture(scope="module")
def pdf():
    return proposal("letter", options=False)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_nothing_is_found_against_a_proposal_with_options(paper):
    assert faults_of(PdfReader(io.BytesIO(proposal(paper, options=True)))) == []


def test_what_is_told_of_a_room_is_a_list_of_labels_and_what_they_stand_for(pdf):
    reader = PdfReader(io.BytesIO(pdf))
    lists = [each for each in Tagged(reader).elements if each.role == "L"]
    told = [[kid.role for kid in item.kids] for each in lists for item in each.kids]
    assert told.count(["Lbl", "LBody"]) >= 3
    heads = {str(each.attribute("/Table", "/Scope")) for each in Tagged(reader).elements if each.role == "TH"}
    assert heads == {"/Column", "/Row"}


# ---------------------------------------------------------------- planted faults


def name(text):
    return NameObject(f"/{text}")


class Broken:
    """A sound PDF to put one fault into."""

    def __init__(self, data):
        self.writer = PdfWriter(clone_from=io.BytesIO(data))
        self.root = self.writer.root_object
        self.tree = self.root["/StructTreeRoot"]
        self.page = self.writer.pages[0]

    def first(self, role, below=None):
        """The first structure element of a role."""
        for kid in (below or self.tree).get("/K", []):
            each = kid.get_object()
            if isinstance(each, DictionaryObject):
                found = each if each.get("/S") == f"/{role}" else self.first(role, each)
                if found is not None:
                    return found
        return None

    def put(self, role, into, **entries):
        """A new empty element, the last in another."""
        new = DictionaryObject({name("Type"): name("StructElem"), name("S"): name(role), name("K"): ArrayObject()})
        new.update({name(key): value for key, value in entries.items()})
        into["/K"].append(self.writer._add_object(new))
        return new

    def draw(self, before=b"", after=b""):
        """Content before and after that of the first page."""
        stream = DecodedStreamObject()
        stream.set_data(before + b"\n" + self.page.get_contents().get_data() + b"\n" + after)
        self.page[name("Contents")] = self.writer._add_object(stream)

    def annotate(self, **entries):
        annotation = DictionaryObject({name("Type"): name("Annot"), name("Subtype"): name("Link")})
        annotation.update({name(key): value for key, value in entries.items()})
        self.page[name("Annots")] = ArrayObject([self.writer._add_object(annotation)])

    @property
    def font(self):
        return next(iter(self.page["/Resources"]["/Font"].values())).get_object()

    @property
    def cid_font(self):
        return self.font["/DescendantFonts"][0].get_object()

    def to_unicode(self, change):
        stream = DecodedStreamObject()
        stream.set_data(change(self.font["/ToUnicode"].get_data()))
        self.font[name("ToUnicode")] = self.writer._add_object(stream)

    def metadata(self, pattern):
        stream = DecodedStreamObject()
        stream.set_data(re.sub(pattern, b"", self.root["/Metadata"].get_data()))
        self.root[name("Metadata")] = self.writer._add_object(stream)

    def faults(self):
        written = io.BytesIO()
        self.writer.write(written)
        return {fault.checkpoint for fault in faults_of(PdfReader(written))}


LINE = b"0 0 m 9 9 l S"
MARKED = b"/Span <</MCID 0>> BDC /Artifact BMC " + LINE + b" EMC EMC"
text = TextStringObject

PLANTED = {
    "01-003": lambda it: it.draw(before=MARKED),
    "01-004": lambda it: it.draw(before=b"/Artifact BMC /Span <</MCID 0>> BDC " + LINE + b" EMC EMC"),
    "01-005": lambda it: it.draw(after=LINE),
    "01-007": lambda it: it.root["/MarkInfo"].update({name("Suspects"): BooleanObject(True)}),
    "02-001": lambda it: it.first("P").update({name("S"): name("Greeting")}),
    "02-003": lambda it: (
        it.first("P").update({name("S"): name("One")}),
        it.tree.update({name("RoleMap"): DictionaryObject({name("One"): name("Two"), name("Two"): name("One")})}),
    ),
    "02-004": lambda it: it.tree.update({name("RoleMap"): DictionaryObject({name("P"): name("Span")})}),
    "06-001": lambda it: it.root.pop("/Metadata"),
    "06-002": lambda it: it.metadata(rb'pdfuaid:part="1"'),
    "06-003": lambda it: it.metadata(rb"(?s)<dc:title>.*</dc:title>"),
    "07-001": lambda it: it.root["/ViewerPreferences"].pop("/DisplayDocTitle"),
    "07-002": lambda it: it.root["/ViewerPreferences"].update({name("DisplayDocTitle"): BooleanObject(False)}),
    "09-004": lambda it: it.put("P", it.first("TR")),
    "09-005": lambda it: it.put("Div", it.first("L")),
    "10-001": lambda it: it.to_unicode(lambda data: re.sub(rb"beginbfchar\n<.+?>\n", b"beginbfchar\n", data, count=1)),
    "11-001": lambda it: it.root.update({name("Lang"): text("")}),
    "13-004": lambda it: it.first("Figure").pop("/Alt"),
    "14-002": lambda it: it.first("H1").update({name("S"): name("H2")}),
    "14-003": lambda it: it.first("H2").update({name("S"): name("H4")}),
    "14-006": lambda it: [it.put("H", it.first("Document")) for _one in range(2)],
    "14-007": lambda it: it.put("H", it.first("Document")),
    "15-003": lambda it: (it.first("TH").pop("/A"), it.first("TH").pop("/ID", None)),
    "17-002": lambda it: it.put("Formula", it.first("Document")),
    "19-003": lambda it: it.put("Note", it.first("Document")),
    "19-004": lambda it: [it.put("Note", it.first("Document"), ID=text("1")) for _one in range(2)],
    "28-002": lambda it: it.annotate(Subtype=name("Text"), Contents=text("Look")),
    "28-004": lambda it: it.annotate(Subtype=name("Text")),
    "28-008": lambda it: (it.annotate(), it.page.pop("/Tabs")),
    "28-009": lambda it: (it.annotate(), it.page.update({name("Tabs"): name("R")})),
    "28-011": lambda it: it.annotate(Contents=text("To the page")),
    "28-012": lambda it: it.annotate(),
    "30-001": lambda it: it.writer._add_object(
        DictionaryObject({name("Subtype"): name("Form"), name("Ref"): DictionaryObject()})
    ),
    "31-004": lambda it: it.cid_font.update({name("CIDToGIDMap"): name("Other")}),
    "31-005": lambda it: it.cid_font.pop("/CIDToGIDMap"),
    "31-009": lambda it: it.cid_font["/FontDescriptor"].pop("/FontFile2"),
    "31-027": lambda it: it.font.pop("/ToUnicode"),
    "31-028": lambda it: it.to_unicode(lambda data: data.replace(b"endbfchar", b"<7ffe> <0000>\nendbfchar", 1)),
    "31-029": lambda it: it.to_unicode(lambda data: data.replace(b"endbfchar", b"<7ffe> <FEFF>\nendbfchar", 1)),
    "31-030": lambda it: it.draw(
        after=b"/Artifact BMC BT " + next(iter(it.page["/Resources"]["/Font"])).encode() + b" 9 Tf <0000> Tj ET EMC"
    ),
}


def test_a_sound_one_written_anew_is_sound(pdf):
    assert Broken(pdf).faults() == set()


@pytest.mark.parametrize("checkpoint", PLANTED)
def test_a_planted_fault_is_found_by_its_number(pdf, checkpoint):
    broken = Broken(pdf)
    PLANTED[checkpoint](broken)
    assert checkpoint in broken.faults()


def test_one_that_does_not_say_that_it_is_tagged_is_found(pdf):
    broken = Broken(pdf)
    broken.root["/MarkInfo"][name("Marked")] = BooleanObject(False)
    assert broken.faults() == {"01-005"}


@pytest.mark.parametrize(("allowed", "checkpoint"), [(None, "26-001"), (0, "26-002"), (-1, "")])
def test_one_that_readers_may_not_read_is_found(pdf, allowed, checkpoint):
    broken = Broken(pdf)
    broken.writer.write(written := io.BytesIO())
    reader = PdfReader(written)
    rights = {} if allowed is None else {name("P"): NumberObject(allowed)}
    reader.trailer[name("Encrypt")] = DictionaryObject(rights)
    assert {fault.checkpoint for fault in faults_of(reader)} == ({checkpoint} if checkpoint else set())


def test_every_number_that_the_judge_knows_has_been_planted():
    known = {each for one in CHECKS for each in re.findall(r'"(\d\d-\d{3})"', inspect.getsource(one))}
    assert known == PLANTED.keys() | {"26-001", "26-002"}
    assert not known & set(NOT_LOOKED_AT)
