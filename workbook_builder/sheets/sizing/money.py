"""Money: what the wood costs, what today's fuels cost for the same heat, and what the difference is worth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from hydrocalc import money, wood
from hydrocalc.measures import FRACTION, MONEY, MONEY_PER_CORD, RATIO, SEASON_ENERGY, TIME
from workbook_builder.model.aggregates import Across, SumWhere, total_of
from workbook_builder.model.references import FirstGiven, Guarded
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet

from .context import Context, over
from .results import Cords, FuelCosts, Fuels, Money, Pumps, Season, Usage

FACE_LENGTH, FACE_HEIGHT = 8 * 0.3048, 4 * 0.3048  # m: a face cord is 8 ft long and 4 ft high
SHOWN_YEARS = 30
LEAST_AND_MOST: tuple[tuple[str, Literal["MIN", "MAX"]], ...] = (("least", "MIN"), ("most", "MAX"))


def make_fuel_costs(context: Context, fuels: Fuels, usage: Usage, season: Season, cords: Cords) -> FuelCosts:
    """On Fuels, what the same heat costs."""
    fuels.sheet.heading("What the same heat costs today")
    by_loads = fuels.sheet.take("Heat by its loads", SumWhere(season.useful_year, usage.fuel, fuels.sheet.names))
    of_bill = fuels.sheet.calc("Heat by its loads, over that by the bill", RATIO, over, by_loads, fuels.lit_bought)
    served = fuels.sheet.calc(
        "Heat that wood takes over",
        SEASON_ENERGY,
        lambda q, by_loads, short, made: np.where(by_loads > 0, q * (1 - over(short, short + made)), 0.0),
        Guarded(FirstGiven((fuels.lit_bought, by_loads))),
        by_loads,
        cords.not_made,
        Guarded(total_of(cords.loads)),
        words="that by the bill, or else by its loads, less the part that the fire cannot make; nothing of a fuel without a load",
    )
    with fuels.sheet.whole_job():
        least, most = (
            fuels.sheet.take(f"Heat by loads over that by the bill, {name}", Across(of_bill, how)) for name, how in LEAST_AND_MOST
        )
    cost = fuels.sheet.line("Its cost in a year", money.heat_cost, served, fuels.heat_price)
    escalation = context.fetched(fuels.sheet, "escalation")
    factor = fuels.sheet.line(
        "Present worth factor", money.present_worth_factor, context.job("money", "interest"), escalation, context.job("money", "life")
    )
    weighted = fuels.sheet.calc("Its cost times its escalation", MONEY, lambda c, e: c * e, cost, escalation)
    worth = fuels.sheet.calc("Present worth of its cost", MONEY, lambda c, f: c * f, cost, factor)
    return FuelCosts(by_loads=by_loads, served=served, least_of_bill=least, most_of_bill=most, cost=cost, weighted=weighted, worth=worth)


def make_money(context: Context, pumps: Pumps, cords: Cords, costs: FuelCosts) -> Money:
    """The sheet Money."""
    sheet = context.sheet("Money")
    with sheet.whole_job():
        return _money(context, sheet, pumps, cords, costs)


def _money(context: Context, sheet: Sheet, pumps: Pumps, cords: Cords, costs: FuelCosts) -> Money:
    price, of_wood = _wood(context, sheet, cords)
    current = _current(context, sheet, pumps, cords)
    sheet.heading("The first year")
    today = sheet.take("Today's fuels for the same heat", Across(costs.cost, "SUM"))
    running = sheet.calc("Electricity and upkeep", MONEY, lambda a, b: a + b, current, context.job("money", "upkeep a year"))
    saving = sheet.line("Saving in a year", money.annual_saving, today, of_wood, running)
    payback = sheet.line("Simple payback", money.simple_payback, context.job("money", "installed cost"), saving)
    year = _Year(today, of_wood, current)
    net, break_even = _life(context, sheet, cords, costs, year)
    with sheet.folded("Workings: what is ahead after each year, for its chart"):
        cumulative = _ahead(context, sheet, costs, year)
    return Money(
        sheet=sheet,
        price=price,
        wood=of_wood,
        today=today,
        saving=saving,
        payback=payback,
        net=net,
        break_even=break_even,
        cumulative=cumulative,
    )


def _wood(context: Context, sheet: Sheet, cords: Cords) -> tuple[Row, Row]:
    """The price of a cord, and what the cords of a year cost."""
    sheet.heading("Price of the wood")
    depth = sheet.take("Depth of a face cord", context.job("wood", "depth of a face cord"))
    of_stack = sheet.line("Cords in a face cord", wood.cords_in_stack, FACE_LENGTH, FACE_HEIGHT, depth)
    from_stack = sheet.line(
        "Price of a cord, from the face cord", money.cord_price_from_stack, context.job("wood", "price of a face cord"), of_stack
    )
    from_work = sheet.line(
        "Price of a cord, from the hours",
        money.cord_price_from_labor,
        context.job("wood", "hours a cord"),
        context.job("wood", "worth of an hour"),
    )
    price = sheet.take("Price of a cord", FirstGiven((context.job("wood", "price of a cord"), from_stack, from_work)))
    return price, sheet.line("Wood in a year", money.wood_cost, cords.cords_year, price)


def _current(context: Context, sheet: Sheet, pumps: Pumps, cords: Cords) -> Row:
    sheet.heading("Electricity")
    price = context.job("money", "electricity price")
    power = sheet.take("Power of all circulators", Across(pumps.power, "SUM"))
    lit = sheet.take("Hours lit in a year", total_of(cords.hours))
    idle = sheet.take("Hours in which the fire rests", total_of(cords.idle))
    of_pumps = sheet.line("Circulators in a year", money.pump_running_cost, power, lit, price)
    firing = sheet.calc("Hours in which the fan runs", TIME, lambda a, b: np.maximum(a - b, 0.0), lit, idle)
    of_fan = sheet.line("Fan in a year", money.pump_running_cost, context.job("boiler", "fan power"), firing, price)
    return sheet.calc("Electricity in a year", MONEY, lambda a, b: a + b, of_pumps, of_fan)


@dataclass(frozen=True)
class _Year:
    """What is spent in the first year: on today's fuels, or on wood and electricity."""

    today: Row
    wood: Row
    current: Row


