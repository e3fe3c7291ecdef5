"""Every row of the sheet Boiler beside a value worked out another way; see ``shown``."""

from __future__ import annotations

import math

import fluids
import pytest
from CoolProp.CoolProp import PropsSI
from iapws import IAPWS97
from oracle.facts import BTU, FOOT, POUND, number
from oracle.liquids import State, mass_fraction, state
from shown import GALLON, JOBS, PSI, Near, Table, Worked, blank, differences, fahrenheit, lacking, per_degree, typed, watts
from shown_ground import US, WALLS
from slow import but_first

NEVER = 100_000.0  # h: the longest time that the book tells
STEP = 5.0  # gal: in such steps a tank is ordered
FILLED_AT = 10.0  # °C, of water from the main
BATCH_SWING = 50.0  # °F of a tank that takes up a whole charge (common practice, no source)
BARE_FILM = 2.0  # BTU/(h ft² °F) of still air about a bare tube (common practice, no source)
ZERO = 273.15


def boiler(w: Worked, item: str) -> float:
    return w.number("boiler", item)


def limit(w: Worked, item: str) -> float:
    return w.number("limits", item)


# --- site, ground, liquid ---------------------------------------------------------------------------------------------


def outdoor(w: Worked) -> float:
    return w.number("site", "outdoor design temperature")


def air(w: Worked) -> float:
    """Pressure of the standard atmosphere, psi."""
    return float(fluids.ATMOSPHERE_1976(w.number("site", "elevation") * FOOT).P) / PSI


def boils(w: Worked) -> float:
    """Of water under the air of the site, °F."""
    return fahrenheit(float(IAPWS97(P=air(w) * PSI / 1e6, x=0.0).T) - ZERO)


def fraction(w: Worked) -> float:
    """Antifreeze by mass."""
    return mass_fraction(str(w.used("liquid", "kind")), (w.typed("liquid", "antifreeze by volume") or 0.0) / 100)


def liquid(w: Worked, fahrenheits: float) -> State:
    return state(str(w.used("liquid", "kind")), fraction(w), (fahrenheits - 32) / 1.8)


def freezes(w: Worked) -> float:
    if w.used("liquid", "kind") == "water":
        return 32.0
    assert w.used("liquid", "kind") == "ethylene glycol"
    return fahrenheit(PropsSI("T_FREEZE", "T", 300.0, "P", 101325.0, f"INCOMP::MEG[{fraction(w)!r}]") - ZERO)


def of_a_gallon(w: Worked) -> float:
    """BTU/(gal °F) of the boiler's water at the lower setpoint."""
    here = liquid(w, boiler(w, "lower setpoint"))
    return here.density * here.heat * GALLON / BTU / 1.8


# --- the load, a charge -----------------------------------------------------------------------------------------------


def needed(w: Worked) -> float:
    return watts(sum(load.need for load in w.network.loads))


def taken(w: Worked) -> float:
    return watts(sum(s.taken for s in w.network.steady.stations.values()))


def lost(w: Worked) -> float:
    return watts(sum(w.network.steady.lost.values()))


def load(w: Worked) -> float:
    """Every need, and what the lines lose."""
    return needed(w) + lost(w)


def output(w: Worked) -> float:
    return boiler(w, "rated output")


def dry_charge(w: Worked) -> float:
    """The filled part of the firebox at its bulk density, lb."""
    return boiler(w, "firebox volume") * boiler(w, "charge fill") / 100 * boiler(w, "bulk density")


def charge(w: Worked) -> float:
    """Of which the fire gives its efficiency to the water, BTU."""
    heat = w.typed("wood", "heating value") or number("species", "heating_value", str(w.typed("wood", "species"))) / (BTU / POUND)
    return float(dry_charge(w) * heat * w.year.efficiency)


def standby(w: Worked) -> float:
    """1 where it is added: a seasonal efficiency has it in it."""
    return 1.0 if w.typed("boiler", "seasonal efficiency") is None else 0.0


