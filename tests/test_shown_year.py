"""Every row of the sheet Year beside a value worked out another way; see ``shown``."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from oracle.facts import MONTHS
from oracle.year import stack_share
from shown import DAY_HOURS, JOBS, MILLION, Near, Table, Worked, blank, by_month, days, differences, lacking, millions
from slow import but_first
from test_shown_money import loads_of_month, made_for_loads

# FPL-GTR-29 and the Wood Handbook: a pound of water in the smoke takes 1050 BTU, and dry wood makes 0.54 lb of it.
STEAM, MADE = 1050.0, 0.54
RATED = 0.2  # moisture for which efficiencies are stated (common practice)
BUILDINGS = ("baseboard", "fan heater", "floor")
WATER = 62.4  # lb/ft³
# White ash, of the sample: the Wood Handbook's specific gravity, and the heat of hardwoods of the Forest Products Laboratory.
ASH_GRAVITY, HARDWOOD = 0.60, 8600.0
MOISTURES = {"seasoned": 20.0}


# --- what the loads take ----------------------------------------------------------------------------------------------


def load_heat(w: Worked, name: str, month: int) -> float:
    return millions(w.year.loads[name][month])


def served(w: Worked, name: str) -> int:
    """Days of the months in which the boiler is lit and the load in use."""
    first, last = (MONTHS.index(w.used(f"load {name}", f"{end} month in use")) for end in ("first", "last"))
    use = [first <= m <= last if first <= last else m >= first or m <= last for m in range(12)]
    return sum(days(m) for m in range(12) if use[m] and w.lit(m))


def building(w: Worked, name: str) -> bool:
    return w.typed(f"load {name}", "kind") in BUILDINGS


def without_idle(w: Worked, name: str) -> float | None:
    """A building's heat, less what only kept an existing boiler warm on the days served."""
    if not building(w, name):
        return None
    idle = w.number(f"load {name}", "idle loss of the existing boiler") * DAY_HOURS * served(w, name)
    return millions(sum(w.year.loads[name])) - idle / MILLION


def useful(w: Worked, name: str) -> float:
    found = without_idle(w, name)
    return millions(sum(w.year.loads[name])) if found is None else found


def loads(w: Worked, month: int) -> float:
    """Of the fire, which may not make all of it."""
    return made_for_loads(w, month)


def lines(w: Worked, month: int) -> float:
    return millions(w.year.lines[month])


# --- the wood ---------------------------------------------------------------------------------------------------------


def heat(w: Worked) -> float:
    """BTU/lb of dry wood."""
    return float(w.typed("wood", "heating value") or HARDWOOD)


def gravity(w: Worked) -> float:
    return float(w.typed("wood", "specific gravity") or ASH_GRAVITY)


def listed(w: Worked, value: float) -> float | None:
    """Of the species, where one is named."""
    return value if w.typed("wood", "species") == "white ash" else None


def typed_moisture(w: Worked) -> float | None:
    """Per cent of the whole weight: of 100 parts of dry wood and so many of water."""
    water = w.typed("wood", "moisture")
    if water is None:
        return None
    return float(water / (100 + water) * 100 if w.used("wood", "moisture basis") == "dry" else water)


def moisture(w: Worked) -> float:
    typed = typed_moisture(w)
    return MOISTURES[w.used("wood", "condition")] if typed is None else typed


def dry_cord(w: Worked) -> float:
    """Pounds of dry wood in a cord."""
    return gravity(w) * WATER * w.number("wood", "solid volume of a cord")


def wet_cord(w: Worked) -> float:
    return dry_cord(w) / (1 - moisture(w) / 100)


def cord(w: Worked) -> float:
    """Million BTU of gross heat."""
    return dry_cord(w) * heat(w) / MILLION


def net(heat: float, moisture: float) -> float:
    """BTU in a pound of wood as it is, its water and that of its hydrogen left as steam."""
    return heat * (1 - moisture) - STEAM * (moisture + MADE * (1 - moisture))


def penalty(w: Worked) -> float:
    """What is left of the gross heat after the stack, at 20 % over at this moisture."""
    joules = heat(w) * 2326.0  # J/kg
    return (1 - stack_share(joules, RATED)) / (1 - stack_share(joules, moisture(w) / 100))


# --- the fire ---------------------------------------------------------------------------------------------------------


def on_gross(w: Worked) -> float:
    """An efficiency on the net heat is a smaller share of the gross heat."""
    return net(heat(w), RATED) / (heat(w) * (1 - RATED)) if w.used("boiler", "efficiency basis") == "net" else 1.0


def full_fire(w: Worked) -> float:
    return w.number("boiler", "efficiency at full fire") * on_gross(w)


def seasonal(w: Worked) -> float | None:
    typed = w.typed("boiler", "seasonal efficiency")
    return None if typed is None else typed * on_gross(w)


