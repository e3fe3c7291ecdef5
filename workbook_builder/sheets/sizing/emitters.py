"""Emitters: what is known of each load's baseboard, heater, floor and exchanger before any water has reached it."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from hydrocalc import emitters, exchangers, flow, liquids, loads
from hydrocalc.measures import CONDUCTANCE, FRACTION, POWER, RATIO, RESISTANCE, TEMPERATURE, TEMPERATURE_DIFFERENCE
from workbook_builder.model.aggregates import Pick
from workbook_builder.model.references import Constant, FirstGiven, kind_is
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import BUILDINGS

from .context import Making

# The basic curve of a heated floor is rated here at this excess of surface over room; only its shape matters.
FLOOR_EXCESS = 10.0  # K
FLOOR_EXPONENT = 1.1  # EN 1264
NO_LIMIT = 1e9  # W: an emitter that is not a floor has no highest surface temperature
LEAST_EXCESS = 0.1  # K: a rating whose water is no warmer than its air is no rating
LEAST = 1e-6


def make_emitters(making: Making) -> None:
    """The sheet Emitters."""
    sheet = making.book.sheet("Emitters", making.loads, "Emitters and exchangers")
    rows = SimpleNamespace(sheet=sheet)
    making.rows["units"] = rows
    _second_side(making, sheet, rows)
    _emitter(making, sheet, rows)
    _fan_heater(making, sheet, rows)
    _hot_water(making, sheet, rows)


def _second_side(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    needs, pumps, pipes = making.needs, making.pumps, making.pipes
    sheet.heading("The exchanger and its second side")
    rows.behind = making.fetched(sheet, "behind an exchanger")
    typed = making.fetched(sheet, "exchanger conductance", "Exchanger conductance, typed")
    rating = making.fetch(
        sheet,
        "exchanger rated load",
        "exchanger rated hot inlet",
        "exchanger rated hot outlet",
        "exchanger rated cold inlet",
        "exchanger rated cold outlet",
    )
    rated = sheet.line("Exchanger conductance, from the rating", exchangers.conductance_from_rating, *rating)
    rows.exchanger_given = sheet.take("Exchanger conductance, given", FirstGiven((typed, rated)))
    of_run = sheet.take("Flow of its run", Pick(pumps.own_flow, pipes.sheet.names, needs.run))
    second = making.fetched(sheet, "second side flow", "Flow on the second side, typed")
    rows.second_flow = sheet.take("Flow on the second side", FirstGiven((second, of_run)))
    kind = making.fetched(sheet, "second side liquid")
    liquid = sheet.take("Liquid on the second side", FirstGiven((kind, making.job("liquid", "kind"))))
    by_volume = sheet.take(
        "Antifreeze on the second side, by volume",
        FirstGiven((making.per(sheet, "second side antifreeze by volume"), Constant(0, FRACTION))),
    )
    of_volume = sheet.line("Antifreeze by mass, from the share by volume", liquids.glycol_mass_fraction, liquid, by_volume)
    # A tub's own water is plain water whatever is in the boiler; its liquid is not an item of the tub.
    fraction = sheet.take(
        "Antifreeze on the second side, by mass", FirstGiven((making.per(sheet, "second side antifreeze by mass"), of_volume))
    )
    middle = sheet.take("Temperature for its density", making.job("boiler", "fan on at"))
    building = kind_is(needs.kind, *BUILDINGS)
    density = sheet.line("Density, second side", liquids.liquid_density, liquid, fraction, middle, when=building)
    heat = sheet.line("Specific heat, second side", liquids.liquid_specific_heat, liquid, fraction, middle, when=building)
    loop = sheet.line("Capacity rate of a building's own loop", flow.capacity_rate, rows.second_flow, density, heat, when=building)
    is_tub = kind_is(needs.kind, "tub")
    tub_density = sheet.line("Density of the tub's water", liquids.water_density, needs.tub_set, when=is_tub)
    tub_heat = sheet.line("Specific heat of the tub's water", liquids.water_specific_heat, needs.tub_set, when=is_tub)
    tub = sheet.line("Capacity rate of the tub's own flow", flow.capacity_rate, rows.second_flow, tub_density, tub_heat, when=is_tub)
    rows.second_rate = sheet.take("Capacity rate on the second side", FirstGiven((loop, tub)))


def _emitter(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    needs = making.needs
    sheet.heading("Baseboard, radiators and floors")
    baseboard, floor = kind_is(needs.kind, "baseboard"), kind_is(needs.kind, "floor")
    output, water, air, exponent = making.fetch(sheet, "rated output", "rated mean water temperature", "rated air temperature", "exponent")
    rows.rated_output = output
    board = sheet.calc("Rated output of the baseboard", POWER, lambda q: q * 1.0, output, when=baseboard, shows="whole")
    board_excess = sheet.calc(
        "Rated excess of the baseboard", TEMPERATURE_DIFFERENCE, lambda a, b: np.maximum(a - b, LEAST_EXCESS), water, air, when=baseboard
    )
    area, covering, slab, highest = making.fetch(sheet, "floor area", "covering resistance", "slab resistance", "highest floor temperature")
    indoor = needs.indoor
    ten_above = sheet.calc("Surface at the floor's rating", TEMPERATURE, lambda t: t + FLOOR_EXCESS, indoor, when=floor)
    floor_rated = sheet.line(
        "Output of the floor at that surface", emitters.floor_output, area, ten_above, indoor, when=floor, shows="whole"
    )
    floor_excess = sheet.calc("Rated excess of the floor", TEMPERATURE_DIFFERENCE, lambda a, b: a - b, ten_above, indoor, when=floor)
    rows.output = sheet.take("Rated output", FirstGiven((board, floor_rated)), shows="whole")
    rows.excess = sheet.take("Rated excess", FirstGiven((board_excess, floor_excess)))
    curve = sheet.calc(
        "Exponent of a floor",
        RATIO,
        lambda a: np.minimum(a, 0.0) + FLOOR_EXPONENT,
        area,
        when=floor,
        words="1.1, the basic curve of EN 1264",
    )
    board_exponent = sheet.calc("Exponent of the baseboard", RATIO, lambda n: n * 1.0, exponent, when=baseboard)
    rows.exponent = sheet.take("Exponent", FirstGiven((board_exponent, curve)))
    under = sheet.calc(
        "Way from the water to the floor's surface",
        RESISTANCE,
        lambda a, b, s: (a + b) / np.maximum(s, LEAST),
        covering,
        slab,
        area,
        when=floor,
    )
    none = sheet.calc("No such way", RESISTANCE, lambda q: np.minimum(q, 0.0) / np.maximum(q, LEAST), board, when=baseboard, words="none")
    rows.surface_resistance = sheet.take("Way to the surface, before the exchanger", FirstGiven((under, none)))
    limit = sheet.line("Output at the highest floor temperature", emitters.floor_output, area, highest, indoor, when=floor, shows="whole")
    no_limit = sheet.calc("No limit of temperature", POWER, lambda q: np.minimum(q, 0.0) + NO_LIMIT, board, when=baseboard, words="none")
    rows.floor_limit = sheet.take("Most that the surface may give", FirstGiven((limit, no_limit)), shows="whole")
    rows.highest_floor = highest


def _fan_heater(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    needs, site = making.needs, making.site
    sheet.heading("Fan heaters")
    when = kind_is(needs.kind, "fan heater")
    water, air, water_flow, air_flow = making.fetch(
        sheet, "rated entering water temperature", "rated entering air temperature", "rated water flow", "rated air flow"
    )
    entering = making.fetched(sheet, "entering air temperature", "Entering air temperature, typed")
    rows.entering_air = sheet.take("Entering air temperature", FirstGiven((entering, needs.indoor)))
    rated_density = sheet.line("Density of the water at the rating", liquids.water_density, water, when=when)
    rated_heat = sheet.line("Specific heat of the water at the rating", liquids.water_specific_heat, water, when=when)
    rated_rate = sheet.line(
        "Capacity rate of the water at the rating", flow.capacity_rate, water_flow, rated_density, rated_heat, when=when
    )
    air_density = sheet.line("Density of the air at the rating, sea level", loads.air_density, air, 101325.0, when=when)
    rated_air = sheet.line("Capacity rate of the air at the rating", emitters.air_capacity_rate, air_flow, air_density, when=when)
    rows.coil = sheet.line(
        "Conductance of the coil", emitters.fan_heater_conductance, rows.rated_output, water, air, rated_rate, rated_air, when=when
    )
    density = sheet.line("Density of the air here", loads.air_density, rows.entering_air, site.surface, when=when)
    rows.air_rate = sheet.line("Capacity rate of the air here", emitters.air_capacity_rate, air_flow, density, when=when)
    rows.coil_plain = sheet.calc(
        "Output for each degree at the rating",
        CONDUCTANCE,
        lambda q, a, b: q / np.maximum(a - b, LEAST_EXCESS),
        rows.rated_output,
        water,
        air,
        when=when,
    )


def _hot_water(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    needs = making.needs
    sheet.heading("Hot water while it is drawn")
    when = kind_is(needs.kind, "hot water")
    rows.heated_by, rows.draw, rows.mixing_valve = making.fetch(sheet, "heated by", "peak draw", "mixing valve")
    # The draw is metered hot, and so is the heat of it: a plate that carries that heat brings the water to what is wanted.
    density = sheet.line("Density of the water drawn", liquids.water_density, needs.wanted, when=when)
    middle = sheet.calc("Mean of cold and wanted", TEMPERATURE, lambda a, b: (a + b) / 2, needs.cold, needs.wanted, when=when)
    heat = sheet.line("Specific heat of the water drawn", liquids.water_specific_heat, middle, when=when)
    rows.draw_rate = sheet.line("Capacity rate of the peak draw", flow.capacity_rate, rows.draw, density, heat, when=when)
    rows.draw_load = sheet.line(
        "Heat of the peak draw", loads.hot_water_draw_load, rows.draw, needs.cold, needs.wanted, when=when, shows="whole"
    )
    by_plate = kind_is(rows.heated_by, "plate", "plate then tank")
    rows.wanted_of_plate = sheet.calc("Wanted of a plate", TEMPERATURE, lambda t: t * 1.0, needs.wanted, when=by_plate)
    rows.plate_load = sheet.calc(
        "Heat of the peak draw through a plate", POWER, lambda q: q * 1.0, rows.draw_load, when=by_plate, shows="whole"
    )
