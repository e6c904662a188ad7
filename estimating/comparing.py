"""What a proposal says otherwise than the one before it, in plain words. Pure: two contents in, rows out."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from estimating.options import picked_names
from shop.templatetags.look import money

Content = Mapping[str, Any]
Named = Iterable[tuple[str, str]]
"""What stands there, by its name; several may have one name."""


@dataclass(frozen=True, slots=True)
class Difference:
    """What changed, what it was and what it is; an empty side: it wasn't there, or no longer is."""

    what: str
    before: str
    now: str


def differences(before: Content, now: Content) -> list[tuple[str, list[Difference]]]:
    """The differences under headings, in the order of the letter; headings without one are left out."""
    told = [
        (_("Letter"), _letter(before, now)),
        (_("Total"), _total(before, now)),
        (_("Lines of the price"), _lines(before, now)),
        (_("Options"), _options(before, now)),
        (_("What each choice comes to"), _choices(before, now)),
        (_("Rooms"), _rooms(before, now)),
        (_("Payment"), _payments(before, now)),
        (_("Texts"), _texts(before, now)),
    ]
    # What is told twice, of a room in the price that is an option too, is told once.
    found = [(name, list(dict.fromkeys(rows))) for name, rows in told]
    return [(name, rows) for name, rows in found if rows]


def _letter(before: Content, now: Content) -> Iterator[Difference]:
    """Who writes to whom about what, and on what."""
    shop, client = _("The shop’s %(what)s"), _("The client’s %(what)s")
    names = {
        ("number",): _("Number"),
        ("made_on", "shown"): _("Dated"),
        ("shop", "name"): shop % {"what": _("name")},
        ("shop", "address"): shop % {"what": _("address")},
        ("shop", "phone"): shop % {"what": _("phone")},
        ("shop", "email"): shop % {"what": _("email")},
        ("shop", "license_line"): _("License or registration"),
        ("client", "name"): client % {"what": _("name")},
        ("client", "contact"): client % {"what": _("contact")},
        ("job", "title"): _("What the job is called"),
        ("language",): _("Language"),
        ("currency",): _("Currency"),
        ("paper",): _("Paper"),
    }
    for path, name in names.items():
        yield from _changed(name, _at(before, path), _at(now, path))
    yield from _changed(_("Site"), *(", ".join(each.get("site", {}).get("lines", [])) for each in (before, now)))


def _at(content: Content, path: Sequence[str]) -> str:
    value: Any = content
    for key in path:
        value = value.get(key, {}) if isinstance(value, Mapping) else {}
    return str(value) if value else ""


def _total(before: Content, now: Content) -> Iterator[Difference]:
    was, becomes = Decimal(before["total"]["amount"]), Decimal(now["total"]["amount"])
    if was != becomes:
        change = becomes - was
        more = _("%(amount)s more") if change > 0 else _("%(amount)s less")
        yield Difference(
            more % {"amount": money(abs(change))}, str(before["total"]["shown"]), str(now["total"]["shown"])
        )
    else:
        yield from _changed(_("As it is written"), before["total"]["shown"], now["total"]["shown"])
    yield from _changed(_("Holds until"), before["valid_until"]["shown"], now["valid_until"]["shown"])
    yield from _by_name(
        *(
            [(each["name"], f"{each['text']} ({each['how']})") for each in content.get("measures", [])]
            for content in (before, now)
        )
    )


def _lines(before: Content, now: Content) -> Iterator[Difference]:
    yield from _by_name(_amounts(before), _amounts(now))


def _amounts(content: Content) -> Iterator[tuple[str, str]]:
    yield from ((f"{line['group']}: {line['text']}", line["shown"]) for line in content["lines"])
    if tax := content.get("tax"):
        yield _("Tax"), f"{tax['shown']} ({tax['text']})"
    for section in content.get("sections", []):
        for each in section.get("amounts", []):
            yield _("Allowance: %(what)s") % {"what": each["text"]}, each["shown"]
    yield from ((each["text"], each["shown"]) for each in content.get("unit_prices", []))


def _options(before: Content, now: Content) -> Iterator[Difference]:
    yield from _by_name(_offered(before), _offered(now))


def _offered(content: Content) -> Iterator[tuple[str, str]]:
    """Each group with how to pick of it; each option by its group and name, with what is said of it."""
    for group in content.get("options", []):
        yield group["name"], _("pick one") if group["kind"] == "one" else _("take any, or none")
        for option in group["options"]:
            price = _("in the price") if option["included"] else option["difference"]["shown"]
            said = " ".join(part for part in (price, option["text"]) if part)
            yield f"{group['name']}: {option['name']}", said
    if content.get("options"):
        yield _("In the price until something else is picked"), _named(content, content.get("chosen", ""))


def _named(content: Content, choice: str) -> str:
    return "; ".join(picked_names(content, choice)) or _("None of the options")


def _choices(before: Content, now: Content) -> Iterator[Difference]:
    """Of every choice that both offer its total; and under which headings it says something else, besides."""
    was, becomes = (content.get("choices", {}) for content in (before, now))
    for choice in was:
        if choice not in becomes or was[choice] == becomes[choice]:
            continue
        keys = [key for key in dict.fromkeys([*was[choice], *becomes[choice]]) if key != "total"]
        other = [_heading(key) for key in keys if was[choice].get(key) != becomes[choice].get(key)]
        totals = [content["choices"][choice].get("total", content["total"])["shown"] for content in (before, now)]
        if other:
            totals[1] = _("%(total)s; otherwise in: %(what)s") % {
                "total": totals[1],
                "what": ", ".join(dict.fromkeys(other)),
            }
        yield Difference(_named(now, choice), *totals)


