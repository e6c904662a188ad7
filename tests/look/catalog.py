"""The Spanish catalog and the texts in the sources, read without the programs of gettext."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from gettext import GNUTranslations
from pathlib import Path

from django.utils.translation.template import templatize

ROOT = Path(__file__).resolve().parents[2]
PO = ROOT / "locale/es/LC_MESSAGES/django.po"
MO = PO.with_suffix(".mo")

# Of each function: which arguments are context, text and plural.
FUNCTIONS = {
    "_": (None, 0, None),
    "gettext": (None, 0, None),
    "gettext_lazy": (None, 0, None),
    "gettext_noop": (None, 0, None),
    "ngettext": (None, 0, 1),
    "ngettext_lazy": (None, 0, 1),
    "pgettext": (0, 1, None),
    "pgettext_lazy": (0, 1, None),
    "npgettext": (0, 1, 2),
}
LITERAL = r"""u?('(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*")"""
CALL = re.compile(rf"\b({'|'.join(FUNCTIONS)})\(\s*{LITERAL}(?:\s*,\s*{LITERAL})?(?:\s*,\s*{LITERAL})?", re.DOTALL)


@dataclass(frozen=True)
class Message:
    """One text; `forms`: its translations, empty ones where it has none."""

    text: str
    plural: str | None = None
    context: str | None = None
    forms: tuple[str, ...] = ()

    @property
    def keys(self) -> tuple[str | tuple[str, int], ...]:
        """Under which keys a .mo keeps it."""
        key = f"{self.context}\x04{self.text}" if self.context else self.text
        return (key,) if self.plural is None else ((key, 0), (key, 1))


def texts_in(path: Path) -> Iterator[Message]:
    """Every text that a source file or template marks for translation."""
    source = path.read_text(encoding="utf-8")
    calls = _calls_in_template(source) if path.suffix == ".html" else _calls_in_python(source)
    for name, arguments in calls:
        context, text, plural = FUNCTIONS[name]
        yield Message(
            arguments[text],
            None if plural is None else arguments[plural],
            None if context is None else arguments[context],
        )


def _calls_in_template(source: str) -> Iterator[tuple[str, list[str]]]:
    for found in CALL.finditer(templatize(source)):
        yield found[1], [ast.literal_eval(each) for each in found.groups()[1:] if each]


def _calls_in_python(source: str) -> Iterator[tuple[str, list[str]]]:
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in FUNCTIONS:
            texts = [each.value for each in node.args if isinstance(each, ast.Constant) and isinstance(each.value, str)]
            if texts:
                yield node.func.id, texts


def compiled() -> dict[str | tuple[str, int], str]:
    """What the .mo says, by key; the header left out."""
    with MO.open("rb") as file:
        catalog: dict[str | tuple[str, int], str] = GNUTranslations(file)._catalog
    return {key: text for key, text in catalog.items() if key}


def written() -> list[Message]:
    """The messages of the .po, the header left out."""
    return [each for block in PO.read_text(encoding="utf-8").split("\n\n") if (each := _message(block)).text]


def _message(block: str) -> Message:
    parts: dict[str, str] = {}
    name = ""
    for line in block.splitlines():
        if line.startswith("#"):
            continue
        keyword, _space, literal = line.partition(" ") if not line.startswith('"') else (name, "", line)
        name = keyword
        parts[name] = parts.get(name, "") + ast.literal_eval(literal)
    forms = tuple(text for name, text in parts.items() if name.startswith("msgstr"))
    return Message(parts.get("msgid", ""), parts.get("msgid_plural"), parts.get("msgctxt"), forms)