def jacket_loss(w: Worked) -> float:
    """From the middle of the band to the air of the design night."""
    middle = (boiler(w, "lower setpoint") + boiler(w, "upper setpoint")) / 2
    return jacket(w) * (middle - outdoor(w)) * standby(w)


def idling(w: Worked) -> float:
    """Of full fire, what a fire at rest burns."""
    return boiler(w, "idle fuel share") / 100 * standby(w)


def of_charge(w: Worked) -> float:
    """A fire that burns the part x of the time makes x of the output and, at rest, (1 - x) of its idling."""
    made = charge(w) / boiler(w, "hours between loadings") / output(w)
    part = made if made >= 1 else (made - idling(w)) / (1 - idling(w))
    return part * output(w) - jacket_loss(w)


def burnt(w: Worked) -> float:
    part = (load(w) + jacket_loss(w)) / output(w)
    return output(w) * (part + idling(w) * max(1 - part, 0.0))


def burns_for(w: Worked) -> float:
    return charge(w) / burnt(w)


# --- the band and its cycles ------------------------------------------------------------------------------------------


def in_lines(w: Worked) -> float:
    """Supply and return of every run, gal."""
    return sum(2 * run.circuit.length * math.pi / 4 * run.tube.bore**2 for run in w.network.runs.values()) / GALLON


def band_width(w: Worked) -> float:
    return boiler(w, "upper setpoint") - boiler(w, "lower setpoint")


def batch(w: Worked) -> bool:
    return bool(w.used("boiler", "kind") == "batch")


def swing(w: Worked) -> float:
    """Typed, or that of a batch boiler's tank, or the width of the band."""
    return float(w.typed("boiler", "buffer tank swing") or (BATCH_SWING if batch(w) else band_width(w)))


def own_heat(w: Worked) -> float:
    return boiler(w, "water content") * of_a_gallon(w) * band_width(w)


def tank_heat(w: Worked) -> float:
    return boiler(w, "buffer tank volume") * of_a_gallon(w) * swing(w)


def band(w: Worked) -> float:
    """BTU between the setpoints."""
    return own_heat(w) + tank_heat(w)


def firing(w: Worked, at: float) -> float:
    """Minutes in which what the load leaves of the output fills the band."""
    return band(w) / (output(w) - at) * 60 if output(w) > at else NEVER * 60


def idle(w: Worked, at: float) -> float:
    """Minutes in which the load empties it."""
    return band(w) / at * 60


def cycle(w: Worked, at: float) -> float:
    return firing(w, at) + idle(w, at)


def firing_for_cycles(w: Worked) -> float:
    """Minutes: of an hour's cycles the wanted number, of each the part in which it fires."""
    return 60 / limit(w, "cycles an hour") * (load(w) / 2) / output(w)


def firing_for_both(w: Worked) -> float:
    return max(limit(w, "shortest firing time"), firing_for_cycles(w))


def water_for_it(w: Worked) -> float:
    """Gallons that take up, at the tank's swing, what half the load leaves of the output for so long."""
    return firing_for_both(w) / 60 * (output(w) - load(w) / 2) / (of_a_gallon(w) * swing(w))


def buffer(w: Worked) -> float:
    """Less what the boiler's own water takes up between its setpoints."""
    return max(water_for_it(w) - boiler(w, "water content") * band_width(w) / swing(w), 0.0)


def burns(w: Worked) -> float:
    return charge(w) / output(w)


def whole_charge(w: Worked) -> float | None:
    """Gallons for what a charge gives while the load takes its part of it."""
    return (charge(w) - load(w) * burns(w)) / (of_a_gallon(w) * swing(w)) if batch(w) else None


# --- power failure, pressure ------------------------------------------------------------------------------------------


