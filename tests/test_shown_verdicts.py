"""Each requirement on the sheet Verdicts: where it is judged, what is calculated and required there, and the verdict; see ``shown``.

Of several places the one is expected where the requirement is kept worst; where all keep it alike, the first.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pytest
from iapws import IAPWS97
from oracle.facts import FOOT, POUND
from oracle.liquids import state
from oracle.takers import exchanged
from shown import JOBS, KELVIN, PSI, SHARE, Worked, fahrenheit, gpm, worked
from shown_tubes import branches_flow, liquid, part
from slow import but_first
from test_shown_boiler import (
    FILLED_AT,
    ZERO,
    air,
    back,
    boiling,
    burns_for,
    cycle,
    firing,
    fraction,
    freezes,
    hottest,
    load,
    of_charge,
    outdoor,
    output,
)
from test_shown_lines import arrival, enters, inlet, lost
from test_shown_money import by_loads, use_while_lit
from test_shown_year import lines, loads, year

from workbook_builder.model.rows import Row

Figure = Callable[[Worked, str], float]


@dataclass(frozen=True)
class Asked:
    """In the sample and in the second job: the place and the verdict, none where it is not asked; and what is found and required."""

    sample: str
    second: str
    found: Figure
    required: Figure | None = None
    amount: float = 0.0  # a tolerance in the row's unit instead of half a per cent


def limit(item: str, part: str = "limits") -> Figure:
    return lambda w, _: w.number(part, item)


def count(number: float) -> Figure:
    return lambda *_: number


# --- loads ------------------------------------------------------------------------------------------------------------


def met(w: Worked, name: str) -> float:
    need = next(x.need for x in w.network.loads if x.name == name)
    return w.night.stations[name].taken / need * 100


def approach(w: Worked, name: str) -> float:
    """°F: boiler water into the exchanger less the loop's water out of it."""
    each = next(x for x in w.network.loads if x.name == name)
    run, station = w.run(each.run), w.night.stations[name]
    assert each.holder is not None and each.holder.loop is not None and each.conductance is not None
    loop = each.holder.loop.second_rate
    cold_in = station.inlet - station.taken / exchanged(each.conductance, run.rate(run.own_flow) * each.share, loop)
    return (station.inlet - (cold_in + station.taken / loop)) * 1.8


def floor(w: Worked, name: str) -> float:
    """°F of a surface that gives the need: EN 1264, 8.92 W/m² for the first kelvin above the room, to the power 1.1."""
    each = next(x for x in w.network.loads if x.name == name)
    room = w.typed(f"load {name}", "indoor temperature") or w.number("site", "indoor temperature")
    square_metres = w.number(f"load {name}", "floor area") * FOOT**2
    return float(room + 1.8 * (each.need / square_metres / 8.92) ** (1 / 1.1))


def plate(w: Worked, name: str) -> float:
    """°F of the cold water behind a plate at the peak draw."""
    each = next(x for x in w.network.loads if x.name == name)
    run, cold, drawn = w.run(each.run), each.extra["cold"], each.extra["draw rate"]
    assert each.conductance is not None
    heat = exchanged(each.conductance, run.rate(run.own_flow), drawn) * (w.night.stations[name].inlet - cold)
    return fahrenheit(cold + heat / drawn)


def held(w: Worked, name: str) -> float:
    return max(w.number("boiler", "upper setpoint"), w.number(f"load {name}", "stored temperature"))


def at_taps(w: Worked, name: str) -> float:
    return max(hottest(w), w.number(f"load {name}", "stored temperature"))


# --- runs -------------------------------------------------------------------------------------------------------------


def flow(w: Worked, name: str) -> float:
    return gpm(w.run(name).flow)


def speed(w: Worked, name: str) -> float:
    return w.run(name).tube.velocity(w.run(name).flow) / FOOT


def slope(w: Worked, name: str) -> float:
    return 100 * w.run(name).tube.gradient(w.run(name).flow, w.run(name).liquid)


def of_run(item: str) -> Figure:
    """The run's own limit, or that of the job."""
    return lambda w, name: float(w.typed(part(name), item) or w.number("limits", item))


