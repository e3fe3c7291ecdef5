"""Emitters: what is known of each load's baseboard, heater, floor and exchanger before any water has reached it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hydrocalc import emitters, exchangers, flow, liquids, loads
from hydrocalc.measures import CONDUCTANCE, FRACTION, RATIO, RESISTANCE, TEMPERATURE, TEMPERATURE_DIFFERENCE
from workbook_builder.model.aggregates import Pick
from workbook_builder.model.references import Constant, FirstGiven, Where, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import BUILDINGS

from .context import Context, over
from .night_results import Emitters
from .results import Needs, Pipes, Pumps, Site

# The basic curve of a heated floor is rated here at this excess of surface over room; only its shape matters.
FLOOR_EXCESS = 10.0  # K
FLOOR_EXPONENT = 1.1  # EN 1264
LEAST_EXCESS = 0.1  # K: a rating whose water is no warmer than its air is no rating


@dataclass(frozen=True)
class _Curve:
    """Output of an emitter against the excess of its mean water or surface over the room."""

    rated_output: Row
    output: Row
    excess: Row
    exponent: Row
    surface_resistance: Row
    floor_limit: Row
    highest_floor: Row


@dataclass(frozen=True)
class _Coil:
    """A fan heater's coil and the air that enters it."""

    entering_air: Row
    coil: Row
    air_rate: Row
    coil_plain: Row


@dataclass(frozen=True)
class _Draw:
    """How hot water is made, and what its peak draw takes."""

    heated_by: Row
    mixing_valve: Row
    draw_rate: Row
    draw_load: Row
    plate_load: Row
    wanted_of_plate: Row


def make_emitters(context: Context, site: Site, needs: Needs, pipes: Pipes, pumps: Pumps) -> Emitters:
    """The sheet Emitters."""
    sheet = context.sheet("Needs")
    behind, given, second_flow, second_rate = _second_side(context, sheet, needs, pipes, pumps)
    curve = _emitter(context, sheet, needs)
    coil = _fan_heater(context, sheet, site, needs, curve.rated_output)
    draw = _hot_water(context, sheet, needs)
    return Emitters(
        sheet=sheet,
        behind=behind,
        exchanger_given=given,
        second_flow=second_flow,
        second_rate=second_rate,
        rated_output=curve.rated_output,
        output=curve.output,
        excess=curve.excess,
        exponent=curve.exponent,
        surface_resistance=curve.surface_resistance,
        floor_limit=curve.floor_limit,
        highest_floor=curve.highest_floor,
        entering_air=coil.entering_air,
        coil=coil.coil,
        air_rate=coil.air_rate,
        coil_plain=coil.coil_plain,
        heated_by=draw.heated_by,
        mixing_valve=draw.mixing_valve,
        draw_rate=draw.draw_rate,
        draw_load=draw.draw_load,
        plate_load=draw.plate_load,
        wanted_of_plate=draw.wanted_of_plate,
    )


def _second_side(context: Context, sheet: Sheet, needs: Needs, pipes: Pipes, pumps: Pumps) -> tuple[Row, Row, Row, Row]:
    """Whether a load stands behind an exchanger, the conductance that is given of it, the flow and the capacity rate of its second side."""
    sheet.heading("The exchanger and its second side")
    behind = context.fetched(sheet, "behind an exchanger")
    typed = context.fetched(sheet, "exchanger conductance", "Exchanger conductance, typed")
    rating = context.fetch(
        sheet,
        "exchanger rated load",
        "exchanger rated hot inlet",
        "exchanger rated hot outlet",
        "exchanger rated cold inlet",
        "exchanger rated cold outlet",
    )
    rated = sheet.line("Exchanger conductance, from the rating", exchangers.conductance_from_rating, *rating)
    given = sheet.take("Exchanger conductance, given", FirstGiven((typed, rated)))
    of_run = sheet.take("Flow of its run", Pick(pumps.own_flow, pipes.sheet.names, needs.run))
    second = context.fetched(sheet, "second side flow", "Flow on the second side, typed")
    second_flow = sheet.take("Flow on the second side", FirstGiven((second, of_run)))
    kind = context.fetched(sheet, "second side liquid")
    liquid = sheet.take("Liquid on the second side", FirstGiven((kind, context.job("liquid", "kind"))))
    by_volume = sheet.take(
        "Antifreeze on the second side, by volume",
        FirstGiven((context.per(sheet, "second side antifreeze by volume"), Constant(0, FRACTION))),
    )
    of_volume = sheet.line("Antifreeze by mass, from the share by volume", liquids.glycol_mass_fraction, liquid, by_volume)
    # A tub's own water is plain water whatever is in the boiler; its liquid is not an item of the tub.
    fraction = sheet.take(
        "Antifreeze on the second side, by mass", FirstGiven((context.per(sheet, "second side antifreeze by mass"), of_volume))
    )
    middle = sheet.take("Temperature for its density", context.job("boiler", "lower setpoint"))
    building = kind_is(needs.kind, *BUILDINGS)
    density = sheet.line("Density, second side", liquids.liquid_density, liquid, fraction, middle, when=building)
    heat = sheet.line("Specific heat, second side", liquids.liquid_specific_heat, liquid, fraction, middle, when=building)
    loop = sheet.line("Capacity rate of a building's own loop", flow.capacity_rate, second_flow, density, heat, when=building)
    is_tub = kind_is(needs.kind, "tub")
    tub_density = sheet.line("Density of the tub's water", liquids.water_density, needs.tub_set, when=is_tub)
    tub_heat = sheet.line("Specific heat of the tub's water", liquids.water_specific_heat, needs.tub_set, when=is_tub)
    tub = sheet.line("Capacity rate of the tub's own flow", flow.capacity_rate, second_flow, tub_density, tub_heat, when=is_tub)
    second_rate = sheet.take("Capacity rate on the second side", FirstGiven((loop, tub)))
    return behind, given, second_flow, second_rate


