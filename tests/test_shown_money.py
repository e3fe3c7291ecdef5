"""Every row of the sheet Money beside a value worked out another way; see ``shown``."""

from __future__ import annotations

from datetime import date, timedelta

import numpy_financial as npf
import pytest
from oracle.facts import FOOT, POUND
from shown import DAY_HOURS, JOBS, MILLION, Near, Table, Worked, blank, days, differences, gpm, lacking, millions, typed, watts
from slow import but_first

# University of Connecticut and the EIA: BTU in a gallon of heating oil and of propane and in a kWh; DOE: the middle of what a boiler
# of middling efficiency makes of oil and gas, 80 to 83 %; current makes all of its heat.
HEAT = {"heating oil": 138_500.0, "propane": 91_452.0, "electricity": 3_412.0}
SOLD_BY = {"heating oil": "gal", "propane": "gal", "electricity": "kWh"}
USUAL = {"heating oil": 81.5, "propane": 81.5, "electricity": 100.0}
BUILDINGS = ("baseboard", "fan heater", "floor")


def of(w: Worked, fuel: str, item: str) -> float:
    return w.number(f"fuel today {fuel}", item)


def sort(w: Worked, fuel: str) -> str:
    return str(w.typed(f"fuel today {fuel}", "fuel"))


# --- a fuel -----------------------------------------------------------------------------------------------------------


def efficiency(w: Worked, fuel: str) -> float:
    """Per cent: typed, or the usual one of the fuel."""
    return float(w.typed(f"fuel today {fuel}", "seasonal efficiency") or USUAL[sort(w, fuel)])


def bought(w: Worked, fuel: str) -> float:
    """Million BTU in what was burnt."""
    return of(w, fuel, "use") * HEAT[sort(w, fuel)] / MILLION


def useful(w: Worked, fuel: str) -> float:
    return bought(w, fuel) * efficiency(w, fuel) / 100


def hot_water(w: Worked, fuel: str) -> float:
    return useful(w, fuel) * of(w, fuel, "share for hot water") / 100


def price(w: Worked, fuel: str) -> float:
    """Dollars for a million BTU of useful heat."""
    return of(w, fuel, "price") / (HEAT[sort(w, fuel)] * efficiency(w, fuel) / 100) * MILLION


def base(w: Worked) -> float:
    return (w.number("site", "degree day base") - 32) / 1.8


def whole_year(w: Worked, _: str = "") -> float:
    """°F days of a year, by the spread of the days of each month."""
    return 1.8 * w.network.site.year_degree_days(base(w))


def days_of_use(w: Worked, fuel: str) -> list[date]:
    """Both dates counted; of a year without 29 February."""
    ends = [w.typed(f"fuel today {fuel}", f"{end} date") for end in ("first", "last")]
    if None in ends:
        return []
    first, last = (date.fromisoformat(end) for end in ends)
    return [d for n in range((last - first).days + 1) if (d := first + timedelta(n)).strftime("%m-%d") != "02-29"]


def degree_days_of_use(w: Worked, fuel: str) -> float:
    """As typed, or each day with those of a mean day of its month, or of a whole year."""
    typed_days, between = w.typed(f"fuel today {fuel}", "degree days of the use"), days_of_use(w, fuel)
    if typed_days is not None:
        return float(typed_days)
    if not between:
        return whole_year(w)
    a_day = [1.8 * w.network.site.degree_days(t, base(w), days(m)) / days(m) for m, t in enumerate(w.network.site.means)]
    return sum(a_day[d.month - 1] for d in between)


def years_days(w: Worked, fuel: str) -> float | None:
    between = days_of_use(w, fuel)
    return 365 / len(between) if between else None


def use_of_a_year(w: Worked, fuel: str) -> float:
    """Heating by degree days, hot water by days."""
    heating = useful(w, fuel) - hot_water(w, fuel)
    return heating * whole_year(w) / degree_days_of_use(w, fuel) + hot_water(w, fuel) * (years_days(w, fuel) or 1.0)


def use_while_lit(w: Worked, fuel: str) -> float:
    """The same of the months lit, month by month."""
    heating, water = useful(w, fuel) - hot_water(w, fuel), hot_water(w, fuel)
    cold = {m: 1.8 * w.network.site.degree_days(t, base(w), days(m)) for m, t in enumerate(w.network.site.means)}
    length = len(days_of_use(w, fuel)) or 365
    return sum(heating * cold[m] / degree_days_of_use(w, fuel) + water * days(m) / length for m in range(12) if w.lit(m))


# --- what it costs ----------------------------------------------------------------------------------------------------


