"""What a proposal says otherwise than the one before it, in plain words. Pure: two contents in, rows out."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from shop.templatetags.look import money


@dataclass(frozen=True, slots=True)
class Difference:
    """What changed, what it was and what it is; an empty side: it wasn't there, or no longer is."""

    what: str
    before: str
    now: str


def differences(before: Mapping[str, Any], now: Mapping[str, Any]) -> list[tuple[str, list[Difference]]]:
    """The differences under headings, in the order of the letter; headings without one are left out."""
    told = [
        (_("Total"), list(_total(before, now))),
        (_("Lines of the price"), list(_lines(before, now))),
        (_("Options"), list(_options(before, now))),
        (_("Rooms"), list(_rooms(before, now))),
        (_("Payment"), list(_payments(before, now))),
        (_("Texts"), list(_texts(before, now))),
    ]
    return [(name, found) for name, found in told if found]


def _total(before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[Difference]:
    was, becomes = Decimal(before["total"]["amount"]), Decimal(now["total"]["amount"])
    if was != becomes:
        change = becomes - was
        more = _("%(amount)s more") if change > 0 else _("%(amount)s less")
        yield Difference(
            more % {"amount": money(abs(change))}, str(before["total"]["shown"]), str(now["total"]["shown"])
        )
    yield from _changed(_("Holds until"), before["valid_until"]["shown"], now["valid_until"]["shown"])
    yield from _changed(_("For"), before["client"]["name"], now["client"]["name"])


def _lines(before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[Difference]:
    yield from _by_name(_amounts(before), _amounts(now))


def _amounts(content: Mapping[str, Any]) -> dict[str, str]:
    lines = {f"{line['group']}: {line['text']}": line["shown"] for line in content["lines"]}
    if tax := content.get("tax"):
        lines[_("Tax")] = f"{tax['shown']} ({tax['text']})"
    allowed = {
        _("Allowance: %(what)s") % {"what": each["text"]}: each["shown"]
        for section in content.get("sections", [])
        for each in section.get("amounts", [])
    }
    return lines | allowed | {each["text"]: each["shown"] for each in content.get("unit_prices", [])}


def _options(before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[Difference]:
    yield from _by_name(_offered(before), _offered(now))


def _offered(content: Mapping[str, Any]) -> dict[str, str]:
    """Each option by its group and name, with what is said of it."""
    told = {}
    for group in content.get("options", []):
        for option in group["options"]:
            price = _("in the price") if option["included"] else option["difference"]["shown"]
            told[f"{group['name']}: {option['name']}"] = " ".join(part for part in (price, option["text"]) if part)
    return told


def _rooms(before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[Difference]:
    was, becomes = ({room["name"]: room for room in content["rooms"]} for content in (before, now))
    for name in dict.fromkeys([*was, *becomes]):
        if name not in was:
            yield Difference(name, "", _("added"))
        elif name not in becomes:
            yield Difference(name, _("was part of it"), "")
        else:
            yield from _room(name, was[name], becomes[name])


def _room(name: str, was: Mapping[str, Any], becomes: Mapping[str, Any]) -> Iterator[Difference]:
    facts = ({f"{name}, {fact['name']}": fact["text"] for fact in room["facts"]} for room in (was, becomes))
    yield from _by_name(*facts)
    scopes = ({f"{name}, {step['name']}": step["text"] for step in room["scope"]} for room in (was, becomes))
    yield from _by_name(*scopes)
    yield from _listed(_("%(room)s, watch for") % {"room": name}, was["watch_for"], becomes["watch_for"])
    drawn, draws = ({each["name"]: each["svg"] for each in room["drawings"]} for room in (was, becomes))
    for surface in dict.fromkeys([*drawn, *draws]):
        if drawn.get(surface) != draws.get(surface):
            yield Difference(
                _("%(room)s, drawing of %(surface)s") % {"room": name, "surface": surface},
                _("drawn otherwise") if surface in drawn else "",
                _("drawn anew") if surface in draws else "",
            )


def _payments(before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[Difference]:
    was, becomes = (content.get("payments") or {} for content in (before, now))
    steps = (
        {each["due"]: f"{each['shown']} ({each['text']})" for each in plan.get("steps", [])} for plan in (was, becomes)
    )
    yield from _by_name(*steps)
    yield from _changed(_("Words"), was.get("words", ""), becomes.get("words", ""))


def _texts(before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[Difference]:
    names = {
        "greeting": _("Greeting"),
        "warranty": _("Warranty"),
        "cooling_off": _("Your right to think it over"),
        "closing": _("Closing"),
        "governs": _("What goes before it"),
    }
    for key, name in names.items():
        yield from _changed(name, before.get(key, ""), now.get(key, ""))
    yield from _listed(_("What the price rests on"), before.get("terms", []), now.get("terms", []))
    was, becomes = ({each["name"]: each["lines"] for each in content.get("sections", [])} for content in (before, now))
    for name in dict.fromkeys([*was, *becomes]):
        yield from _listed(name, was.get(name, []), becomes.get(name, []))
    cautions = ([each["text"] for each in content["cautions"]] for content in (before, now))
    yield from _listed(_("Cautions"), *cautions)


def _changed(what: str, was: str, becomes: str) -> Iterator[Difference]:
    if was != becomes:
        yield Difference(what, was, becomes)


def _by_name(was: Mapping[str, str], becomes: Mapping[str, str]) -> Iterator[Difference]:
    for name in dict.fromkeys([*was, *becomes]):
        yield from _changed(name, was.get(name, ""), becomes.get(name, ""))


def _listed(what: str, was: Sequence[str], becomes: Sequence[str]) -> Iterator[Difference]:
    """Items that went and items that came; their order alone is no difference."""
    for text in was:
        if text not in becomes:
            yield Difference(what, text, "")
    for text in becomes:
        if text not in was:
            yield Difference(what, "", text)