def _emitter(context: Context, sheet: Sheet, needs: Needs) -> _Curve:
    sheet.heading("Baseboard, radiators and floors")
    baseboard, floor = kind_is(needs.kind, "baseboard"), kind_is(needs.kind, "floor")
    output, water, air, exponent = context.fetch(sheet, "rated output", "rated mean water temperature", "rated air temperature", "exponent")
    area, covering, slab, highest = context.fetch(
        sheet, "floor area", "covering resistance", "slab resistance", "highest floor temperature"
    )
    indoor = needs.indoor
    board_excess = sheet.calc(
        "Rated excess of the baseboard", TEMPERATURE_DIFFERENCE, lambda a, b: np.maximum(a - b, LEAST_EXCESS), water, air, when=baseboard
    )
    ten_above = sheet.calc("Surface at the floor's rating", TEMPERATURE, lambda t: t + FLOOR_EXCESS, indoor, when=floor)
    floor_rated = sheet.line(
        "Output of the floor at that surface", emitters.floor_output, area, ten_above, indoor, when=floor, shows="whole"
    )
    floor_excess = sheet.calc("Rated excess of the floor", TEMPERATURE_DIFFERENCE, lambda a, b: a - b, ten_above, indoor, when=floor)
    rated = sheet.take("Rated output", FirstGiven((Where(output, baseboard), floor_rated)), shows="whole")
    excess = sheet.take("Rated excess", FirstGiven((board_excess, floor_excess)))
    basic = Where(Constant(FLOOR_EXPONENT, RATIO), floor)
    exponent_row = sheet.take(
        "Exponent", FirstGiven((Where(exponent, baseboard), basic)), words="as typed; of a floor 1.1, the basic curve of EN 1264"
    )
    under = sheet.calc(
        "Thermal resistance, water to the floor's surface",
        RESISTANCE,
        lambda a, b, s: over(a + b, s),
        covering,
        slab,
        area,
        when=floor,
    )
    surface = sheet.take(
        "Thermal resistance, mean water to surface",
        FirstGiven((under, Where(Constant(0, RESISTANCE), baseboard))),
        words="of a baseboard none",
    )
    limit = sheet.line("Output at the highest floor temperature", emitters.floor_output, area, highest, indoor, when=floor, shows="whole")
    return _Curve(output, rated, excess, exponent_row, surface, limit, highest)


def _fan_heater(context: Context, sheet: Sheet, site: Site, needs: Needs, rated_output: Row) -> _Coil:
    sheet.heading("Fan heaters")
    when = kind_is(needs.kind, "fan heater")
    water, air, water_flow, air_flow = context.fetch(
        sheet, "rated entering water temperature", "rated entering air temperature", "rated water flow", "rated air flow"
    )
    entering = context.fetched(sheet, "entering air temperature", "Entering air temperature, typed")
    entering_air = sheet.take("Entering air temperature", FirstGiven((entering, needs.indoor)))
    rated_density = sheet.line("Density of the water at the rating", liquids.water_density, water, when=when)
    rated_heat = sheet.line("Specific heat of the water at the rating", liquids.water_specific_heat, water, when=when)
    rated_rate = sheet.line(
        "Capacity rate of the water at the rating", flow.capacity_rate, water_flow, rated_density, rated_heat, when=when
    )
    air_density = sheet.line("Density of the air at the rating, sea level", loads.air_density, air, 101325.0, when=when)
    rated_air = sheet.line("Capacity rate of the air at the rating", emitters.air_capacity_rate, air_flow, air_density, when=when)
    coil = sheet.line(
        "Conductance of the coil", emitters.fan_heater_conductance, rated_output, water, air, rated_rate, rated_air, when=when
    )
    density = sheet.line("Density of the air here", loads.air_density, entering_air, site.surface, when=when)
    air_rate = sheet.line("Capacity rate of the air here", emitters.air_capacity_rate, air_flow, density, when=when)
    plain = sheet.calc(
        "Output for each degree at the rating",
        CONDUCTANCE,
        lambda q, a, b: q / np.maximum(a - b, LEAST_EXCESS),
        rated_output,
        water,
        air,
        when=when,
    )
    return _Coil(entering_air, coil, air_rate, plain)


def _hot_water(context: Context, sheet: Sheet, needs: Needs) -> _Draw:
    sheet.heading("Hot water while it is drawn")
    when = kind_is(needs.kind, "hot water")
    heated_by, draw, mixing_valve = context.fetch(sheet, "heated by", "peak draw", "mixing valve")
    # The draw is metered hot, and so is the heat of it: a plate that carries that heat brings the water to what is wanted.
    density = sheet.line("Density of the water drawn", liquids.water_density, needs.wanted, when=when)
    middle = sheet.calc("Mean of cold and wanted", TEMPERATURE, lambda a, b: (a + b) / 2, needs.cold, needs.wanted, when=when)
    heat = sheet.line("Specific heat of the water drawn", liquids.water_specific_heat, middle, when=when)
    rate = sheet.line("Capacity rate of the peak draw", flow.capacity_rate, draw, density, heat, when=when)
    load = sheet.line("Heat of the peak draw", loads.hot_water_draw_load, draw, needs.cold, needs.wanted, when=when, shows="whole")
    by_plate = kind_is(heated_by, "plate", "plate then tank")
    plate_load = sheet.take("Heat of the peak draw through a plate", Where(load, by_plate), shows="whole")
    wanted = sheet.take("Wanted of a plate", Where(needs.wanted, by_plate))
    return _Draw(heated_by, mixing_valve, rate, load, plate_load, wanted)