def with_this_wood(w: Worked, efficiency: float | None) -> float | None:
    return None if efficiency is None else efficiency / penalty(w)


def efficiency(w: Worked) -> float:
    """Per cent: the typed one of the season before that of full fire."""
    return float(with_this_wood(w, seasonal(w)) or with_this_wood(w, full_fire(w)) or 0.0)


def standby(w: Worked) -> float:
    """A seasonal efficiency has the standby in it."""
    return 0.0 if seasonal(w) is not None else 1.0


def by_surface(w: Worked) -> float:
    return w.number("boiler", "jacket surface") * w.number("boiler", "jacket loss factor")


def conductance(w: Worked) -> float:
    return float(w.typed("boiler", "jacket conductance") or by_surface(w))


def hours(w: Worked, month: int) -> float:
    return DAY_HOURS * days(month) * w.lit(month)


def jacket(w: Worked, month: int) -> float:
    """From the middle of the band to the month's air, while it is lit."""
    apart = max((w.number("boiler", "lower setpoint") + w.number("boiler", "upper setpoint")) / 2 - w.months[month], 0.0)
    return conductance(w) * apart * hours(w, month) * standby(w) / MILLION


def burnt(w: Worked, month: int) -> float:
    """Heat to the water and jacket, and what the fire glows away while it rests, over the efficiency."""
    given = loads(w, month) + lines(w, month) + jacket(w, month)
    output = w.number("boiler", "rated output") / MILLION
    rests = max(hours(w, month) - given / output, 0.0)
    return (given + w.number("boiler", "idle fuel share") / 100 * output * rests * standby(w)) / (efficiency(w) / 100)


def cords(w: Worked, month: int) -> float:
    return burnt(w, month) / cord(w)


def year(of: Callable[[Worked, int], float], w: Worked) -> float:
    return sum(of(w, m) for m in range(12))


TABLE: Table = {
    "Heat that each load takes": by_month(load_heat),
    "Heat that today's fuel gives as well": {
        "Days served in a year": served,
        "The year, without the idle loss of an existing boiler": without_idle,
        "Useful heat of the year": useful,
    },
    "The wood": {
        "Gross heat of dry wood, table": lambda w: listed(w, HARDWOOD),
        "Specific gravity, table": lambda w: listed(w, ASH_GRAVITY),
        "Gross heat of dry wood": heat,
        "Specific gravity": gravity,
        "Moisture of that condition, wet basis": lambda w: MOISTURES[w.used("wood", "condition")],
        "Moisture typed, on the wet basis": typed_moisture,
        "Moisture, wet basis": moisture,
        "Weight of a cord as stacked": wet_cord,
        "Gross heat of a cord": cord,
        "Net heat of a cord": lambda w: wet_cord(w) * net(heat(w), moisture(w) / 100) / MILLION,
        "Cords for one cord at 20 % moisture": penalty,
    },
    "The fire": {
        "Gross heat over net heat, at 20 % moisture": on_gross,  # told as net over gross, whatever the label says
        "Efficiency at full fire, on the gross heat": full_fire,
        "Efficiency with this wood": lambda w: with_this_wood(w, full_fire(w)),
        "Seasonal efficiency, on the gross heat": seasonal,
        "Seasonal efficiency with this wood": lambda w: with_this_wood(w, seasonal(w)),
        "Efficiency calculated with": efficiency,
        "Seasonal efficiencies typed": lambda w: 1 - standby(w),
        "Standby is added (1: yes)": standby,
        "Jacket conductance, from the surface": by_surface,
        "Jacket conductance": conductance,
        "Fuel of the resting fire": lambda w: w.number("boiler", "idle fuel share") * standby(w),
    },
    "Heat that the loads take": by_month(loads),
    "Heat that the lines lose": by_month(lines),
    "Heat that the boiler's jacket loses": by_month(jacket),
    "Gross heat of the wood": by_month(burnt),
    "Cords": by_month(cords),
    "The year": {
        "Useful heat over the wood's gross heat": lambda w: 100 * year(loads, w) / year(burnt, w),
        "Line losses over the heat that leaves the boiler": lambda w: 100 * year(lines, w) / (year(lines, w) + year(loads, w)),
        "Heat that the fire cannot make": Near(lambda w: year(loads_of_month, w) - year(loads, w), share=0.005, amount=1e-6),
        # A cord is 128 ft³, and a foot of the stack 16.
        "Length of the stack, 4 ft (1.2 m) high and deep": lambda w: year(cords, w) * 128 / (4 * 4),
    },
}


def test_every_row_has_its_line() -> None:
    assert not lacking("Year", TABLE)


@pytest.mark.slow
def test_every_row_shows_something() -> None:
    assert not blank("Year")


@pytest.mark.parametrize("job", but_first(JOBS))
def test_what_the_rows_show(job: str) -> None:
    wrong = differences(job, "Year", TABLE)
    assert not wrong, wrong
