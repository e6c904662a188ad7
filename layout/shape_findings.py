"""What to know about a field's shape and its pattern: steps straightened, tapers, a herringbone's joint."""

from __future__ import annotations

from collections.abc import Iterable

from layout.evaluate import Bench, Worth
from layout.field import steps
from layout.lattice import long_joint
from layout.result import Finding
from trade.lengths import format_length
from trade.words import gettext_noop

OURS = "Gaugerod's own rule for what it lays out"


def shape_findings(bench: Bench, worth: Worth) -> Iterable[Finding]:
    """Yield the findings on shapes and patterns."""
    units = bench.room.units
    for surface in bench.room.surfaces:
        for outer, inner, step in steps(surface):
            text = gettext_noop(
                "%(surface)s: the step of %(step)s between %(one)s and %(other)s is smaller than a joint and is set as "
                "one straight line. Fill it before setting."
            )
            names = {"one": surface.edges[outer].name, "other": surface.edges[inner].name, "surface": surface.name}
            yield Finding("note", "layout.step", OURS, text % {**names, "step": format_length(step, unit=units)})
        if surface.pattern.kind == "herringbone":
            long = max(surface.tile.width, surface.tile.height)
            short = min(surface.tile.width, surface.tile.height)
            joint = long_joint(long, short, surface.joint)
            if abs(joint - surface.joint) > 1e-6:
                text = gettext_noop(
                    "%(surface)s: two widths and more don't make the tile's length with joints of %(joint)s; the joint "
                    "along the long sides is set at %(long)s, so that the ends line up."
                )
                told = {"joint": format_length(surface.joint, unit=units), "long": f"{joint:.1f} mm"}
                yield Finding("note", "layout.herringbone-joint", OURS, text % {**told, "surface": surface.name})
        tapered = [
            part
            for *_, parts in worth.sheets[surface.id].laid.cut
            for part in parts
            if any(leg.share <= 1e-9 for leg in part.legs)
        ]
        if tapered:
            text = gettext_noop("%(surface)s: %(count)s pieces run to a point where an edge slants across the joints.")
            told = {"surface": surface.name, "count": str(len(tapered))}
            yield Finding("care", "layout.taper", OURS, text % told)
