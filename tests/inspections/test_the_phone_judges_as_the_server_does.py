"""One file of vectors, run by the server's Python and by the phone's JavaScript.

The coverage rows follow ANSI A108.5 (three lifted tiles averaged, 95 percent in wet places and 80 elsewhere). That
1/4 in in a foot is 2.0833 percent is arithmetic alone.
"""

import json
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.http import QueryDict
from django.templatetags.static import static

from inspections.forms import EntryForm
from inspections.judging import outcome_of
from inspections.models import Check, Entry, Phase, SignOff, Waiver
from inspections.offline import for_the_phone
from inspections.queries import check_views
from inspections.standing import places_of, still_to_answer
from trade.limits import Limit, judge_all

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "verdicts.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("row", VECTORS["readings"], ids=lambda row: f"{row['text']} {row['unit']} {row['units']}")
def test_the_server_reads_what_was_typed(row):
    said = QueryDict(f"read_by={row['by']}") if "by" in row else None
    form = EntryForm(said, check=Check(kind=row["kind"], unit=row["unit"]), units=row["units"])
    try:
        read = form._read(row["text"].strip())
    except ValueError:
        read = None
    assert read == (row["value"] and Decimal(row["value"]))


@pytest.mark.parametrize("row", VECTORS["verdicts"], ids=lambda row: f"{row['limit']['compare']} {row['values']}")
def test_the_server_judges(row):
    assert judge_all(Limit.from_json(row["limit"]), [Decimal(value) for value in row["values"]]) == row["verdict"]


CABLE = {"kind": "ohms", "unit": "ohms", "limit": Limit(compare="at most", high=Decimal(10)).to_json()}


@pytest.mark.parametrize("row", VECTORS["cables"], ids=lambda row: f"{row['tag']} {row['read']}")
def test_the_server_holds_a_cable_against_its_tag(row):
    # Within 10 percent: from memory. A reading just beyond it fails, however near.
    check = Check(kind="ohms", unit="ohms", limit=CABLE["limit"])
    assert outcome_of(check, values=[Decimal(row["tag"]), Decimal(row["read"])]) == row["verdict"]


BEGAN = datetime(2026, 11, 2, 7, tzinfo=UTC)


def at(hours: int) -> datetime:
    return BEGAN + timedelta(hours=hours)


def surfaces_of(row) -> list[dict]:
    return [{"key": f"wall-{number}", "name": "", "kind": "wall"} for number in range(row["surfaces"])]


@pytest.mark.parametrize("row", VECTORS["surfaces"], ids=lambda row: f"{row['surfaces']} {row['entries']}")
def test_the_server_has_each_surface_by_its_own_newest_entry(row):
    """Our own rule: an entry without surfaces speaks for all of them; of what comes after a waiver only a failure
    counts, and what follows it."""
    check = Check(kind="tick", surfaces=surfaces_of(row))
    entries = [
        Entry(outcome=said, surfaces=[f"wall-{number}" for number in named], created_at=at(1))
        for said, named in row["entries"]
    ]
    places = places_of(check, entries, [Waiver(created_at=at(0))] if row.get("waived") else [])
    assert [place.state for place in places] == row["states"]
    assert still_to_answer(places) == [f"wall-{number}" for number in row["next"]]


ORDER = VECTORS["orders"]


def phase_of(row) -> tuple[Phase, Phase]:
    """A phase with its entries, and the phase before it; nothing of them is in the database."""
    phase, covered = Phase(name="Water test"), Phase(name="Waterproofing")
    Phase.sign_off.related.set_cached_value(covered, None)
    if row["signed"] is not None:
        SignOff(phase=covered, happened_at=at(row["signed"]))
    checks = []
    for each in ORDER["checks"]:
        known = {name: each[name] for name in ("key", "kind", "in_turn", "after", "restarts")}
        entries = [
            Entry(outcome=said, happened_at=at(hour), due_at=at(hour + each["hours"]) if said == "waiting" else None)
            for key, said, hour in row["entries"]
            if key == each["key"]
        ]
        checks.append(Check(phase=phase, text=each["key"], **known))
        checks[-1]._prefetched_objects_cache = {"entries": entries, "waivers": []}
    phase._prefetched_objects_cache = {"checks": checks}
    return phase, covered