def _life(context: Context, sheet: Sheet, cords: Cords, costs: FuelCosts, year: _Year) -> tuple[Row, Row]:
    """Net present value, and the price of a cord at which it is nothing."""
    rate, life = context.job("money", "interest"), context.job("money", "life")
    cost = context.job("money", "installed cost")
    sheet.heading("Over the life")

    def factor(label: str, escalation: object, years: object) -> Row:
        return sheet.line(label, money.present_worth_factor, rate, escalation, years)

    wood_factor = factor("Present worth factor, wood", context.job("wood", "escalation"), life)
    current_factor = factor("Present worth factor, electricity", context.job("money", "electricity escalation"), life)
    upkeep_factor = factor("Present worth factor, upkeep", 0.0, life)
    fuels = sheet.take("Present worth of today's fuels", Across(costs.worth, "SUM"))
    running = sheet.calc(
        "Present worth of electricity and upkeep",
        MONEY,
        lambda a, fa, b, fb: a * fa + b * fb,
        year.current,
        current_factor,
        context.job("money", "upkeep a year"),
        upkeep_factor,
    )
    woods = sheet.calc("Present worth of the wood", MONEY, lambda a, f: a * f, year.wood, wood_factor)
    net = sheet.calc("Net present value", MONEY, lambda f, w, r, c: f - w - r - c, fuels, woods, running, cost)
    break_even = sheet.calc(
        "Price of a cord at which it stops paying",
        MONEY_PER_CORD,
        lambda f, r, c, n, factor_: over(np.maximum(f - r - c, 0.0), n * factor_),
        fuels,
        running,
        cost,
        cords.cords_year,
        wood_factor,
    )
    return net, break_even


def _ahead(context: Context, sheet: Sheet, costs: FuelCosts, first: _Year) -> tuple[Row, ...]:
    """What is left after each year, of what was saved until then."""
    sheet.heading("Cumulative saving after each year, at today's worth")
    weighted = sheet.take("Cost of today's fuels times their escalation", Across(costs.weighted, "SUM"))
    fuel_rise = sheet.calc("Escalation of today's fuels, by their cost", FRACTION, over, weighted, first.today)
    ahead = [sheet.calc("Year 0", MONEY, lambda c: 0 - c, context.job("money", "installed cost"))]
    for year in range(1, SHOWN_YEARS + 1):
        made = sheet.calc(
            f"Year {year}",
            MONEY,
            lambda before, today, e, w, we, q, qe, upkeep, i, n=year: (
                before + (today * (1 + e) ** (n - 1) - w * (1 + we) ** (n - 1) - q * (1 + qe) ** (n - 1) - upkeep) / (1 + i) ** n
            ),
            ahead[-1],
            first.today,
            fuel_rise,
            first.wood,
            context.job("wood", "escalation"),
            first.current,
            context.job("money", "electricity escalation"),
            context.job("money", "upkeep a year"),
            context.job("money", "interest"),
            words="the year before + (today's fuels − wood − electricity − upkeep, each risen) at today's worth",
        )
        ahead.append(made)
    return tuple(ahead)
