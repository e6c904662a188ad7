"""Whether a color can be read on white paper: WCAG 2.2, relative luminance and contrast ratio."""

LEAST_CONTRAST = 4.5
"""WCAG 2.2, success criterion 1.4.3, for text of any size."""


def contrast_on_white(color: str) -> float:
    """The contrast ratio of "#rrggbb" with white, 1 to 21. Raises ValueError for anything else."""
    if len(color) != 7 or color[0] != "#":
        raise ValueError(f"a color is written like #1d5c63, not {color!r}")
    red, green, blue = (_linear(int(color[at : at + 2], 16) / 255) for at in (1, 3, 5))
    return 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05)


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
