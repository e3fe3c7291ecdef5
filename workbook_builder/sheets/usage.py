"""Fuels and Usage: the fuels burnt today, and the conductance of a building worked back from what it burnt."""

from __future__ import annotations

from types import SimpleNamespace

from hydrocalc import loads, money
from hydrocalc.measures import DEGREE_DAYS, SEASON_ENERGY

from ..references import At, FirstGiven, Pick, TableNumber, TableText, total_of
from ..vocabulary import MONTHS
from .common import Making


def make_fuels(making: Making) -> None:
    """The sheet Fuels: one column for each fuel of today."""
    sheet = making.book.sheet("Fuels", making.fuel_axis, "Fuels used today")
    system = making.book.system
    rows = SimpleNamespace(sheet=sheet)
    making.rows["used_fuels"] = rows
    fuel, price = making.fetch(sheet, "fuel", "price")
    rows.unit = sheet.take("Sold by", TableText("fuels", "unit", (fuel,)))
    rows.content = sheet.take("Heat content", TableNumber("fuels", "heat_content", (fuel,), system))
    efficiency, use, share = making.fetch(sheet, "seasonal efficiency", "use", "share for hot water")
    rows.fuel, rows.price, rows.efficiency, rows.use = fuel, price, efficiency, use
    rows.bought = sheet.line("Useful heat of the use", money.useful_fuel_heat, use, rows.content, efficiency)
    rows.bought_gross = sheet.calc("Heat bought", SEASON_ENERGY, lambda q, e: q / e, rows.bought, efficiency)
    rows.hot_water = sheet.calc("Of it for hot water", SEASON_ENERGY, lambda q, s: q * s, rows.bought, share)
    typed = making.fetched(sheet, "degree days of the use", "Degree days of the use, typed")
    year = sheet.take("Degree days of the year at the site's base", making.site.degree_days)
    rows.degree_days = sheet.take("Degree days of the use", FirstGiven((typed, year)))
    rows.heat_price = sheet.line("Price of useful heat", money.heat_price, price, rows.content, efficiency)


def make_usage(making: Making) -> None:
    """The sheet Usage: one column for each load."""
    sheet = making.book.sheet("Usage", making.loads, "Conductance from the fuel used")
    fuels, climate = making.used_fuels, making.climate
    rows = SimpleNamespace(sheet=sheet)
    making.rows["usage"] = rows
    typed = making.fetched(sheet, "fuel today", "Fuel today, typed")
    rows.fuel = sheet.take("Fuel today", FirstGiven((typed, At(fuels.sheet.names, 0))))
    share = making.fetched(sheet, "share of fuel")
    given = making.fetched(sheet, "balance temperature", "Balance temperature, typed")
    rows.balance = sheet.take("Balance temperature of the use", FirstGiven((given, making.job("site", "degree day base"))))
    sheet.heading("Degree days of an ordinary year at that balance temperature")
    months = [
        sheet.line(month, loads.monthly_degree_days, At(climate.mean, i), rows.balance, At(climate.days, i))
        for i, month in enumerate(MONTHS)
    ]
    year = sheet.take("The year", total_of(months))
    sheet.heading("Conductance")
    used = sheet.take("Degree days of the use, at the site's base", Pick(fuels.degree_days, fuels.sheet.names, rows.fuel))
    at_balance = sheet.calc(
        "Degree days of the use, at the balance temperature", DEGREE_DAYS, lambda u, y, b: u * y / b, used, year, making.site.degree_days
    )
    bought = sheet.take("Heat bought with the fuel", Pick(fuels.bought_gross, fuels.sheet.names, rows.fuel))
    efficiency = sheet.take("Seasonal efficiency of the fuel", Pick(fuels.efficiency, fuels.sheet.names, rows.fuel))
    hot_water = sheet.take("Heat for hot water", Pick(fuels.hot_water, fuels.sheet.names, rows.fuel))
    part = sheet.calc("Heat bought for this building", SEASON_ENERGY, lambda q, s: q * s, bought, share)
    other = sheet.calc("Its part of the heat for hot water", SEASON_ENERGY, lambda q, s: q * s, hot_water, share)
    rows.conductance = sheet.line("Conductance from the fuel", loads.conductance_from_fuel, part, efficiency, at_balance, other)
