"""PDFs that read aloud, that come out the same every time, and that show nothing from elsewhere."""

import base64
import io
import time

import pypdf
import pytest
from PIL import Image

from documents.rendering import NotRendered, render_pdf

ROWS = [[n, n * n] for n in range(12)]


def pdf(language: str = "en-us", title: str = "Sample", **context) -> bytes:
    return render_pdf(kind="sample", title=title, language=language, context={"heading": "One", "rows": ROWS} | context)


def png() -> str:
    file = io.BytesIO()
    Image.new("RGB", (8, 8), "gray").save(file, "PNG")
    return "data:image/png;base64," + base64.b64encode(file.getvalue()).decode()


def test_equal_input_gives_equal_bytes():
    first = pdf(picture=png())
    time.sleep(1.1)  # a clock inside would show by now: PDF dates count in seconds
    assert pdf(picture=png()) == first


def test_another_input_gives_other_bytes():
    assert pdf() != pdf(heading="Two")


def test_the_pdf_is_tagged_with_language_and_title():
    """ISO 14289-1 (PDF/UA-1), 7.1 and 7.2: marked, structure tree, title shown, language, and its own mark in XMP.

    The clauses' numbers are from memory.
    """
    reader = pypdf.PdfReader(io.BytesIO(pdf(language="es", title="Fregadero, 3 años")))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"].value is True
    assert root["/Lang"] == "es"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"].value is True
    assert b"pdfuaid:part" in root["/Metadata"].get_data()
    assert reader.metadata.title == "Fregadero, 3 años"


def test_headings_and_tables_are_told_apart_for_a_screen_reader():
    root = pypdf.PdfReader(io.BytesIO(pdf())).trailer["/Root"]
    kinds: list[str] = []

    def walk(node) -> None:
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            for child in node:
                walk(child)
        elif isinstance(node, dict):
            if "/S" in node:
                kinds.append(str(node["/S"]))
            if "/K" in node:
                walk(node["/K"])

    walk(root["/StructTreeRoot"]["/K"])
    assert {"/H1", "/H2", "/Table", "/TR", "/TH", "/TD"} <= set(kinds)
    assert kinds.count("/TR") == len(ROWS) + 1


def test_what_a_person_typed_is_shown_as_text_not_as_markup():
    reader = pypdf.PdfReader(io.BytesIO(pdf(heading="<script>x</script> & 5/8")))
    assert "<script>x</script> & 5/8" in reader.pages[0].extract_text().replace("\n", " ")


def test_a_picture_inside_the_input_is_shown():
    reader = pypdf.PdfReader(io.BytesIO(pdf(picture=png())))
    assert len(reader.pages[0].images) == 1


@pytest.mark.parametrize(
    "address",
    [
        "http://127.0.0.1:1/x.png",
        "https://example.com/x.png",
        "ftp://example.com/x.png",
        "//example.com/x.png",
        "file:///etc/passwd",
        "file://localhost/etc/passwd",
        "../manage.py",
        "css/../../manage.py",
        "css/%2e%2e/%2e%2e/manage.py",
        "css/not-there.css",
        "data:image/svg+xml,<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' "
        "width='9' height='9'><image width='9' height='9' xlink:href='file:///etc/passwd'/></svg>",
    ],
)
def test_nothing_is_fetched_from_elsewhere_and_nothing_is_left_out_in_silence(address):
    with pytest.raises(NotRendered):
        pdf(picture=address)


def test_a_link_out_of_the_static_folder_isnt_followed(tmp_path, settings):
    static = tmp_path / "static"
    (static / "css").mkdir(parents=True)
    for name in ("document.css", "drawing.css"):
        (static / "css" / name).touch()
    (tmp_path / "secret.css").write_text("p { color: red }")
    (static / "css" / "leak.css").symlink_to(tmp_path / "secret.css")
    settings.STATICFILES_DIRS = [static]

    pdf()
    with pytest.raises(NotRendered, match="outside"):
        pdf(picture="css/leak.css")


@pytest.mark.django_db
def test_a_template_that_reads_the_database_is_at_fault():
    with pytest.raises(NotRendered, match="database"):
        render_pdf(kind="reads_database", title="x", language="en-us", context={"amount": "12.50"})
