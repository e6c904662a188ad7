"""An empty measure sheet comes out of the printer as one sheet of Letter."""

from io import BytesIO

from django.urls import reverse
from pypdf import PdfReader

from rooms.shapes import SHAPES
from tests.support.browsers import let_in


def test_each_shape_takes_one_sheet(page, web_server, office, job):
    let_in(page.context, office, web_server)
    pages = {}
    for shape in SHAPES:
        page.goto(f"{web_server}{reverse('rooms:measure_sheet', args=[job.pk])}?shape={shape.key}")
        pages[shape.key] = len(PdfReader(BytesIO(page.pdf(format="Letter"))).pages)
    assert set(pages.values()) == {1}, pages