def excess(w: Worked, name: str) -> float:
    return w.run(name).flow / w.run(name).design_flow


def head(w: Worked, name: str) -> float:
    return w.run(name).head / FOOT


def reynolds(w: Worked, name: str) -> float:
    return w.run(name).tube.reynolds(w.run(name).flow, w.run(name).liquid)


def fall(w: Worked, name: str) -> float:
    return (inlet(w, name) - arrival(w, name)) / w.number(part(name), "length") * 100


def column(w: Worked, name: str, celsius: float) -> float:
    """psi for a foot of the run's liquid."""
    density = state(liquid(w, name), fraction(w), celsius).density / POUND * FOOT**3
    return density / 144


def level(w: Worked) -> float:
    """psi, absolute, at the boiler's water level."""
    return air(w) + (w.number("boiler", "fill pressure") if w.used("boiler", "system") == "closed" else 0.0)


def hot(w: Worked) -> float:
    return (hottest(w) - 32) / 1.8


def vapor(w: Worked) -> float:
    return float(IAPWS97(T=hot(w) + ZERO, x=0.0).P) * 1e6 / PSI


def top_clear(w: Worked, name: str) -> float:
    return level(w) - w.number(part(name), "highest point") * column(w, name, hot(w)) - vapor(w)


def top_cold(w: Worked, name: str) -> float:
    return w.number("boiler", "fill pressure") - w.number(part(name), "highest point") * column(w, name, FILLED_AT)


def suction(w: Worked, name: str) -> float:
    """Feet at the circulator's inlet above boiling, beyond what it wants: what stands before it has cost its head."""
    before = {"boiler supply": 0.0, "house": 0.5, "boiler return": 1.0}[w.used(part(name), "circulator place")]
    above = -w.number(part(name), "circulator height")
    head = (level(w) - vapor(w)) / column(w, name, hot(w)) + above - before * w.run(name).head / FOOT
    return head - w.number(part(name), "suction head required")


def pressed(w: Worked, name: str) -> float:
    """psi at the lowest point: of the water above it, and in a closed system of the relief valve."""
    mean = w.network.on - w.number(part(name), "temperature drop") / 1.8 / 2
    deepest = max(w.number(part(name), "depth"), -w.number(part(name), "circulator height"))
    relief = w.number("boiler", "relief pressure") if w.used("boiler", "system") == "closed" else 0.0
    return relief + deepest * column(w, name, mean)


def rated(w: Worked, name: str) -> float:
    """psi, between what is printed for 180 and its neighbour: ASTM F876, 160 psi at 73.4 °F; soldered copper, 75 psi above 180 °F."""
    if w.typed(part(name), "tube family") == "PEX SDR-9":
        return 160 + (100 - 160) * (hottest(w) - 73.4) / (180 - 73.4)
    return 90 + (75 - 90) * (hottest(w) - 180) / (200 - 180)


RUNS_FINE = ("house pass", "cabin pass")
LOADS_FINE = ("taps pass", "rooms pass")
FUELS_FINE = ("oil pass", "tank pass")
JOB_FINE = ("whole job pass", "whole job pass")

