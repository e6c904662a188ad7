"""What the shop's texts say now, and what they said."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from estimating.models import LetterColor, TextVersion
from estimating.texts.blocks import BLOCKS, Block
from estimating.texts.fields import BadText, fill, named_by_choice

INK = "#1f272a"
"""The ink of static/css/document.css, for a shop that chose no color."""


@dataclass(frozen=True, slots=True)
class Current:
    """A block as it stands: `version` is None where the shop never changed it."""

    block: Block
    version: TextVersion | None

    @property
    def text(self) -> str:
        return str(self.block.text) if self.version is None else self.version.text

    @property
    def number(self) -> int:
        return self.version.number if self.version else 0


def current_texts() -> dict[str, Current]:
    """Every block by its key, in their order. One query."""
    newest = TextVersion.objects.select_related("by").order_by("key", "-number").distinct("key")
    by_key = {version.key: version for version in newest}
    return {key: Current(block, by_key.get(key)) for key, block in BLOCKS.items()}


def current_text(key: str) -> Current:
    """One block. Raises KeyError. One query."""
    return Current(BLOCKS[key], text_history(key).first())


def text_history(key: str) -> QuerySet[TextVersion]:
    """Every version of a block, the newest first."""
    return TextVersion.objects.filter(key=key).select_related("by").order_by("-number")


def letter_color() -> str:
    """The color in force. One query."""
    newest = LetterColor.objects.order_by("-number").first()
    return newest.color if newest else INK


def not_for_every_choice(current: Current) -> str:
    """Why a text can't stand for all that a client may choose, and what to do; "" where it can."""
    named = named_by_choice(current.text)
    if not named:
        return ""
    return _(
        "The text “%(name)s” names %(fields)s, which is another for each choice of options, and stands once for all of "
        "them. Take it out there; the greeting and the text of payment may say it."
    ) % {"name": _(str(current.block.name)), "fields": ", ".join(named)}


@dataclass(frozen=True, slots=True)
class Filled:
    """The shop's texts for one job."""

    texts: Mapping[str, Current]
    values: Mapping[str, str]
    for_every_choice: bool = False
    """They stand once for all that a client may choose."""

    def text(self, key: str) -> str:
        """A block, filled in. Raises BadText that names the block."""
        current = self.texts[key]
        if self.for_every_choice and (wrong := not_for_every_choice(current)):
            raise BadText(wrong)
        try:
            return fill(current.text, self.values).strip()
        except BadText as error:
            raise BadText(
                _("The text “%(name)s” can’t be filled in. %(why)s")
                % {"name": _(str(current.block.name)), "why": error}
            ) from error

    def lines(self, key: str) -> list[str]:
        """A block that is a list, item by item."""
        return [line.strip() for line in self.text(key).splitlines() if line.strip()]
