"""One file of vectors, run by the server's Python and by the phone's JavaScript.

The coverage rows follow ANSI A108.5 (three lifted tiles averaged, 95 percent in wet places and 80 elsewhere). That
1/4 in in a foot is 2.0833 percent is arithmetic alone.
"""

import json
from decimal import Decimal
from pathlib import Path

import pytest
from django.templatetags.static import static

from inspections.forms import EntryForm
from inspections.judging import outcome_of
from inspections.models import Check, Entry
from inspections.standing import places_of, still_to_answer
from trade.limits import Limit, judge_all

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "verdicts.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("row", VECTORS["readings"], ids=lambda row: f"{row['text']} {row['unit']} {row['units']}")
def test_the_server_reads_what_was_typed(row):
    form = EntryForm(check=Check(kind=row["kind"], unit=row["unit"]), units=row["units"])
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


def surfaces_of(row) -> list[dict]:
    return [{"key": f"wall-{number}", "name": "", "kind": "wall"} for number in range(row["surfaces"])]


@pytest.mark.parametrize("row", VECTORS["surfaces"], ids=lambda row: f"{row['surfaces']} {row['entries']}")
def test_the_server_has_each_surface_by_its_own_newest_entry(row):
    """Our own rule: an entry without surfaces speaks for all of them."""
    check = Check(kind="tick", surfaces=surfaces_of(row))
    entries = [Entry(outcome=said, surfaces=[f"wall-{number}" for number in named]) for said, named in row["entries"]]
    places = places_of(check, entries, None)
    assert [place.state for place in places] == row["states"]
    assert still_to_answer(places) == [f"wall-{number}" for number in row["next"]]


RUN = """async ([address, vectors, cable, walls]) => {
    const verdict = await import(address);
    const { standing, toAnswer, proves } = await import(walls);
    const check = ({ surfaces }) => ({
        required: true,
        state: "open",
        places: Array.from({ length: surfaces }, (_, n) => ({ key: `wall-${n}`, state: "open" })),
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
        readings: vectors.readings.map((row) => text(verdict.reading(row.text, row))),
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
    found = page.evaluate(RUN, [static("js/phone/verdict.js"), VECTORS, CABLE, static("js/phone/walls.js")])
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
            "proves": set(row["states"]) == {"holds"},
        }, row
