"""Every rule of the trade that Gaugerod applies: what it says, where it stands, and how sure we are of it.

The ANSI and ASTM standards and the model codes are paid documents: we know them through the trade press and public
quotations, named in `source`.  The maker's written instructions and the local code govern over every figure here.
A rule is asked for as `sources.FLATNESS_LARGE`, whichever file of this folder it stands in.
"""

from trade.sources.conditions import *
from trade.sources.hazards import *
from trade.sources.materials import *
from trade.sources.movement import *
from trade.sources.practice import *
from trade.sources.product import *
from trade.sources.rule import NO_SOURCE as NO_SOURCE
from trade.sources.rule import Confidence as Confidence
from trade.sources.rule import Rule as Rule
from trade.sources.safety import *
from trade.sources.setting import *
from trade.sources.showers import *
from trade.sources.structure import *
from trade.sources.tile import *
from trade.sources.waiting import *
from trade.sources.water import *


def all_rules() -> tuple[Rule, ...]:
    """Return every rule of this folder, file by file, in the order it stands in."""
    return tuple(value for value in globals().values() if isinstance(value, Rule))
