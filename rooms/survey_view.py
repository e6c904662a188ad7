"""What a kept survey says, as its page shows it. Reads the result as it was kept, never the engine of today."""

from collections.abc import Iterator
from typing import Any

from django.utils.translation import gettext as _

from rooms.models import Survey
from trade.lengths import Unit, format_length

Json = dict[str, Any]


class SurveyView:
    """A survey's result by what a setter asks: does it hold, where not, what is to be done."""

    def __init__(self, survey: Survey, *, unit: Unit) -> None:
        self.result: Json = survey.result
        self.data: Json = survey.data
        self.unit = unit

    @property
    def verdicts(self) -> Iterator[Json]:
        """Flatness, and plumb on what stands; nothing of flatness where only a bed was asked for."""
        if self.data["lines"]:
            yield {"name": _("Flat"), **self.result}
        if "plumb" in self.result:
            yield {"name": _("Plumb"), **self.result["plumb"]}

    @property
    def gaps(self) -> list[Json]:
        """The widest gap on each line, and across, under each straightedge; the worst first."""
        found = []
        for line in self.result["lines"]:
            found += [{**gap, "where": line["id"]} for gap in line["gaps"]]
        for across in self.result.get("across", []):
            at = self._text(across["at_mm"])
            found += [{**gap, "where": _("across, at %(place)s") % {"place": at}} for gap in across["gaps"]]
        read = [gap for gap in found if gap["gap_mm"] is not None]
        read.sort(key=lambda gap: -gap["gap_mm"] / gap["limit_mm"])
        return [
            {
                **gap,
                "under": self._text(gap["length_mm"]),
                "from": self._text(gap["from_mm"]),
                "limit": self._text(gap["limit_mm"]),
            }
            for gap in read
        ]

    @property
    def schedule(self) -> list[Json]:
        """Line after line what it needs; nothing on a floor, which has its own plane."""
        return [] if "leveling" in self.result or not self.data["lines"] else self.result["plane"]["schedule"]

    @property
    def lean(self) -> str:
        """How far the plane itself is out of plumb; empty where it isn't."""
        text = str(self.result["plane"].get("out_of_plumb", {}).get("text", ""))
        return "" if text in (self._text(0.0), "") else text

    @property
    def leveling(self) -> Json:
        return self.result.get("leveling") or {}

    @property
    def to_text(self) -> str:
        """What the floor was to be brought to."""
        names = {"level": _("level"), "least-volume": _("flat, with the least compound"), "slope": _("the slope")}
        return names.get(self.leveling.get("to", ""), "")

    @property
    def ways(self) -> list[Json]:
        """Each way to slope a bed; `even` is a place of its perimeter where all of it has one height and thickness."""
        found = []
        for way in (self.result.get("bed") or {}).get("ways", []):
            texts = {(spot["height_text"], spot["thickness_text"]) for spot in way["perimeter"]}
            found.append({**way, "even": way["perimeter"][0] if len(texts) == 1 else None})
        return found

    @property
    def findings(self) -> list[Json]:
        return list(self.result.get("findings", []))

    def _text(self, mm: float) -> str:
        return format_length(mm, unit=self.unit)
