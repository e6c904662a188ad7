"""Files that stylesheets and templates name exist; nothing is fetched from anybody else."""

import io
import re

import pytest
from fontTools.ttLib import TTFont

from tests.look.sheets import CSS, ROOT, TEMPLATES

VENDOR = ROOT / "static" / "vendor"


def _named(css_name: str) -> list[str]:
    return re.findall(r'url\("([^"]+)"\)', (CSS / css_name).read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", ["gaugerod.css", "document.css"])
def test_every_file_that_a_stylesheet_names_is_a_font_that_opens(name: str) -> None:
    files = _named(name)
    assert len(files) >= 8
    for file in files:
        with TTFont(io.BytesIO((CSS / file).read_bytes())) as font:
            assert font["name"].getDebugName(1).startswith("Atkinson Hyperlegible Next")


def test_the_face_has_the_letters_and_signs_that_we_print() -> None:
    with TTFont(VENDOR / "atkinson-hyperlegible-next" / "latin-400-normal.woff2") as font:
        latin = set(font.getBestCmap())
    with TTFont(VENDOR / "atkinson-hyperlegible-next" / "latin-ext-400-normal.woff2") as font:
        extended = set(font.getBestCmap())
    assert {ord(sign) for sign in "0123456789/\"'’“”−–·…×°¿ñéüß€£¥$"} <= latin
    assert {ord(letter) for letter in "ŐőŁłŽžĄąČčŞşİ"} <= extended


def test_every_vendored_file_stands_in_the_list_with_its_license() -> None:
    listed = (VENDOR / "README.md").read_text(encoding="utf-8")
    for folder in (path for path in VENDOR.iterdir() if path.is_dir()):
        assert f"`{folder.name}/" in listed
    assert "5.3.0" in listed
    license_text = (VENDOR / "atkinson-hyperlegible-next" / "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in license_text


def test_every_static_file_that_a_template_names_exists() -> None:
    names = {
        name
        for page in TEMPLATES.rglob("*.html")
        for name in re.findall(r"\{% static ['\"]([^'\"]+)['\"] %\}", page.read_text(encoding="utf-8"))
    }
    assert "css/gaugerod.css" in names
    assert [name for name in sorted(names) if not (ROOT / "static" / name).is_file()] == []


def test_no_page_style_or_script_fetches_from_another_host() -> None:
    files = [
        *TEMPLATES.rglob("*.html"),
        *CSS.glob("*.css"),
        *(ROOT / "static" / "js").rglob("*.js"),
    ]
    away = re.compile(r"""(?:src|href|url\(|import|from)\s*=?\s*["'(]*\s*(?:https?:)?//(?!www\.w3\.org)""")
    assert [str(file) for file in files if away.search(file.read_text(encoding="utf-8"))] == []
    assert away.search('<link href="https://example.com/a.css">')
