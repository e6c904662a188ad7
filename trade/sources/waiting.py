"""Waits: mortar, grout, sealer, and the cold."""

from trade.sources.rule import Rule
from trade.words import gettext_noop

WAIT_GROUT = Rule(
    id="wait.mortar-to-grout",
    text=gettext_noop(
        "Cement mortar sets at least 24 hours at about 70 °F before grout, up to 72 for large tile and stone; dense "
        "tile on a membrane waits for the mortar's own cure time (common practice). The bag's figure governs."
    ),
    source="general how-to page, no standard: engineerfix.com/how-long-do-i-have-to-wait-to-grout-tile/",
    confidence="seen",
)
WAIT_USE = Rule(
    id="wait.grout-to-water",
    text=gettext_noop("Cement grout cures at least 72 hours before a shower is used. The bag's figure governs."),
    source="general how-to pages, 48 to 72 h at least, 3 to 7 days commonly: engineerfix.com, grout before showering",
    confidence="seen",
)
WAIT_SEALER = Rule(
    id="wait.grout-to-sealer",
    text=gettext_noop("Cement grout cures at least 48 to 72 hours before sealer, some up to 28 days: read its maker."),
    source="general how-to pages: engineerfix.com/how-long-after-grouting-can-you-seal",
    confidence="seen",
)
COLD_CURE = Rule(
    id="wait.cold",
    text=gettext_noop(
        "In the cold the cure takes twice as long for each 8 °C below 21 °C; a milder rule says for each 18 °F below "
        "70 °F. Below 50 °F don't set tile."
    ),
    source="8 °C on a reseller's page, 18 °F from memory; 50 °F in a tileletter column of 2017",
    confidence="memory",
)
