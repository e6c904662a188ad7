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
WAIT_GROUT_RAPID = Rule(
    id="wait.rapid-mortar-to-grout",
    text=gettext_noop("Rapid mortar takes grout after 2 to 8 hours. The bag's figure governs."),
    source="general how-to page, no standard: engineerfix.com/how-long-do-i-have-to-wait-to-grout-tile/",
    confidence="seen",
)
WAIT_GROUT_LARGE = Rule(
    id="wait.large-tile-to-grout",
    text=gettext_noop("Under large tile and stone cement mortar sets up to 72 hours before grout."),
    source="general how-to page, no standard: engineerfix.com/how-long-do-i-have-to-wait-to-grout-tile/",
    confidence="seen",
)
WAIT_USE_EPOXY = Rule(
    id="wait.epoxy-grout-to-water",
    text=gettext_noop("Epoxy grout takes water after about 24 hours. Its maker's figure governs."),
    source="general how-to page, no standard: engineerfix.com/how-long-for-grout-to-dry-before-showering",
    confidence="seen",
)
WAIT_LEVELER = Rule(
    id="wait.leveler-to-tile",
    text=gettext_noop(
        "Leveling compound takes tile after 12 to 24 hours, a rapid one after 4 to 6, a thick layer later. The bag's "
        "figure governs."
    ),
    source="general how-to page, no standard: engineerfix.com/how-long-before-you-can-tile-on-self-leveling-compound/",
    confidence="seen",
)
WAIT_TRAFFIC = Rule(
    id="wait.grout-to-traffic",
    text=gettext_noop("Grout takes light feet after 24 to 48 hours, heavy loads after 7 days."),
    source="general how-to page, no standard: flooringclarity.com/how-long-wait-before-walking-tile",
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
SETTING_TEMPERATURE = Rule(
    id="wait.temperature-band",
    text=gettext_noop(
        "Never set tile below 50 °F: cement all but stops near freezing. Keep the room between 50 and 70 °F before the "
        "work and for 48 hours after it. The product's written instructions decide."
    ),
    source="a column of 2017, tileletter.s3-website-us-east-1.amazonaws.com/201701/inc/html/78.html",
    edition="January 2017",
    confidence="seen",
)
