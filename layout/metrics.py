"""How wide text is: the advance widths of the face that drawings are set in.

Measured with fontTools from latin-400-normal.woff2 and latin-ext-400-normal.woff2 in
static/vendor/atkinson-hyperlegible-next (`hmtx`; of a digit the wider of its two forms), rounded up to 1/40 em. A test
in a browser holds them against what it draws.
"""

from __future__ import annotations

import unicodedata

_WIDTHS = {
    175: "'",
    225: ",.:;",
    250: "`j|¦´·ȷ‘’‚",
    275: "il¸¹ìíîïīįıĺļ",
    300: " !()¡ł˚",
    325: '"[fľƒ',
    350: "]rt{}ŕřţťț",
    375: "-_¨ª¯°ˉ‹›",
    400: "/I\\²³ºÌÍÎÏĪĮİ˝“”„",
    425: "ˆˇ˜",
    450: "y¿ýÿŷỳ•ℓ",
    475: "svzśşšźżžș",
    500: "*?ckx¢çćċčĳķ",
    525: "Ja¶àáâãäåāăą–",
    550: "Lehnou§×èéêëñòóôõöøùúûüēėęěħĹĻĽńņňőūůűų†",
    575: "<>EFTY^bdgpq~¥«»ÈÉÊËÝðþđĒĖĘĚğġģŁŢŤŶŸȚỲ₹",
    600: "$PSV¤±ÞßŚŞŠȘ⁄∕",
    625: "+BRXZ£¬÷ŔŘŹŻŽ−",
    650: "0123456789=ACKÀÁÂÃÄÅÇĀĂĄĆĊČďĶ",
    675: "#DĎẞ…€",
    700: "GHNUwÐÑÙÚÛÜĐĞĠĢĦŃŅŇŪŮŰŲŵẁẃẅ",
    725: "OQÒÓÔÕÖØŐ",
    750: "&",
    800: "@©®",
    825: "M¼½—",
    850: "m",
    875: "W¾æŴẀẂẄ™",
    900: "Æ",
    925: "%Ĳœ",
    1025: "Œ",
}
"""Characters by their width in 1/1000 em."""

ADVANCES = {character: width for width, characters in _WIDTHS.items() for character in characters}

ASCENT, DESCENT = 0.8, 0.25
"""Of the size: how far ink reaches above and below the baseline. The face's own: 0.71 and 0.19; a capital with an
accent 0.86."""


def advance(text: str) -> float:
    """Return how wide a text is, in ems. Where the face lacks a character, another draws it: see `known`."""
    return sum(ADVANCES[each] if each in ADVANCES else _stranger(each) for each in text) / 1000


def known(text: str) -> bool:
    """Whether the face has every character of a text, so that its width is sure."""
    return all(each in ADVANCES for each in text)


def _stranger(character: str) -> int:
    """A width for a character of whatever face the reader's machine has; the drawing then holds the text to it."""
    if unicodedata.combining(character):
        return 0
    return 1300 if unicodedata.category(character) == "So" else 1000