def freezing(w: Worked, gallons: float, conductance: float) -> float:
    """Hours in which still water falls from the lower setpoint to 32 °F in the air of the design night."""
    excess = boiler(w, "lower setpoint") - outdoor(w)
    return gallons * of_a_gallon(w) / conductance * math.log(excess / (32 - outdoor(w)))


def jacket(w: Worked) -> float:
    """BTU/(h °F)."""
    return float(w.typed("boiler", "jacket conductance") or boiler(w, "jacket surface") * boiler(w, "jacket loss factor"))


def boiling(w: Worked) -> float:
    """Minutes in which the output brings the boiler's own water from the upper setpoint to where it boils in an open boiler."""
    return boiler(w, "water content") * of_a_gallon(w) * (boils(w) - boiler(w, "upper setpoint")) / output(w) * 60


def from_cold(w: Worked) -> float:
    """Hours in which what the loads leave of the output warms all the water; never where they leave nothing."""
    heat = (swings(w) + in_lines(w)) * of_a_gallon(w) * (boiler(w, "lower setpoint") - boiler(w, "start temperature"))
    return heat / (output(w) - load(w)) if output(w) > load(w) else NEVER


def bare_tube(w: Worked) -> float:
    """A foot of each run's tube, through its wall and the air about it; the first that freezes."""
    tubes = [run.tube for run in w.network.runs.values()]
    walls = [math.log(t.outside / t.bore) / (2 * math.pi * WALLS[t.family] / US) for t in tubes]
    films = [1 / (math.pi * t.outside / FOOT * BARE_FILM) for t in tubes]
    foot = [(t.bore**2 * math.pi / 4 * FOOT / GALLON, 1 / (a + b)) for t, a, b in zip(tubes, walls, films, strict=True)]
    return min(freezing(w, *each) for each in foot)


def hottest(w: Worked) -> float:
    return boiler(w, "upper setpoint") + boiler(w, "overshoot")


def swings(w: Worked) -> float:
    return boiler(w, "water content") + boiler(w, "buffer tank volume")


def expansion(w: Worked) -> float:
    """The same mass fills more: gallons."""
    cold, hot = liquid(w, fahrenheit(FILLED_AT)).density, liquid(w, hottest(w)).density
    return (swings(w) + in_lines(w)) * (cold / hot - 1)


def highest_pressure(w: Worked) -> float:
    """Below the relief pressure by a share of it or a least margin."""
    relief = boiler(w, "relief pressure")
    return relief - max(relief * limit(w, "relief margin") / 100, limit(w, "least relief margin"))


def tank(w: Worked) -> float | None:
    """Boyle's law: the air of the tank, at the fill pressure, gives way by the expansion at the highest pressure."""
    if w.used("boiler", "system") != "closed":
        return None
    full, pressed = boiler(w, "fill pressure") + air(w), highest_pressure(w) + air(w)
    return expansion(w) * pressed / (pressed - full)


# --- the night as it will be ------------------------------------------------------------------------------------------


def water(w: Worked) -> float:
    return fahrenheit(w.will_be[0])


def night_lost(w: Worked) -> float:
    return watts(sum(w.night.lost.values()))


def drawn(w: Worked) -> float:
    return watts(sum(s.taken for s in w.network.drawing(w.night).values()))


def beyond(w: Worked) -> float:
    return max(drawn(w) + night_lost(w) - output(w), 0.0)


def rate(w: Worked) -> float:
    """BTU/(h °F) of all water that leaves the boiler."""
    return per_degree(sum(run.rate(run.flow) for run in w.network.runs.values() if run.parent is None))


def given(w: Worked) -> float:
    return watts(sum(w.night.entering[n] for n, run in w.network.runs.items() if run.parent is None))


def back(w: Worked) -> float:
    return water(w) - given(w) / rate(w)


def mixing(w: Worked) -> float:
    """Per cent of supply in what flows in, for it to be as warm as it has to be."""
    least = boiler(w, "lowest return temperature")
    return max(0.0, (least - back(w)) / (water(w) - back(w))) * 100