def by_loads(w: Worked, fuel: str) -> float:
    """The year's heat of its loads, less what only kept an old boiler warm: today's efficiency has that in it."""
    total = 0.0
    for load, months in w.year.loads.items():
        part = f"load {load}"
        if (w.typed(part, "fuel today") or w.job.fuels[0]) != fuel:
            continue
        idle = w.number(part, "idle loss of the existing boiler") if w.typed(part, "kind") in BUILDINGS else 0.0
        total += millions(sum(months)) - idle * sum(DAY_HOURS * days(m) for m, heat in enumerate(months) if heat > 0) / MILLION
    return total


def of_bill(w: Worked, fuel: str) -> float:
    return by_loads(w, fuel) / use_while_lit(w, fuel)


def taken_over(w: Worked, fuel: str) -> float:
    """Both jobs have a bill of each fuel; what the fire cannot make of the year's heat is left to it."""
    wanted, made = (sum(of(w, m) for m in range(12)) for of in (loads_of_month, made_for_loads))
    return use_while_lit(w, fuel) * made / wanted


def loads_of_month(w: Worked, month: int) -> float:
    return sum(millions(heat[month]) for heat in w.year.loads.values())


def made_for_loads(w: Worked, month: int) -> float:
    """No more than the boiler gives day and night, by its firebox or its rating, less what the lines lose."""
    most = min(watts(w.year.sustained or 0.0), w.number("boiler", "rated output")) * DAY_HOURS * days(month) * w.lit(month) / MILLION
    return min(loads_of_month(w, month), max(most - millions(w.year.lines[month]), 0.0))


def cost(w: Worked, fuel: str) -> float:
    return taken_over(w, fuel) * price(w, fuel)


def factor(w: Worked, rise: float) -> float:
    """Today's worth of a dollar a year, paid at each year's end, that rises by so many per cent."""
    payments = [(1 + rise / 100) ** n for n in range(int(w.number("money", "life")))]
    return float(npf.npv(w.number("money", "interest") / 100, [0.0, *payments]))


def fuel_factor(w: Worked, fuel: str) -> float:
    return factor(w, of(w, fuel, "escalation"))


# --- wood and current -------------------------------------------------------------------------------------------------


def face_cord(w: Worked) -> float:
    """A pile 4 ft high and 8 ft long, over a cord's 128 ft³."""
    return 4 * 8 * w.number("wood", "depth of a face cord") / 12 / 128


def from_pile(w: Worked) -> float | None:
    pile = w.typed("wood", "price of a face cord")
    return None if pile is None else pile / face_cord(w)


def from_work(w: Worked) -> float | None:
    hours = w.typed("wood", "hours a cord")
    return None if hours is None else hours * w.number("wood", "worth of an hour")


def cord_price(w: Worked) -> float:
    return float(w.typed("wood", "price of a cord") or from_pile(w) or from_work(w) or 0.0)


def wood(w: Worked) -> float:
    return w.year.cords * cord_price(w)


def pump_power(w: Worked) -> float:
    return sum(float(w.typed(f"run {name}", "circulator power") or from_flow(w, name)) for name in w.job.runs)


def from_flow(w: Worked, name: str) -> float:
    """W: pounds a second lifted by so many feet, over the share of the power that does it."""
    run = w.run(name)
    pounds = gpm(run.flow) / 60 * 231 / 1728 * run.liquid.density / POUND * FOOT**3
    return pounds * run.head / FOOT * 1.3558179 / (w.number(f"run {name}", "circulator efficiency") / 100)


def lit(w: Worked) -> float:
    return DAY_HOURS * sum(days(m) for m in range(12) if w.lit(m))


def firing(w: Worked) -> float:
    """Hours at the rated output that make the heat of the water and of the jacket (with a seasonal efficiency, of the water)."""
    water = sum(made_for_loads(w, m) + millions(w.year.lines[m]) for m in range(12))
    jacket = 0.0
    if w.typed("boiler", "seasonal efficiency") is None:
        surface = w.number("boiler", "jacket surface") * w.number("boiler", "jacket loss factor")
        middle = (w.number("boiler", "lower setpoint") + w.number("boiler", "upper setpoint")) / 2
        jacket = sum(surface * (middle - t) * DAY_HOURS * days(m) for m, t in enumerate(w.months) if w.lit(m))
    return (water * MILLION + jacket) / w.number("boiler", "rated output")


def current(w: Worked, watts: float, hours: float) -> float:
    return watts / 1000 * hours * w.number("money", "electricity price")


def of_pumps(w: Worked) -> float:
    return current(w, pump_power(w), lit(w))


def of_fan(w: Worked) -> float:
    return current(w, w.number("boiler", "fan power"), firing(w))


def electricity(w: Worked) -> float:
    return of_pumps(w) + of_fan(w)


def upkeep(w: Worked) -> float:
    return w.number("money", "upkeep a year")


# --- first year and life ----------------------------------------------------------------------------------------------


def today(w: Worked) -> float:
    return sum(cost(w, fuel) for fuel in w.job.fuels)


