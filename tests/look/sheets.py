"""Readers of stylesheets and templates for the tests of this folder, which feed each a planted fault."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CSS = ROOT / "static" / "css"
TEMPLATES = ROOT / "templates"

# CSS Color 4, section 6.1: the names that a stylesheet could hide a color behind (the ones a person would type).
NAMES = [
    "black", "white", "red", "green", "blue", "yellow", "orange", "purple", "gray",
    "grey", "silver", "maroon", "navy", "teal", "olive", "lime", "aqua", "fuchsia",
    "brown", "beige", "ivory", "gold", "pink", "tan", "crimson", "tomato", "salmon",
    "khaki", "indigo", "violet", "cyan", "magenta", "whitesmoke", "gainsboro", "darkgreen", "darkred",
    "darkblue", "lightgray", "lightgrey", "darkgray", "darkgrey", "slategray", "seashell", "linen", "wheat",
    "snow",
]  # fmt: skip
COLOR = re.compile(
    r"#[0-9a-f]{3,8}\b"
    r"|\b(?:rgba?|hsla?|hwb|lab|lch|oklab|oklch|color|color-mix)\("
    rf"|(?<![\w-])(?:{'|'.join(NAMES)})(?![\w-])",
    re.IGNORECASE,
)
INLINE = re.compile(
    r"<[^>]*?\sstyle\s*=[^>]*>|<style\b|<[^>]*?\son\w+\s*=[^>]*>|javascript:",
    re.IGNORECASE,
)


def without_comments(css: str) -> str:
    return re.sub(r"/\*.*?\*/", "", css, flags=re.DOTALL)


def tokens(css: str) -> dict[str, str]:
    """The custom properties of :root, by name without dashes."""
    root = re.search(r":root\s*\{(.*?)\}", without_comments(css), flags=re.DOTALL)
    return dict(re.findall(r"--([\w-]+):\s*([^;]+?)\s*;", root[1])) if root else {}


def stray_colors(css: str) -> list[str]:
    """Colors named outside of :root."""
    rules = re.sub(r":root\s*\{.*?\}", "", without_comments(css), flags=re.DOTALL)
    values = re.findall(r":\s*([^;{}]*)[;}]", rules)
    return [f"{found} in {value.strip()}" for value in values for found in COLOR.findall(value)]


def unknown_tokens(css: str, known: set[str]) -> set[str]:
    return set(re.findall(r"var\(--([\w-]+)", without_comments(css))) - known


def inline_code(html: str) -> list[str]:
    """What the content security policy would refuse: style attributes and elements, handlers, scripts without src."""
    html = re.sub(r"\{#.*?#\}|\{% comment.*?endcomment %\}|<!--.*?-->", "", html, flags=re.DOTALL)
    found = INLINE.findall(html)
    scripts = re.findall(r"<script\b[^>]*>", html, flags=re.IGNORECASE)
    found += [tag for tag in scripts if "src=" not in tag and 'type="application/json"' not in tag]
    found += [tag for tag in scripts if "src=" in tag and "nonce=" not in tag]
    return found


def luminance(color: str) -> float:
    """Relative luminance of #rrggbb, as WCAG 2.2 defines it (https://www.w3.org/TR/WCAG22/#dfn-relative-luminance)."""
    channels = [int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21 (https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)