CLOSES = 1e-9

TABLE: Table = {
    "Design night": {
        "Design temperature difference": lambda w: w.number("site", "indoor temperature") - outdoor(w),
        "Air pressure at the site": air,
        "Water boils in an open boiler at": boils,
    },
    "Year": {"Degree days of the year": lambda w: 1.8 * w.network.site.year_degree_days((w.number("site", "degree day base") - 32) / 1.8)},
    "Ground": {
        "Mean air temperature of the year": lambda w: sum(w.months) / 12,
        "Warmest month": lambda w: max(w.months),
        "Coldest month": lambda w: min(w.months),
        "Half the swing of the months": lambda w: (max(w.months) - min(w.months)) / 2,
        "Mean ground temperature": lambda w: w.typed("site", "mean ground temperature") or sum(w.months) / 12,
        "Half the yearly swing of the ground": lambda w: w.typed("site", "ground amplitude") or (max(w.months) - min(w.months)) / 2,
        # ASHRAE prints 11.4 BTU in/(h ft² °F) for the low silt; DIN EN 12524 2.0 W/(m K) for sand or gravel.
        "Soil conductivity, table": lambda w: {"sample": 11.4 / 12, "second": 2.0 / 1.730735}[w.name],
        "Soil conductivity": lambda w: w.typed("site", "soil conductivity") or 11.4 / 12,
        # Conductivity over density and specific heat, of silt 1500 and 2085, of sand 1950 and 1045; m²/s to ft²/day.
        "Soil diffusivity": lambda w: {"sample": 1.644 / (1500 * 2085), "second": 2.0 / (1950 * 1045)}[w.name] * 86400 / FOOT**2,
    },
    "Liquid in the boiler": {
        "Antifreeze by volume": lambda w: w.typed("liquid", "antifreeze by volume") or 0.0,
        "Antifreeze by mass, from the share by volume": lambda w: fraction(w) * 100,
        "Antifreeze by mass": lambda w: fraction(w) * 100,
        "Freezes at": freezes,
        "Density of the boiler's water": lambda w: liquid(w, boiler(w, "lower setpoint")).density / POUND * FOOT**3,
        "Specific heat of the boiler's water": lambda w: liquid(w, boiler(w, "lower setpoint")).heat / BTU * POUND / 1.8,
    },
    "The sum on the design night": {
        "All loads, what they need": needed,
        "All loads, what they take": taken,
        "All lines, what they lose": lost,
        "Load of the boiler": load,
        "Heat that leaves the boiler": lambda w: watts(w.network.steady.given),
        "Leaving less taken less lost, over what leaves (0: it closes)": Near(lambda w: 0.0, amount=CLOSES),
        "Rated output": output,
        "Rated output over the load": lambda w: output(w) / load(w),
    },
    "What one charge gives": {
        "Dry weight of a charge": dry_charge,
        "Heat of a charge to the water": charge,
        "Jacket loss, design night": jacket_loss,
        "Sustained output of a charge": of_charge,
        "Basis of the rated output": typed("boiler", "rated output basis"),
        "Sustained output": of_charge,
        "Sustained output over the load": lambda w: of_charge(w) / load(w),
        "Load, jacket and idling fire": burnt,
        "Burn time, design night": burns_for,
        "Output that the night can count on": of_charge,
        "Output that limits the water": lambda w: min(of_charge(w), output(w)),
    },
    "Differential and cycle": {
        "Water in the lines": in_lines,
        "Water that swings with the fire": swings,
        "Water in boiler, tank and lines": lambda w: swings(w) + in_lines(w),
        "Kind of boiler": typed("boiler", "kind"),
        "Width of the band": band_width,
        "Swing of a batch boiler's tank": lambda w: BATCH_SWING if batch(w) else None,
        "Swing of the buffer tank, typed": typed("boiler", "buffer tank swing"),
        "Swing of the buffer tank": swing,
        "Heat in the boiler's own water": own_heat,
        "Heat in the buffer tank": tank_heat,
        "Heat in the band": band,
        "Half the load": lambda w: load(w) / 2,
        "Firing time, design night": lambda w: firing(w, load(w)),
        "Idle time, design night": lambda w: idle(w, load(w)),
        "Cycle, design night": lambda w: cycle(w, load(w)),
        "Cycles an hour, design night": lambda w: 60 / cycle(w, load(w)),
        "Part of the time firing, design night": lambda w: 100 * load(w) / output(w),
        "Firing time, half load": lambda w: firing(w, load(w) / 2),
        "Idle time, half load": lambda w: idle(w, load(w) / 2),
        "Cycle, half load": lambda w: cycle(w, load(w) / 2),
        "Cycles an hour, half load": lambda w: 60 / cycle(w, load(w) / 2),
        "Part of the time firing, half load": lambda w: 50 * load(w) / output(w),
        # Firing and idle are shortest together where the load is half the output.
        "Shortest cycle there is": lambda w: cycle(w, output(w) / 2),
        "Firing time for the cycles wanted, half load": firing_for_cycles,
        "Firing time that keeps both limits": firing_for_both,
        "Water for that firing time, at the tank's swing": water_for_it,
        # A difference of two volumes: a thousandth of what is subtracted.
        "Buffer for the shortest firing wanted, half load": Near(buffer, amount=0.35),
        "Buffer to order": lambda w: math.ceil(buffer(w) / STEP) * STEP,
        "Time in which a charge burns at the rated output": burns,
        "Tank that holds a charge (batch boiler)": whole_charge,
    },
    "Power failure on the design night": {
        "Hours until the band is used, if the pumps ran on": lambda w: idle(w, load(w)),  # told in minutes, whatever the label says
        "Hours until the boiler's water freezes": lambda w: freezing(w, boiler(w, "water content"), jacket(w)),
        "Minutes of a full fire until the boiler boils": boiling,
        "Hours from cold to the lower setpoint, every load served": from_cold,
    },
    "Expansion and pressure": {
        "Hottest water": hottest,
        "Expansion from filling to the hottest": expansion,
        "Highest working pressure": highest_pressure,
        "System": typed("boiler", "system"),
        "Expansion tank of a closed system": tank,
        "Vapor pressure of the hottest water": lambda w: float(IAPWS97(T=(hottest(w) - 32) / 1.8 + ZERO, x=0.0).P) * 1e6 / PSI,
    },
    "Heat balance": {
        "Load beyond the output (1: yes)": lambda w: float(watts(w.network.steady.given) > min(of_charge(w), output(w))),
        "Equilibrium water temperature": water,
    },
    "Hot water drawn at its peak on that night": {
        "All lines, what they lose on that night": night_lost,
        "All loads while it is drawn": drawn,
        "Load of the boiler while it is drawn": lambda w: drawn(w) + night_lost(w),
        "Beyond the output": beyond,
        "Minutes that the heat in the band lasts": lambda w: band(w) / beyond(w) * 60 if beyond(w) else NEVER * 60,
    },
    "Return to the boiler": {
        "Capacity rate at the boiler": rate,
        "Heat that leaves the boiler on that night": given,
        "Return temperature, design night": back,
        "Part of the supply to mix into the return": mixing,
        "Hours until the first bare tube freezes": bare_tube,
    },
}


def test_every_row_has_its_line() -> None:
    assert not lacking("Boiler", TABLE)


@pytest.mark.slow
def test_every_row_shows_something() -> None:
    assert not blank("Boiler")


@pytest.mark.parametrize("job", but_first(JOBS))
def test_what_the_rows_show(job: str) -> None:
    wrong = differences(job, "Boiler", TABLE)
    assert not wrong, wrong