def saving(w: Worked) -> float:
    return today(w) - wood(w) - electricity(w) - upkeep(w)


def fuels_worth(w: Worked) -> float:
    return sum(cost(w, fuel) * fuel_factor(w, fuel) for fuel in w.job.fuels)


def wood_factor(w: Worked) -> float:
    return factor(w, w.number("wood", "escalation"))


def current_factor(w: Worked) -> float:
    return factor(w, w.number("money", "electricity escalation"))


def running_worth(w: Worked) -> float:
    return electricity(w) * current_factor(w) + upkeep(w) * factor(w, 0.0)


def left(w: Worked) -> float:
    """Of the fuels that are not bought, after all but the wood."""
    return fuels_worth(w) - running_worth(w) - w.number("money", "installed cost")


TABLE: Table = {
    "": {
        "Fuel": sort,
        "Price": typed("fuel today", "price"),
        "Sold by": lambda w, fuel: SOLD_BY[sort(w, fuel)],
        "Heat content": lambda w, fuel: HEAT[sort(w, fuel)],
        "Use": typed("fuel today", "use"),
        "Share for hot water": typed("fuel today", "share for hot water"),
        "Seasonal efficiency, typed": typed("fuel today", "seasonal efficiency"),
        "Seasonal efficiency, table": lambda w, fuel: USUAL[sort(w, fuel)],
        "Seasonal efficiency": efficiency,
        "Useful heat of the use": useful,
        "Heat bought": bought,
        "Of it for hot water": hot_water,
        "Price of useful heat": price,
        "Degree days of the use, typed": typed("fuel today", "degree days of the use"),
        "Degree days of the year at the site's base": whole_year,
        "Degree days of the use": degree_days_of_use,
    },
    "The use of a year": {
        "A year's days over those of the use": years_days,
        "A year's hot water over that of the use": lambda w, fuel: years_days(w, fuel) or 1.0,
        "Useful heat of the use, for a year": use_of_a_year,
        "Of it in the months in which the boiler is lit": use_while_lit,
    },
    "What the same heat costs today": {
        "Heat by its loads": by_loads,
        "Heat by its loads, over that by the bill": of_bill,
        "Heat that wood takes over": taken_over,
        "Heat by loads over that by the bill, least": lambda w: min(of_bill(w, fuel) for fuel in w.job.fuels),
        "Heat by loads over that by the bill, most": lambda w: max(of_bill(w, fuel) for fuel in w.job.fuels),
        "Its cost in a year": cost,
        "Escalation": typed("fuel today", "escalation"),
        "Present worth factor": fuel_factor,
        "Its cost times its escalation": lambda w, fuel: cost(w, fuel) * of(w, fuel, "escalation") / 100,
        "Present worth of its cost": lambda w, fuel: cost(w, fuel) * fuel_factor(w, fuel),
    },
    "Price of the wood": {
        "Depth of a face cord": typed("wood", "depth of a face cord"),
        "Cords in a face cord": face_cord,
        "Price of a cord, from the face cord": from_pile,
        "Price of a cord, from the hours": from_work,
        "Price of a cord": cord_price,
        "Wood in a year": wood,
    },
    "Electricity": {
        "Power of all circulators": pump_power,
        "Hours lit in a year": lit,
        "Hours in which the fire rests": lambda w: lit(w) - firing(w),
        "Circulators in a year": of_pumps,
        "Hours in which the fan runs": firing,
        "Fan in a year": of_fan,
        "Electricity in a year": electricity,
    },
    "The first year": {
        "Today's fuels for the same heat": today,
        "Electricity and upkeep": lambda w: electricity(w) + upkeep(w),
        # Differences: a thousandth of what is subtracted.
        "Saving in a year": Near(saving, amount=5),
        "Simple payback": lambda w: w.number("money", "installed cost") / saving(w),
    },
    "Over the life": {
        "Present worth factor, wood": wood_factor,
        "Present worth factor, electricity": current_factor,
        "Present worth factor, upkeep": lambda w: factor(w, 0.0),
        "Present worth of today's fuels": fuels_worth,
        "Present worth of electricity and upkeep": running_worth,
        "Present worth of the wood": lambda w: wood(w) * wood_factor(w),
        "Net present value": Near(lambda w: left(w) - wood(w) * wood_factor(w), amount=75),
        "Price of a cord at which it stops paying": lambda w: left(w) / (w.year.cords * wood_factor(w)),
    },
}


def test_every_row_has_its_line() -> None:
    assert not lacking("Money", TABLE)


@pytest.mark.slow
def test_every_row_shows_something() -> None:
    assert not blank("Money")


@pytest.mark.parametrize("job", but_first(JOBS))
def test_what_the_rows_show(job: str) -> None:
    wrong = differences(job, "Money", TABLE)
    assert not wrong, wrong