TABLE: dict[str, Asked] = {
    # The bath's tank is about as warm as the water: a fortieth of a kelvin is 0.4 per cent of its need.
    "Every load gets what it needs": Asked("taps pass", "bath fail", met, amount=0.5),
    # Its need, what it takes and its year.
    "Nothing about a load is missing": Asked(*LOADS_FINE, count(3), count(3)),
    "Every load has a name of its own": Asked(*LOADS_FINE, count(1)),
    "The fuel of a load is one of today's": Asked(*LOADS_FINE, count(1)),
    "Inputs of a load in order": Asked(*LOADS_FINE, count(0)),
    "Approach of the exchanger": Asked("dwelling pass", "bench remark", approach, limit("exchanger approach")),
    "Floor no hotter than is comfortable, the need met": Asked(
        "packing room pass", "loft fail", floor, lambda w, name: w.number(f"load {name}", "highest floor temperature")
    ),
    "Hot water at the peak draw, out of the plate": Asked(
        "taps pass", "", plate, lambda w, name: w.number(f"load {name}", "hot water temperature")
    ),
    "Scalding: a mixing valve at the taps": Asked("taps pass", "bath pass", at_taps, limit("highest hot water without a valve")),
    "Water on the domestic side": Asked("taps pass", "bath pass", held, limit("failing hot water temperature")),
    "Storage against bacteria": Asked(
        "taps pass", "bath pass", lambda w, name: w.number(f"load {name}", "stored temperature"), limit("lowest stored temperature")
    ),
    "Tub no hotter than is safe": Asked(
        "tub pass", "", lambda w, name: w.number(f"load {name}", "set temperature"), limit("highest tub temperature")
    ),
    "Loads in parallel stand so": Asked("", "bath pass", count(0)),
    "Loads of a run stand together": Asked(*RUNS_FINE, count(1)),
    # Flow, head, the line's loss, what comes back and the year's loss.
    "Nothing about a run is missing": Asked(*RUNS_FINE, count(5), count(5)),
    "Every run has a name of its own": Asked(*RUNS_FINE, count(1)),
    "Every run starts at the boiler in the end": Asked(*RUNS_FINE, count(1)),
    "Inputs of a run in order": Asked(*RUNS_FINE, count(0)),
    "The line can be as it is described": Asked(*RUNS_FINE, count(0)),
    "The circulator delivers the design flow": Asked("barns pass", "cabin pass", flow, lambda w, name: gpm(w.run(name).design_flow)),
    # A tenth of a per cent is what the fits of the run's curve leave.
    "The circulator's curve meets the run at the flow": Asked("house pass", "", count(0), count(1), amount=0.1),
    "The circulator gives no more flow than is needed": Asked("house remark", "cabin pass", excess, limit("highest flow to design flow")),
    "Head within one circulator's reach": Asked("house pass", "cabin pass", head, limit("highest circulator head")),
    "Flow neither laminar nor turbulent": Asked("cider pass", "annex pass", reynolds, count(4000)),
    "Branches take no more than the run carries": Asked("cider pass", "shop pass", branches_flow, flow),
    "Velocity not too high": Asked("house pass", "shop pass", speed, of_run("highest velocity")),
    "Velocity not too low": Asked("cider pass", "cabin remark", speed, limit("lowest velocity")),
    "Head loss per length": Asked("house remark", "shop pass", slope, of_run("highest head loss")),
    "Head loss per length not too low": Asked("barns pass", "cabin pass", slope, limit("lowest head loss")),
    "Temperature lost by the supply": Asked("cider pass", "annex remark", fall, limit("line temperature loss")),
    "Loss on the design night, over what enters": Asked(
        "barns pass", "annex remark", lambda w, name: lost(w, name) / enters(w, name) * 100, limit("line loss of the design load")
    ),
    "Jacket dry": Asked("house pass", "annex fail", lambda w, name: float(w.used(part(name), "jacket condition") == "wet")),
    "A liquid of its own behind an exchanger": Asked("", "", count(1), count(0)),  # asked in test_parted_runs
    "Highest point below boiling, circulator stopped": Asked(*RUNS_FINE, top_clear),
    "High point of an open system": Asked("house remark", "", lambda w, name: w.number(part(name), "highest point")),
    "Pressure at the highest point of a closed system, cold": Asked(
        "", "cabin pass", top_cold, limit("lowest pressure at the highest point")
    ),
    "Suction head beyond the circulator's own": Asked("barns pass", "cabin pass", suction, limit("suction margin")),
    "Tube within its pressure at its temperature": Asked("barns pass", "cabin pass", pressed, rated),
    # The water at rest, the output over the load and the cords.
    "Nothing about the boiler and the wood is missing": Asked(*JOB_FINE, count(3), count(3)),
    "Inputs of the boiler in order": Asked(*JOB_FINE, count(0)),
    # Of its two limits the one below is shown while the other is kept.
    "Boiler's rated output over the load": Asked(*JOB_FINE, lambda w, _: output(w) / load(w), limit("lowest output to load")),
    "Sustained output over the load": Asked(
        "whole job pass", "whole job fail", lambda w, _: of_charge(w) / load(w), limit("lowest sustained output to load")
    ),
    "Burn time, design night": Asked("whole job pass", "whole job remark", lambda w, _: burns_for(w), limit("burn time")),
    "Firing time at half load": Asked(
        "whole job remark", "whole job pass", lambda w, _: firing(w, load(w) / 2), limit("shortest firing time")
    ),
    "Cycles an hour at half load": Asked(*JOB_FINE, lambda w, _: 60 / cycle(w, load(w) / 2), limit("cycles an hour")),
    "Return to the boiler": Asked("whole job pass", "whole job fail", lambda w, _: back(w), limit("lowest return temperature", "boiler")),
    "Line losses over the heat of the season": Asked(
        "whole job remark",
        "whole job remark",
        lambda w, _: 100 * year(lines, w) / (year(lines, w) + year(loads, w)),
        limit("line loss of the season"),
    ),
    "Minutes of a full fire until the boiler boils": Asked(*JOB_FINE, lambda w, _: boiling(w), limit("boiling reserve")),
    "Freezing of the liquid, circulator stopped": Asked(
        "whole job remark",
        "whole job fail",
        lambda w, _: freezes(w),
        lambda w, _: outdoor(w) - w.number("limits", "antifreeze margin"),
    ),
    "Every fuel of today has a name of its own": Asked(*FUELS_FINE, count(1)),
    "Dates of the use go together": Asked(*FUELS_FINE, count(0)),
    "Heat of its loads in a year, against the fuel's use": Asked("current pass", "tank fail", by_loads, use_while_lit),
}