@pytest.mark.parametrize("row", ORDER["rows"], ids=lambda row: f"{row['signed']} {row['entries']}")
def test_the_server_counts_what_came_in_its_turn(row):
    """Our own rule: what passes counts only after what comes first; what fails counts always."""
    phase, covered = phase_of(row)
    views = check_views(list(phase.checks.all()), covered)
    assert [view.check.key for view in views if view.state == "early"] == row["early"]


def cards_of(row) -> list[dict]:
    """What the cards tell the phone."""
    phase, covered = phase_of(row)
    views = check_views(list(phase.checks.all()), covered)
    limits = {each["key"]: Limit(compare="at least", low=Decimal(each["hours"])) for each in ORDER["checks"]}
    return [for_the_phone(view, "in", limits[view.check.key], covered) for view in views]


RUN = """async ([address, vectors, cable, walls, [kept, empty, began]]) => {
    const verdict = await import(address);
    const { standing, toAnswer, proves, turn } = await import(walls);
    const at = (hour) => new Date(began + hour * 3600000).toISOString();
    const early = (cards, signed) => cards
        .filter(({ check, items }) => [...standing(check, items, turn(check, cards, signed)).values()][0] === "early")
        .map(({ check }) => check.key);
    // All of it waits on the phone, the sign-off before it too; all of it is on the server; only the last one waits.
    const orders = vectors.orders.rows.map((row, n) => {
        const last = row.entries.at(-1);
        const item = ([, verdict, hour]) => ({ verdict, at: at(hour), fields: [] });
        const own = (check, entries) => entries.filter(([key]) => key === check.key).map(item);
        const signs = row.signed === null ? {} : { [empty[n][0].covers.phase]: at(row.signed) };
        return [
            early(empty[n].map((check) => ({ check, items: own(check, row.entries) })), signs),
            early(kept[n][0].map((check) => ({ check, items: [] }))),
            early(kept[n][1].map((check) => ({ check, items: own(check, [last]) }))),
        ];
    });
    const check = ({ surfaces, waived }) => ({
        required: true,
        state: waived ? "waived" : "open",
        places: Array.from({ length: surfaces }, (_, n) => ({ key: `wall-${n}`, state: waived ? "waived" : "open" })),
    });
    const items = (row) => row.entries.map(([verdict, named]) => ({
        verdict, fields: named.map((n) => ["surfaces", `wall-${n}`]),
    }));
    const text = (value) => value && `${value[0]}/${value[1]}`;
    const fraction = (written) => {
        const [whole, part = ""] = written.split(".");
        return [BigInt(whole + part), 10n ** BigInt(part.length)];
    };
    return {
        orders,
        readings: vectors.readings.map((row) => text(verdict.reading(row.text, row, row.by))),
        verdicts: vectors.verdicts.map((row) => verdict.judge(row.limit, row.values.map(fraction))),
        cables: vectors.cables.map((row) => verdict.outcome(cable, [["value_0", row.tag], ["value_1", row.read]])),
        surfaces: vectors.surfaces.map((row) => {
            const states = standing(check(row), items(row));
            const next = toAnswer(states).map((key) => Number(key.slice(5)));
            return { states: [...states.values()], next, proves: proves(check(row), items(row)) };
        }),
    };
}"""


def test_the_phone_reads_and_judges_the_same(page, web_server):
    page.goto(f"{web_server}/login/")
    rows = ORDER["rows"]
    kept = [[cards_of(row), cards_of({**row, "entries": row["entries"][:-1]})] for row in rows]
    empty = [cards_of({"signed": None, "entries": []}) for _row in rows]
    cards = [kept, empty, int(BEGAN.timestamp() * 1000)]
    found = page.evaluate(RUN, [static("js/phone/verdict.js"), VECTORS, CABLE, static("js/phone/walls.js"), cards])
    for row, orders in zip(rows, found["orders"], strict=True):
        assert orders == [row["early"]] * 3, row
    for row, read in zip(VECTORS["readings"], found["readings"], strict=True):
        top, bottom = map(Decimal, read.split("/")) if read else (None, None)
        assert (top / bottom if read else None) == (row["value"] and Decimal(row["value"])), row
    for row, verdict in zip(VECTORS["verdicts"], found["verdicts"], strict=True):
        assert verdict == row["verdict"], row
    assert found["cables"] == [row["verdict"] for row in VECTORS["cables"]]
    for row, said in zip(VECTORS["surfaces"], found["surfaces"], strict=True):
        assert said == {
            "states": row["states"],
            "next": row["next"],
            "proves": set(row["states"]) <= {"holds", "waived"},
        }, row
