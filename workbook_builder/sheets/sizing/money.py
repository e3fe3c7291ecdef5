"""Money: what the wood costs, what today's fuels cost for the same heat, and what the difference is worth."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from hydrocalc import money, wood
from hydrocalc.measures import FRACTION, MONEY, MONEY_PER_CORD, TIME
from workbook_builder.model.aggregates import Across, SumWhere, total_of
from workbook_builder.model.references import FirstGiven
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet

from .context import ONE, Making

FACE_LENGTH, FACE_HEIGHT = 8 * 0.3048, 4 * 0.3048  # m: a face cord is 8 ft long and 4 ft high
SHOWN_YEARS = 30
LEAST_CORDS = 1e-6
LEAST_MONEY = 0.01


def make_money(making: Making) -> None:
    """The columns of today's fuels, on Fuels, and the sheet Money."""
    fuels = making.used_fuels
    fuels.sheet.heading("What the same heat costs today")
    served = fuels.sheet.take("Heat that wood takes over", SumWhere(making.season.useful_year, making.usage.fuel, fuels.sheet.names))
    fuels.cost = fuels.sheet.line("Its cost in a year", money.heat_cost, served, fuels.heat_price)
    fuels.escalation = making.fetched(fuels.sheet, "escalation")
    fuels.factor = fuels.sheet.line(
        "Present worth factor", money.present_worth_factor, making.job("money", "interest"), fuels.escalation, making.job("money", "life")
    )
    fuels.weighted = fuels.sheet.calc("Its cost times its escalation", MONEY, lambda c, e: c * e, fuels.cost, fuels.escalation)
    fuels.worth = fuels.sheet.calc("Present worth of its cost", MONEY, lambda c, f: c * f, fuels.cost, fuels.factor)
    fuels.served = served
    sheet = making.book.sheet("Money", ONE, "Money")
    rows = SimpleNamespace(sheet=sheet)
    making.rows["money"] = rows
    _wood(making, sheet, rows)
    _current(making, sheet, rows)
    _year(making, sheet, rows)
    _life(making, sheet, rows)


def _wood(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    sheet.heading("Price of the wood")
    depth = sheet.calc("Depth of a face cord", making.pipes.length.kind, lambda d: d * 1.0, making.job("wood", "depth of a face cord"))
    cords = sheet.line("Cords in a face cord", wood.cords_in_stack, FACE_LENGTH, FACE_HEIGHT, depth)
    from_stack = sheet.line(
        "Price of a cord, from the face cord", money.cord_price_from_stack, making.job("wood", "price of a face cord"), cords
    )
    from_work = sheet.line(
        "Price of a cord, from the hours",
        money.cord_price_from_labor,
        making.job("wood", "hours a cord"),
        making.job("wood", "worth of an hour"),
    )
    rows.price = sheet.take("Price of a cord", FirstGiven((making.job("wood", "price of a cord"), from_stack, from_work)))
    rows.wood = sheet.line("Wood in a year", money.wood_cost, making.cords.cords_year, rows.price)


def _current(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    cords = making.cords
    sheet.heading("Electricity")
    price = making.job("money", "electricity price")
    pumps = sheet.take("Power of all circulators", Across(making.pumps.power, "SUM"))
    rows.hours_lit = sheet.take("Hours lit in a year", total_of(cords.hours))
    rows.hours_idle = sheet.take("Hours in which the fire rests", total_of(cords.idle))
    rows.pumps = sheet.line("Circulators in a year", money.pump_running_cost, pumps, rows.hours_lit, price)
    firing = sheet.calc("Hours in which the fan runs", TIME, lambda a, b: np.maximum(a - b, 0.0), rows.hours_lit, rows.hours_idle)
    rows.fan = sheet.line("Fan in a year", money.pump_running_cost, making.job("boiler", "fan power"), firing, price)
    rows.current = sheet.calc("Electricity in a year", MONEY, lambda a, b: a + b, rows.pumps, rows.fan)


def _year(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    sheet.heading("The first year")
    rows.today = sheet.take("Today's fuels for the same heat", Across(making.used_fuels.cost, "SUM"))
    upkeep = making.job("money", "upkeep a year")
    rows.running = sheet.calc("Electricity and upkeep", MONEY, lambda a, b: a + b, rows.current, upkeep)
    rows.saving = sheet.line("Saving in a year", money.annual_saving, rows.today, rows.wood, rows.running)
    cost = making.job("money", "installed cost")
    rows.payback = sheet.line("Simple payback", money.simple_payback, cost, rows.saving)


def _life(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    rate, life = making.job("money", "interest"), making.job("money", "life")
    cost = making.job("money", "installed cost")
    sheet.heading("Over the life")

    def factor(label: str, escalation: object, years: object) -> Row:
        return sheet.line(label, money.present_worth_factor, rate, escalation, years)

    wood_factor = factor("Present worth factor, wood", making.job("wood", "escalation"), life)
    current_factor = factor("Present worth factor, electricity", making.job("money", "electricity escalation"), life)
    upkeep_factor = factor("Present worth factor, upkeep", 0.0, life)
    fuels = sheet.take("Present worth of today's fuels", Across(making.used_fuels.worth, "SUM"))
    running = sheet.calc(
        "Present worth of electricity and upkeep",
        MONEY,
        lambda a, fa, b, fb: a * fa + b * fb,
        rows.current,
        current_factor,
        making.job("money", "upkeep a year"),
        upkeep_factor,
    )
    woods = sheet.calc("Present worth of the wood", MONEY, lambda a, f: a * f, rows.wood, wood_factor)
    rows.net = sheet.calc("Net present value", MONEY, lambda f, w, r, c: f - w - r - c, fuels, woods, running, cost)
    rows.break_even = sheet.calc(
        "Price of a cord at which it stops paying",
        MONEY_PER_CORD,
        lambda f, r, c, cords, factor_: np.maximum(f - r - c, 0.0) / (np.maximum(cords, LEAST_CORDS) * factor_),
        fuels,
        running,
        cost,
        making.cords.cords_year,
        wood_factor,
    )
    sheet.heading("Money ahead after each year, at today's worth")
    weighted = sheet.take("Cost of today's fuels times their escalation", Across(making.used_fuels.weighted, "SUM"))
    fuel_rise = sheet.calc(
        "Escalation of today's fuels, by their cost", FRACTION, lambda a, b: a / np.maximum(b, LEAST_MONEY), weighted, rows.today
    )
    ahead = sheet.calc("Year 0", MONEY, lambda c: 0 - c, cost)
    rows.cumulative = [ahead]
    for year in range(1, SHOWN_YEARS + 1):
        ahead = sheet.calc(
            f"Year {year}",
            MONEY,
            lambda before, today, e, w, we, q, qe, upkeep, i, n=year: (
                before + (today * (1 + e) ** (n - 1) - w * (1 + we) ** (n - 1) - q * (1 + qe) ** (n - 1) - upkeep) / (1 + i) ** n
            ),
            ahead,
            rows.today,
            fuel_rise,
            rows.wood,
            making.job("wood", "escalation"),
            rows.current,
            making.job("money", "electricity escalation"),
            making.job("money", "upkeep a year"),
            rate,
            words="the year before + (today's fuels − wood − electricity − upkeep, each risen) at today's worth",
        )
        rows.cumulative.append(ahead)