def _cell(w: Worked, row: Row) -> float | str | None:
    (found,) = w.cells(row)
    return found or (None if found == "" else found)


def _is(row: Row, found: float | str | None, expected: float, amount: float) -> bool:
    if not isinstance(found, float):
        return False
    if row.kind is not None and row.kind.name == "Temperature":  # type: ignore[union-attr]
        return abs(found - expected) <= 1.8 * KELVIN
    return abs(found - expected) <= (amount or SHARE * abs(expected))


def _differences(job: str, labels: set[str]) -> list[str]:
    w, wrong = worked(job), []
    for check in (c for c in w.built.checks.all if c.label in labels):
        asked = TABLE[check.label]
        place, _, verdict = getattr(asked, job).rpartition(" ")
        told = [_cell(w, row) for row in (check.where, check.verdict)]
        if told != [place or None, verdict or None]:
            wrong.append(f"{check.label}: {told} instead of {place}, {verdict}")
        for row, figure in ((check.value, asked.found), (check.wanted, asked.required)):
            assert (row is None) == (figure is None), f"{check.label}: required or not"
            if row is None or figure is None:
                continue
            found = _cell(w, row)
            if not place:
                wrong += [f"{row.label}: {found} instead of nothing"] if found is not None else []
            elif not _is(row, found, expected := figure(w, place), asked.amount):
                wrong.append(f"{row.label}, {place}: {found} instead of {expected} {row.unit}")
    return wrong


def test_every_requirement_has_its_line() -> None:
    assert {check.label for check in worked("sample").built.checks.all} == set(TABLE)
    assert [label for label, asked in TABLE.items() if not (asked.sample or asked.second)] == ["A liquid of its own behind an exchanger"]


def test_what_the_sample_shows() -> None:
    wrong = _differences("sample", set(TABLE))
    assert not wrong, "\n".join(wrong)


@pytest.mark.slow
def test_what_the_second_job_shows() -> None:
    wrong = _differences("second", set(TABLE))
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("job", but_first(JOBS))
def test_how_many_are_not_kept(job: str) -> None:
    w, verdicts = worked(job), [getattr(asked, job).rpartition(" ")[2] for asked in TABLE.values()]
    for row, word in ((w.built.checks.fails, "fail"), (w.built.checks.remarks, "remark")):
        assert w.cells(row) == [verdicts.count(word)]
