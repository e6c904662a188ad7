"""The catalogue of phases, in the order in which each covers the one before."""

from trade.catalogue.preparation import DEMOLITION, ROUGH_IN, SUBSTRATE
from trade.catalogue.setting import GROUT, HEATED_FLOOR, LAYOUT, SETTING, SOFT_JOINTS
from trade.catalogue.wet_work import SLOPE, WATER_TEST, WATERPROOFING
from trade.checks import PhaseKind

PHASE_KINDS: tuple[PhaseKind, ...] = (
    DEMOLITION,
    ROUGH_IN,
    SUBSTRATE,
    SLOPE,
    WATERPROOFING,
    WATER_TEST,
    HEATED_FLOOR,
    LAYOUT,
    SETTING,
    GROUT,
    SOFT_JOINTS,
)