def _heading(key: str) -> str:
    headings = {
        "lines": _("lines of the price"),
        "tax": _("lines of the price"),
        "unit_prices": _("lines of the price"),
        "payments": _("payment"),
        "rooms": _("rooms"),
        "measures": _("total"),
    }
    return headings.get(key, _("texts"))


def _rooms(before: Content, now: Content) -> Iterator[Difference]:
    yield from _each_room(before["rooms"], now["rooms"])
    yield from _each_room(*(list(content.get("option_rooms", {}).values()) for content in (before, now)))


def _each_room(was: Sequence[Content], becomes: Sequence[Content]) -> Iterator[Difference]:
    """By their keys, where all have one; else by their names."""
    by = "key" if all("key" in room for room in (*was, *becomes)) else "name"
    then, after = ({(room[by], at): room for room, at in _numbered(rooms, by)} for rooms in (was, becomes))
    for key in dict.fromkeys([*then, *after]):
        if key not in then:
            yield Difference(after[key]["name"], "", _("added"))
        elif key not in after:
            yield Difference(then[key]["name"], _("was part of it"), "")
        else:
            yield from _room(then[key], after[key])


def _room(was: Content, becomes: Content) -> Iterator[Difference]:
    name = becomes["name"]
    yield from _changed(_("Name of a room"), was["name"], name)
    yield from _changed(_("%(room)s, kind of room") % {"room": name}, was.get("place", ""), becomes.get("place", ""))
    yield from _by_name(
        *([(f"{name}, {fact['name']}", fact["text"]) for fact in room["facts"]] for room in (was, becomes))
    )
    yield from _by_name(
        *([(f"{name}, {step['name']}", step["text"]) for step in room["scope"]] for room in (was, becomes))
    )
    yield from _listed(_("%(room)s, watch for") % {"room": name}, was["watch_for"], becomes["watch_for"])
    drawn, draws = (
        {(each["name"], at): each for each, at in _numbered(room["drawings"], "name")} for room in (was, becomes)
    )
    for surface in dict.fromkeys([*drawn, *draws]):
        if drawn.get(surface) != draws.get(surface):
            yield Difference(
                _("%(room)s, drawing of %(surface)s") % {"room": name, "surface": surface[0]},
                _("drawn otherwise") if surface in drawn else "",
                _("drawn anew") if surface in draws else "",
            )


def _payments(before: Content, now: Content) -> Iterator[Difference]:
    was, becomes = (content.get("payments") or {} for content in (before, now))
    yield from _by_name(
        *(
            [(each["due"], f"{each['shown']} ({each['text']})") for each in plan.get("steps", [])]
            for plan in (was, becomes)
        )
    )
    yield from _changed(_("Material on special order"), *(_ordered(plan) for plan in (was, becomes)))
    yield from _changed(_("Words"), was.get("words", ""), becomes.get("words", ""))
    yield from _changed(_("What goes before it"), was.get("law", ""), becomes.get("law", ""))


def _ordered(plan: Content) -> str:
    ordered = plan.get("special_order")
    return f"{ordered['text']}, {ordered['shown']}" if ordered else ""


def _texts(before: Content, now: Content) -> Iterator[Difference]:
    names = {
        "greeting": _("Greeting"),
        "warranty": _("Warranty"),
        "cooling_off": _("Your right to think it over"),
        "closing": _("Closing"),
        "governs": _("What goes before it"),
    }
    for key, name in names.items():
        yield from _changed(name, before.get(key, ""), now.get(key, ""))
    yield from _changed(_("Business days to cancel"), *(str(each.get("cancel_days") or "") for each in (before, now)))
    was, becomes = (content.get("notice") or {} for content in (before, now))
    yield from _by_name(
        *(
            [(_("Notice, %(what)s") % {"what": fact["name"]}, fact["text"]) for fact in notice.get("facts", [])]
            for notice in (was, becomes)
        )
    )
    yield from _listed(_("Notice"), was.get("lines", []), becomes.get("lines", []))
    yield from _listed(_("What the price rests on"), before.get("terms", []), now.get("terms", []))
    sections = ({each["name"]: each["lines"] for each in content.get("sections", [])} for content in (before, now))
    said, says = sections
    for name in dict.fromkeys([*said, *says]):
        yield from _listed(name, said.get(name, []), says.get(name, []))
    cautions = ([f"{each['text']} ({each['source']})" for each in content["cautions"]] for content in (before, now))
    yield from _listed(_("Cautions"), *cautions)


def _changed(what: str, was: str, becomes: str) -> Iterator[Difference]:
    if was != becomes:
        yield Difference(what, was, becomes)


def _by_name(was: Named, becomes: Named) -> Iterator[Difference]:
    """Of several with one name the first is held against the first, the second against the second."""
    then, after = _placed(was), _placed(becomes)
    for key in dict.fromkeys([*then, *after]):
        yield from _changed(key[0], then.get(key, ""), after.get(key, ""))


def _placed(named: Named) -> dict[tuple[str, int], str]:
    seen: Counter[str] = Counter()
    placed = {}
    for name, text in named:
        placed[name, seen[name]] = text
        seen[name] += 1
    return placed


def _numbered(rows: Sequence[Content], by: str) -> Iterator[tuple[Content, int]]:
    """Each row, with how many before it are alike by that."""
    seen: Counter[str] = Counter()
    for row in rows:
        yield row, seen[row[by]]
        seen[row[by]] += 1


def _listed(what: str, was: Sequence[str], becomes: Sequence[str]) -> Iterator[Difference]:
    """Items that went and items that came; their order alone is no difference."""
    gone, new = Counter(was) - Counter(becomes), Counter(becomes) - Counter(was)
    yield from (Difference(what, text, "") for text in was if text in gone)
    yield from (Difference(what, "", text) for text in becomes if text in new)
