"""Every limit that a shop may set, one after the other: the figure, what it is, whence, and how far it may go."""
# ruff: noqa: RUF009 -- most() and least() make a dataclass's field

from dataclasses import dataclass
from decimal import Decimal

from trade import sources
from trade.lengths import feet, inches
from trade.limit_figures import (
    FLATNESS,
    FLOORS,
    JOINTS,
    MOVEMENT,
    SETTING,
    SLIP,
    TILE,
    WAITS,
    WALLS,
    WATER,
    least,
    most,
)
from trade.words import gettext_noop


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopFigures:
    """The figures alone; `trade.shop_limits.ShopLimits` is what is asked."""

    flat_large_long_mm: Decimal = most(
        inches("1/8"),
        gettext_noop("Gap under a 10 ft straightedge, tile with an edge of 15 in or more"),
        sources.FLATNESS_LARGE,
        FLATNESS,
        (inches("1/32"), inches(1)),
    )
    flat_large_short_mm: Decimal = most(
        inches("1/16"),
        gettext_noop("Gap under a 2 ft straightedge, tile with an edge of 15 in or more"),
        sources.FLATNESS_LARGE,
        FLATNESS,
        (inches("1/64"), inches("1/2")),
    )
    flat_small_long_mm: Decimal = most(
        inches("1/4"),
        gettext_noop("Gap under a 10 ft straightedge, smaller tile"),
        sources.FLATNESS_SMALL,
        FLATNESS,
        (inches("1/32"), inches(1)),
    )
    flat_small_short_mm: Decimal = most(
        inches("1/16"),
        gettext_noop("Gap under a 1 ft straightedge, smaller tile"),
        sources.FLATNESS_SMALL,
        FLATNESS,
        (inches("1/64"), inches("1/2")),
    )
    smallest_joint_mm: Decimal = least(
        inches("1/16"),
        gettext_noop("Smallest joint, whatever the tile"),
        sources.JOINT_SPREAD,
        JOINTS,
        (inches("1/64"), inches("1/2")),
    )
    joint_to_spread: Decimal = least(
        3,
        gettext_noop("Joint to the difference in size between tiles, at least"),
        sources.JOINT_SPREAD,
        JOINTS,
        (1, 10),
        unit="times",
    )
    offset_joint_rectified_mm: Decimal = least(
        inches("1/8"),
        gettext_noop("Least joint of large rectified tile in an offset pattern, before its bow is added"),
        sources.JOINT_OFFSET_RECTIFIED,
        JOINTS,
        (inches("1/64"), inches("1/2")),
    )
    offset_joint_mm: Decimal = least(
        inches("3/16"),
        gettext_noop("Least joint of large tile that isn't rectified in an offset pattern, before its bow is added"),
        sources.JOINT_OFFSET_CALIBRATED,
        JOINTS,
        (inches("1/64"), inches("1/2")),
    )
    offset_percent: Decimal = most(
        "33.33",
        gettext_noop("Offset between courses of large tile, percent of the side, at most (33.33 is a third)"),
        sources.OFFSET_LIMIT,
        JOINTS,
        (1, 50),
        unit="percent",
    )
    first_course_mm: Decimal = most(
        inches("1/16"),
        gettext_noop("First course off its line, at most"),
        sources.LINES,
        JOINTS,
        (inches("1/64"), inches("1/2")),
    )
    coverage_dry_percent: Decimal = least(
        80,
        gettext_noop("Mortar coverage indoors and dry, mean of lifted tiles"),
        sources.COVERAGE_DRY,
        SETTING,
        (50, 100),
        unit="percent",
    )
    coverage_wet_percent: Decimal = least(
        95,
        gettext_noop("Mortar coverage where it is wet, and outdoors, mean of lifted tiles"),
        sources.COVERAGE_WET,
        SETTING,
        (50, 100),
        unit="percent",
    )
    coverage_stone_percent: Decimal = least(
        95,
        gettext_noop("Mortar coverage under stone, dry as well, mean of lifted tiles"),
        sources.COVERAGE_STONE,
        SETTING,
        (50, 100),
        unit="percent",
    )
    void_sq_in: Decimal = most(
        2,
        gettext_noop("Largest void on a lifted tile's back, square inches"),
        sources.COVERAGE_VOIDS,
        SETTING,
        ("0.1", 20),
        unit="coefficient",
    )
    void_edge_mm: Decimal = least(
        inches(2),
        gettext_noop("Void on a lifted tile's back to the nearest edge, at least"),
        sources.COVERAGE_VOIDS,
        SETTING,
        (inches("1/4"), inches(6)),
    )
    bed_low_mm: Decimal = least(
        inches("3/32"),
        gettext_noop("Mortar under a set tile, at least"),
        sources.BED_THICKNESS,
        SETTING,
        (inches("1/32"), inches("1/2")),
    )
    bed_high_mm: Decimal = most(
        inches("1/4"),
        gettext_noop("Mortar under a set tile, at most"),
        sources.BED_THICKNESS,
        SETTING,
        (inches("1/8"), inches(1)),
    )
    bed_large_high_mm: Decimal = most(
        inches("1/2"),
        gettext_noop("Mortar for large and heavy tile under a set tile, at most"),
        sources.BED_THICKNESS,
        SETTING,
        (inches("1/8"), inches(1)),
    )
    lippage_narrow_mm: Decimal = most(
        inches("1/32"),
        gettext_noop("Lippage where the joint is under 1/4 in, before the tile's bow is added"),
        sources.LIPPAGE,
        SETTING,
        (inches("1/64"), inches("1/4")),
    )
    lippage_wide_mm: Decimal = most(
        inches("1/16"),
        gettext_noop("Lippage where the joint is 1/4 in or wider, before the tile's bow is added"),
        sources.LIPPAGE,
        SETTING,
        (inches("1/64"), inches("1/4")),
    )
    lippage_stone_mm: Decimal = most(
        inches("1/32"),
        gettext_noop("Lippage of stone"),
        sources.LIPPAGE_STONE,
        SETTING,
        (inches("1/64"), inches("1/4")),
    )
    framing_moisture_percent: Decimal = most(
        19,
        gettext_noop("Moisture of framing lumber, at most"),
        sources.FRAMING_MOISTURE,
        SETTING,
        (5, 30),
        unit="percent",
    )
    setting_low_f: Decimal = least(
        50,
        gettext_noop("Temperature while tile is set and cures, °F, at least"),
        sources.SETTING_TEMPERATURE,
        SETTING,
        (32, 100),
        unit="coefficient",
    )
    setting_high_f: Decimal = most(
        70,
        gettext_noop("Temperature while tile is set and cures, °F, at most"),
        sources.SETTING_TEMPERATURE,
        SETTING,
        (50, 110),
        unit="coefficient",
    )
    setting_hours: Decimal = least(
        48,
        gettext_noop("Temperature kept after tile is set"),
        sources.SETTING_TEMPERATURE,
        SETTING,
        (1, 720),
        unit="hours",
    )
    shower_slope_low_percent: Decimal = least(
        2,
        gettext_noop("Slope of a shower floor, at least"),
        sources.SHOWER_SLOPE,
        WATER,
        ("0.5", 10),
        unit="slope",
    )
    shower_slope_high_percent: Decimal = most(
        # The code prints 1/4 in per ft (2.08) as 2 and 1/2 in per ft (4.17) as 4: either reading of it meets it.
        "4.17",
        gettext_noop("Slope of a shower floor, at most"),
        sources.SHOWER_SLOPE,
        WATER,
        ("0.5", 10),
        unit="slope",
    )
    curb_low_mm: Decimal = least(
        inches(2),
        gettext_noop("Curb above the drain, at least"),
        sources.CURB_HEIGHT,
        WATER,
        (inches("1/4"), inches(6)),
    )
    curb_high_mm: Decimal = most(
        inches(9),
        gettext_noop("Curb above the drain, at most"),
        sources.CURB_HEIGHT,
        WATER,
        (inches(3), inches(24)),
    )
    curb_below_pan_mm: Decimal = least(
        inches(1),
        gettext_noop("Curb below the sides and back of the pan, at least"),
        sources.CURB_HEIGHT,
        WATER,
        (inches("1/4"), inches(6)),
    )
    curb_accessible_mm: Decimal = most(
        inches("1/2"),
        gettext_noop("Threshold of an accessible shower, at most"),
        sources.CURB_ACCESSIBLE,
        WATER,
        (inches("1/8"), inches(2)),
    )
    sill_low_percent: Decimal = least(
        "2.08",
        gettext_noop("Slope of seats, sills, shelves and curb tops, at least"),
        sources.SILL_SLOPE,
        WATER,
        ("0.5", 10),
        unit="slope",
    )
    sill_high_percent: Decimal = most(
        "4.17",
        gettext_noop("Slope of seats, sills, shelves and curb tops, at most"),
        sources.SILL_SLOPE,
        WATER,
        ("0.5", 20),
        unit="slope",
    )
    steam_ceiling_percent: Decimal = least(
        "16.66",
        gettext_noop("Slope of a steam shower's ceiling, at least"),
        sources.STEAM_CEILING,
        WATER,
        (2, 50),
        unit="slope",
    )
    steam_perms: Decimal = most(
        "0.5",
        gettext_noop("Permeance of a steam shower's membrane, perms, at most"),
        sources.STEAM_MEMBRANE,
        WATER,
        ("0.01", 5),
        unit="coefficient",
    )
    exterior_slope_percent: Decimal = least(
        2,
        gettext_noop("Slope outdoors, away from the building, at least"),
        sources.EXTERIOR_SLOPE,
        WATER,
        ("0.5", 10),
        unit="slope",
    )
    liner_height_mm: Decimal = least(
        inches(3),
        gettext_noop("Liner or membrane up the wall, above the finished curb, at least"),
        sources.LINER_HEIGHT,
        WATER,
        (inches(1), inches(24)),
    )
    wall_height_mm: Decimal = least(
        inches(72),
        gettext_noop("Wet wall's finish above the room's floor, at least"),
        sources.WALL_HEIGHT,
        WATER,
        (inches(36), inches(120)),
    )
    wall_height_drain_mm: Decimal = least(
        inches(70),
        gettext_noop("Wet wall's finish above the drain, at least"),
        sources.WALL_HEIGHT,
        WATER,
        (inches(36), inches(120)),
    )
    water_depth_low_mm: Decimal = least(
        inches(2),
        gettext_noop("Water at the threshold in the water test, at least"),
        sources.WATER_TEST_DEPTH,
        WATER,
        (inches("1/2"), inches(6)),
    )
    water_depth_high_mm: Decimal = most(
        inches(4),
        gettext_noop("Water in the water test, at most"),
        sources.WATER_TEST_DEPTH,
        WATER,
        (inches("1/2"), inches(6)),
    )
    stall_area_sq_in: Decimal = least(
        1024,
        gettext_noop("Inside of a shower, square inches, at least"),
        sources.STALL_SIZE,
        WATER,
        (400, 4000),
        unit="coefficient",
    )
    stall_circle_mm: Decimal = least(
        inches(30),
        gettext_noop("Circle that the inside of a shower has room for, at least"),
        sources.STALL_SIZE,
        WATER,
        (inches(20), inches(60)),
    )
    stall_clear_mm: Decimal = least(
        inches(70),
        gettext_noop("Inside of a shower clear above the drain, at least"),
        sources.STALL_SIZE,
        WATER,
        (inches(36), inches(120)),
    )
    receptor_width_mm: Decimal = least(
        inches(30),
        gettext_noop("Width of a receptor that no least size binds, at least"),
        sources.STALL_SIZE,
        WATER,
        (inches(20), inches(60)),
        asked=False,
    )
    receptor_length_mm: Decimal = least(
        inches(60),
        gettext_noop("Length of a receptor that no least size binds, at least"),
        sources.STALL_SIZE,
        WATER,
        (inches(36), inches(120)),
        asked=False,
    )
    flange_mm: Decimal = least(
        inches(1),
        gettext_noop("Flange of a tub or receptor, at least"),
        sources.FLANGE_HEIGHT,
        WATER,
        (inches("1/4"), inches(4)),
    )
    water_test_hours: Decimal = least(
        24,
        gettext_noop("Water test"),
        sources.WATER_TEST_PRACTICE,
        WAITS,
        # Below the code's 15 minutes it is no test.
        ("0.25", 96),
        unit="hours",
    )
    membrane_hours: Decimal = least(
        24,
        gettext_noop("From membrane to water test"),
        sources.WATER_TEST_START,
        WAITS,
        (1, 720),
        unit="hours",
    )
    membrane_cold_hours: Decimal = least(
        48,
        gettext_noop("From membrane to water test, below 50 °F"),
        sources.WATER_TEST_START,
        WAITS,
        (1, 720),
        unit="hours",
    )
    mortar_hours: Decimal = least(
        24,
        gettext_noop("From mortar to grout"),
        sources.WAIT_GROUT,
        WAITS,
        (1, 720),
        unit="hours",
    )
    mortar_rapid_hours: Decimal = least(
        8,
        gettext_noop("From rapid mortar to grout"),
        sources.WAIT_GROUT_RAPID,
        WAITS,
        (1, 720),
        unit="hours",
    )
    mortar_large_hours: Decimal = least(
        72,
        gettext_noop("From mortar to grout, large tile and stone"),
        sources.WAIT_GROUT_LARGE,
        WAITS,
        (1, 720),
        unit="hours",
    )
    grout_epoxy_hours: Decimal = least(
        24,
        gettext_noop("From epoxy grout to water"),
        sources.WAIT_USE_EPOXY,
        WAITS,
        (1, 720),
        unit="hours",
    )
    leveler_hours: Decimal = least(
        24,
        gettext_noop("From leveling compound to tile"),
        sources.WAIT_LEVELER,
        WAITS,
        (1, 720),
        unit="hours",
    )
    leveler_rapid_hours: Decimal = least(
        6,
        gettext_noop("From rapid leveling compound to tile"),
        sources.WAIT_LEVELER,
        WAITS,
        (1, 720),
        unit="hours",
    )
    traffic_hours: Decimal = least(
        48,
        gettext_noop("From grout to light feet"),
        sources.WAIT_TRAFFIC,
        WAITS,
        (1, 720),
        unit="hours",
    )
    heavy_traffic_hours: Decimal = least(
        168,
        gettext_noop("From grout to heavy loads"),
        sources.WAIT_TRAFFIC,
        WAITS,
        (1, 720),
        unit="hours",
    )
    grout_hours: Decimal = least(
        72,
        gettext_noop("From grout to water"),
        sources.WAIT_USE,
        WAITS,
        (1, 720),
        unit="hours",
    )
    sealer_hours: Decimal = least(
        72,
        gettext_noop("From grout to sealer"),
        sources.WAIT_SEALER,
        WAITS,
        (1, 720),
        unit="hours",
    )
    movement_interior_mm: Decimal = most(
        feet(25),
        gettext_noop("Between soft joints indoors, at most"),
        sources.MOVEMENT_JOINTS,
        MOVEMENT,
        (feet(4), feet(40)),
    )
    movement_moist_mm: Decimal = most(
        feet(12),
        gettext_noop("Between soft joints indoors in sun or moisture, at most"),
        sources.MOVEMENT_JOINTS,
        MOVEMENT,
        (feet(4), feet(40)),
    )
    movement_slab_mm: Decimal = most(
        feet(12),
        gettext_noop("Between soft joints on a slab above ground, at most"),
        sources.MOVEMENT_JOINTS,
        MOVEMENT,
        (feet(4), feet(40)),
    )
    movement_exterior_mm: Decimal = most(
        feet(12),
        gettext_noop("Between soft joints outdoors, at most"),
        sources.MOVEMENT_JOINTS,
        MOVEMENT,
        (feet(4), feet(40)),
    )
    soft_floor_mm: Decimal = least(
        inches("1/4"),
        gettext_noop("Soft joint in a floor indoors, at least"),
        sources.MOVEMENT_WIDTH_FLOOR,
        MOVEMENT,
        (inches("1/16"), inches(1)),
    )
    soft_wall_mm: Decimal = least(
        inches("1/8"),
        gettext_noop("Soft joint in a wall or in mosaic, at least"),
        sources.MOVEMENT_WIDTH_WALL,
        MOVEMENT,
        (inches("1/32"), inches(1)),
    )
    soft_exterior_mm: Decimal = least(
        inches("3/8"),
        gettext_noop("Soft joint outdoors up to 8 ft apart, at least"),
        sources.MOVEMENT_WIDTH_EXTERIOR,
        MOVEMENT,
        (inches("1/8"), inches(2)),
    )
    soft_exterior_far_mm: Decimal = least(
        inches("1/2"),
        gettext_noop("Soft joint outdoors more than 8 ft apart, at least"),
        sources.MOVEMENT_WIDTH_EXTERIOR,
        MOVEMENT,
        (inches("1/8"), inches(2)),
    )
    sealant_depth_mm: Decimal = least(
        inches("1/8"),
        gettext_noop("Depth of sealant, at least"),
        sources.SEALANT_DEPTH,
        MOVEMENT,
        (inches("1/32"), inches("1/2")),
    )
    bend_part: Decimal = least(
        360,
        gettext_noop("Floor under tile bends by at most its span divided by"),
        sources.DEFLECTION,
        FLOORS,
        (240, 2000),
        unit="part",
    )
    bend_stone_part: Decimal = least(
        720,
        gettext_noop("Floor under stone bends by at most its span divided by"),
        sources.DEFLECTION_STONE,
        FLOORS,
        (240, 2000),
        unit="part",
    )
    bend_stone_most_mm: Decimal = most(
        inches("7/32"),
        gettext_noop("Floor under stone bends over a span of more than 14 ft, at most"),
        sources.DEFLECTION_STONE,
        FLOORS,
        (inches("1/32"), inches("1/2")),
    )
    bend_i_joist_part: Decimal = least(
        480,
        gettext_noop("Floor on I-joists under tile bends under live load by at most its span divided by"),
        sources.DEFLECTION_I_JOIST,
        FLOORS,
        (240, 2000),
        unit="part",
        asked=False,
    )
    bend_i_joist_stone_part: Decimal = least(
        720,
        gettext_noop("Floor on I-joists under stone bends under live load by at most its span divided by"),
        sources.DEFLECTION_I_JOIST,
        FLOORS,
        (240, 2000),
        unit="part",
        asked=False,
    )
    friction_indoors: Decimal = least(
        "0.42",
        gettext_noop("Friction of level floors indoors, at least"),
        sources.SLIP_WET,
        SLIP,
        ("0.1", "1.5"),
        unit="coefficient",
    )
    friction_wet_plus: Decimal = least(
        "0.50",
        gettext_noop("Friction of floors that stay wet indoors, at least"),
        sources.SLIP_DECLARED,
        SLIP,
        ("0.1", "1.5"),
        unit="coefficient",
    )
    friction_outdoors: Decimal = least(
        "0.55",
        gettext_noop("Friction of floors outdoors, at least"),
        sources.SLIP_DECLARED,
        SLIP,
        ("0.1", "1.5"),
        unit="coefficient",
    )
    friction_oil: Decimal = least(
        "0.55",
        gettext_noop("Friction of floors with oil and grease, at least"),
        sources.SLIP_DECLARED,
        SLIP,
        ("0.1", "1.5"),
        unit="coefficient",
        asked=False,
    )
    wall_plaster_kg_m2: Decimal = most(
        20,
        gettext_noop("On gypsum plaster, at most"),
        sources.WALL_WEIGHT,
        WALLS,
        (5, 200),
        unit="kg_m2",
    )
    wall_gypsum_kg_m2: Decimal = most(
        32,
        gettext_noop("On gypsum board, at most"),
        sources.WALL_WEIGHT,
        WALLS,
        (5, 200),
        unit="kg_m2",
    )
    wall_foam_kg_m2: Decimal = most(
        40,
        gettext_noop("On foam board, at most"),
        sources.WALL_WEIGHT,
        WALLS,
        (5, 200),
        unit="kg_m2",
    )
    wall_cement_kg_m2: Decimal = most(
        50,
        gettext_noop("On cement board, at most"),
        sources.WALL_WEIGHT,
        WALLS,
        (5, 200),
        unit="kg_m2",
    )
    warp_rectified_percent: Decimal = most(
        "0.40",
        gettext_noop("Bow of rectified tile, percent of edge or diagonal, at most"),
        sources.WARP_RECTIFIED,
        TILE,
        ("0.05", 2),
        unit="percent",
    )
    warp_rectified_edge_mm: Decimal = most(
        inches("0.05"),
        gettext_noop("Bow of an edge of rectified tile, at most"),
        sources.WARP_RECTIFIED,
        TILE,
        (inches("1/128"), inches("1/4")),
    )
    warp_rectified_diagonal_mm: Decimal = most(
        "1.8",
        gettext_noop("Bow of a diagonal of rectified tile, at most"),
        sources.WARP_RECTIFIED,
        TILE,
        (inches("1/128"), inches("1/4")),
        asked=False,
    )
    warp_other_percent: Decimal = most(
        "0.50",
        gettext_noop("Bow of other tile, percent of edge or diagonal, at most"),
        sources.WARP_CALIBRATED,
        TILE,
        ("0.05", 2),
        unit="percent",
    )
    warp_other_edge_mm: Decimal = most(
        2,
        gettext_noop("Bow of an edge of other tile, at most"),
        sources.WARP_CALIBRATED,
        TILE,
        (inches("1/128"), inches("1/4")),
    )
    warp_other_diagonal_mm: Decimal = most(
        "2.3",
        gettext_noop("Bow of a diagonal of other tile, at most"),
        sources.WARP_CALIBRATED,
        TILE,
        (inches("1/128"), inches("1/4")),
        asked=False,
    )
    caliber_percent: Decimal = most(
        "0.25",
        gettext_noop("Size off the average, percent of the side, at most"),
        sources.CALIBER,
        TILE,
        ("0.05", 2),
        unit="percent",
    )
    caliber_mm: Decimal = most(
        inches("0.03"),
        gettext_noop("Size off the average, at most"),
        sources.CALIBER,
        TILE,
        (inches("1/128"), inches("1/4")),
    )
    strength_floor_lbf: Decimal = least(
        250,
        gettext_noop("Breaking strength of floor tile, mean, at least"),
        sources.STRENGTH_FLOOR,
        TILE,
        (50, 2000),
        unit="lbf",
    )
    strength_wall_lbf: Decimal = least(
        125,
        gettext_noop("Breaking strength of glazed wall tile, mean, at least"),
        sources.STRENGTH_WALL,
        TILE,
        (25, 2000),
        unit="lbf",
    )
    strength_wall_each_lbf: Decimal = least(
        100,
        gettext_noop("Breaking strength of each glazed wall tile, at least"),
        sources.STRENGTH_WALL,
        TILE,
        (25, 2000),
        unit="lbf",
    )
    cable_percent: Decimal = most(
        10,
        gettext_noop("Heating cable's resistance off its tag, percent, at most"),
        sources.CABLE_TAG,
        SETTING,
        (1, 25),
        unit="percent",
    )
