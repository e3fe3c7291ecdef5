"""The usual slips of the trade, each with what it changes.  To add one, write a function and put it on the list.

The order is that of how often they are met (common practice, no source): of two that fit equally well the
first is named first.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from fractions import Fraction
from typing import Any

import numpy as np

from hydrocalc import friction, liquids
from hydrocalc.measures import (
    BORE,
    DENSITY,
    FRACTION,
    POWER,
    SPECIFIC_HEAT,
    TEMPERATURE_DIFFERENCE,
    VELOCITY,
    VISCOSITY,
    Measure,
)

from ..sheet_rows import Row
from .mistakes import Slip
from .worlds import Change, World

Lines = Iterable[tuple[Row, Change]]

INCH, FOOT = 0.0254, 0.3048
# 500 BTU/h for a gpm and a °F is 8.33 lb/gal × 60 min × 1 BTU/(lb °F): water at about 60 °F.
COLD_DENSITY = 500 / (60 * 1.0) * 0.45359237 / 0.003785411784
COLD_HEAT = 4186.8
SIXTY = (60 - 32) / 1.8  # °C
IMPERIAL = 4.54609 / 3.785411784  # a gallon over a US gallon
KILOWATT = 3412.141633  # BTU/h
PSI_HEAD = 2.309  # ft of cold water for a psi
SEASONED = 0.20  # moisture on the wet basis
FULL_DEPTH = 48.0  # in, the depth of a full cord
LOOSE = 180 / 128  # ft³ of wood thrown loose for a cord, over the stacked cord
HEATING_EFFECT = 1.15
USUAL_DROP = 20 / 1.8  # K
NOTHING = 1e-9
LEAST_MILLIMETRES = 10.0  # a whole number below this is inches
HOURS_OF_YEAR = 8760.0


def _always(value: Row) -> Change:
    """The value of another line in place of this one."""
    return lambda values, _: values[value]


def _times(factor: float) -> Change:
    return lambda _, own: own * factor


def _only(condition: Row, texts: tuple[str, ...], change: Change) -> Change:
    """A change for the columns whose text is one of these."""
    return lambda values, own: np.where(np.isin(values[condition].astype(str), texts), change(values, own), own)


# -- tubes and head


def nominal_bore(size: str) -> float | None:
    """The trade size as a length (m): ``1-1/4`` is 1.25 in, ``32`` is 32 mm; None where it is not so named."""
    match = re.fullmatch(r"(?:(\d+)-)?(\d+)/(\d+)|(\d+)", size.strip())
    if match is None:
        return None
    if match.group(4):
        whole = float(match.group(4))
        return whole * INCH if whole < LEAST_MILLIMETRES else whole / 1000
    return float(int(match.group(1) or 0) + Fraction(int(match.group(2)), int(match.group(3)))) * INCH


def _nominal_bore(world: World) -> Lines:
    pipes = world.making.pipes

    def bore(_: Any, own: Any) -> Any:
        sizes = [nominal_bore(str(s)) for s in world.base[pipes.size]]
        return np.where([s is None for s in sizes], own, [world.trade(BORE, s or INCH) for s in sizes])

    yield pipes.bore, bore


def _outside_bore(world: World) -> Lines:
    yield world.making.pipes.bore, _always(world.making.pipes.outside)


def _head_lines(world: World) -> Iterable[tuple[Row, Row]]:
    """Every line of head with the equivalent length of fittings that goes into it."""
    for row in world.rows("Pipes", "Head of line and fittings"):
        yield row, world.making.pipes.fittings
    for row in world.making.pumps.sheet.rows:
        if row.label.startswith("Head of line and fittings"):
            which = row.label.removeprefix("Head of line and fittings")
            yield row, world.rows("Pumps", f"Equivalent length of fittings{which}")[-1]


def _lengths(ways: float, fittings: float) -> Callable[[World], Lines]:
    """Head with the length taken so many times and so much of the fittings."""

    def lines(world: World) -> Lines:
        length = world.making.pipes.length
        for row, extra in _head_lines(world):
            yield (
                row,
                lambda v, own, extra=extra: own * (ways * v[length] + fittings * v[extra]) / (2 * v[length] + v[extra]),  # type: ignore[misc]
            )

    return lines


def _gradients(world: World) -> Iterable[tuple[Row, Row]]:
    """Every line of head gradient of the size taken, with its velocity."""
    yield world.making.pipes.gradient, world.making.pipes.velocity
    for row in world.making.pumps.sheet.rows:
        if row.label.startswith("Head gradient"):
            which = row.label.removeprefix("Head gradient")
            yield row, world.rows("Pumps", f"Velocity{which}")[-1]


def _hazen_williams(coefficient: float) -> Callable[[World], Lines]:
    def lines(world: World) -> Lines:
        bore = world.making.pipes.bore
        metres, per_second = BORE.unit(world.system), VELOCITY.unit(world.system)
        for row, velocity in _gradients(world):

            def gradient(values: Any, own: Any, row: Row = row, velocity: Row = velocity) -> Any:
                d = metres.to_coherent(values[bore])
                flow = per_second.to_coherent(values[velocity]) * np.pi / 4 * d**2
                return world.call(friction.hazen_williams_gradient, values, flow, d, coefficient)

            yield row, gradient

    return lines


# -- water


def _five_hundred(kinds: tuple[str, ...]) -> Callable[[World], Lines]:
    def lines(world: World) -> Lines:
        pipes, site = world.making.pipes, world.making.site
        density, heat = world.trade(DENSITY, COLD_DENSITY), world.trade(SPECIFIC_HEAT, COLD_HEAT)
        for row, number in ((pipes.density, density), (pipes.specific_heat, heat)):
            yield row, _only(pipes.liquid, kinds, lambda _, own, n=number: own * 0 + n)  # type: ignore[misc]
        boiler = str(world.built.job.value("liquid", "kind"))
        if boiler in kinds:
            yield site.density, lambda _, own: own * 0 + density
            yield site.specific_heat, lambda _, own: own * 0 + heat

    return lines


def _antifreezes() -> tuple[str, ...]:
    from hydrocalc.tables import table

    return tuple(dict.fromkeys(k for k in table("liquids").texts(table("liquids").keys[0]) if k != "water"))


def _sixty_degrees(world: World) -> Lines:
    pipes = world.making.pipes
    for row, function in (
        (pipes.density, liquids.liquid_density),
        (pipes.specific_heat, liquids.liquid_specific_heat),
        (pipes.viscosity, liquids.liquid_viscosity),
    ):
        assert isinstance(function.result, Measure)
        water = {DENSITY: liquids.water_density, SPECIFIC_HEAT: liquids.water_specific_heat, VISCOSITY: liquids.water_viscosity}
        number = float(function.result.unit(world.system).from_coherent(water[function.result].body(np.float64(SIXTY))))
        yield row, _only(pipes.liquid, ("water",), lambda _, own, n=number: own * 0 + n)  # type: ignore[misc]


def _sixty_degrees_in_friction(world: World) -> Lines:
    pipes = world.making.pipes
    number = world.trade(VISCOSITY, float(liquids.water_viscosity.body(np.float64(SIXTY))))
    yield pipes.viscosity, _only(pipes.liquid, ("water",), lambda _, own: own * 0 + number)


def _antifreeze_as_water(world: World) -> Lines:
    pipes = world.making.pipes
    for row, function in (
        (pipes.density, liquids.water_density),
        (pipes.specific_heat, liquids.water_specific_heat),
        (pipes.viscosity, liquids.water_viscosity),
    ):
        yield row, _only(pipes.liquid, _antifreezes(), lambda v, _, f=function: world.call(f, v, pipes.mean))  # type: ignore[misc]


def _drop(factor: float) -> Callable[[World], Lines]:
    return lambda world: [(world.making.pipes.drop, _times(factor))]


def _usual_drop(world: World) -> Lines:
    usual = world.trade(TEMPERATURE_DIFFERENCE, USUAL_DROP)
    yield world.making.pipes.drop, lambda _, own: own * 0 + usual


# -- lines in the ground


def _no_line_loss(world: World) -> Lines:
    ground = world.making.ground
    for row in (ground.loss, ground.exchange):
        yield row, _times(NOTHING)


def _one_line(world: World) -> Lines:
    ground, returns = world.making.ground, world.making.returns
    yield returns.loss, _always(returns.supply_loss)
    yield ground.design_loss, _always(ground.supply_loss)
    for month in ground.months:
        yield month, _times(0.5)


def _dry_in_wet(world: World) -> Lines:
    yield world.making.ground.insulation, _always(world.making.ground.dry)


def _wet_in_dry(world: World) -> Lines:
    yield world.making.ground.insulation, _always(world.making.ground.wet)


def _yearly_ground(world: World) -> Lines:
    mean = world.making.site.mean
    yield world.making.ground.temperature, lambda values, own: own * 0 + values[mean]


# -- emitters and exchangers


def _catalogue_output(world: World) -> Lines:
    units = world.making.units
    yield world.making.steady.case.capacity, _only(world.making.needs.kind, ("baseboard",), _always(units.rated_output))


def _heating_effect(world: World) -> Lines:
    yield world.making.steady.case.capacity, _only(world.making.needs.kind, ("baseboard",), _times(HEATING_EFFECT))


def _supply_for_mean(world: World) -> Lines:
    units, case, indoor = world.making.units, world.making.steady.case, world.making.needs.indoor

    def output(values: Any, own: Any) -> Any:
        v = values
        excess = np.maximum(v[case.inlet] - v[indoor], 0.0)
        return v[units.output] * (excess / v[units.excess]) ** v[units.exponent]

    yield case.capacity, _only(world.making.needs.kind, ("baseboard",), output)


def _straight_proportion(world: World) -> Lines:
    yield world.making.units.exponent, _only(world.making.needs.kind, ("baseboard",), lambda _, own: own * 0 + 1.0)


def _fan_heater_rating(world: World) -> Lines:
    units = world.making.units
    yield world.making.steady.case.capacity, _only(world.making.needs.kind, ("fan heater",), _always(units.rated_output))


def _arithmetic_mean(world: World) -> Lines:
    load, hot_in, hot_out, cold_in, cold_out = (
        world.rows("Emitters", f"Exchanger rated {what}")[-1] for what in ("load", "hot inlet", "hot outlet", "cold inlet", "cold outlet")
    )
    for row in world.rows("Emitters", "Exchanger conductance, from the rating"):
        yield row, lambda v, _: v[load] / (((v[hot_in] - v[cold_out]) + (v[hot_out] - v[cold_in])) / 2)


def _parallel_water(world: World) -> Lines:
    case = world.making.steady.case
    arriving = world.rows(case.sheet.name, "Water arriving on the run")[-1]
    yield case.inlet, _always(arriving)


# -- wood


def _dry_basis_as_wet(world: World) -> Lines:
    full = world.trade(FRACTION, 1.0)
    yield world.making.cords.moisture, lambda _, own: own / np.maximum(1 - own / full, 0.3)


def _wet_basis_as_dry(world: World) -> Lines:
    full = world.trade(FRACTION, 1.0)
    yield world.making.cords.moisture, lambda _, own: own / (1 + own / full)


def _green_as_dry(world: World) -> Lines:
    seasoned = world.trade(FRACTION, SEASONED)
    yield world.making.cords.moisture, lambda _, own: np.minimum(own, seasoned)


def _gross_for_net(world: World) -> Lines:
    yield world.making.cords.cord_net, _always(world.making.cords.cord_energy)


def _net_for_gross(world: World) -> Lines:
    yield world.making.cords.cord_energy, _always(world.making.cords.cord_net)


def _net_efficiency_on_gross(world: World) -> Lines:
    for row in world.rows("Cords", "Gross heat over net heat, at 20 % moisture"):
        yield row, lambda _, own: own * 0 + 1.0


def _face_cord(depth: float) -> Callable[[World], Lines]:
    def lines(world: World) -> Lines:
        cords = world.making.cords
        for row in (cords.cord_energy, cords.cord_net, cords.cord_mass):
            yield row, _times(depth / FULL_DEPTH)

    return lines


def _face_cord_price(world: World) -> Lines:
    share = world.rows("Money", "Cords in a face cord")[-1]
    yield world.making.money.price, lambda v, own: own * v[share]


def _loose_cord(world: World) -> Lines:
    for row in (world.making.cords.cord_energy, world.making.cords.cord_net, world.making.cords.cord_mass):
        yield row, _times(1 / LOOSE)


def _boiler_efficiency(twice: bool) -> Callable[[World], Lines]:
    def lines(world: World) -> Lines:
        full = world.trade(FRACTION, 1.0)
        yield world.making.cords.efficiency, (lambda _, own: own * own / full) if twice else (lambda _, own: own * 0 + full)

    return lines


def _fuel_efficiency(twice: bool) -> Callable[[World], Lines]:
    def lines(world: World) -> Lines:
        full = world.trade(FRACTION, 1.0)
        yield world.making.used_fuels.efficiency, (lambda _, own: own * own / full) if twice else (lambda _, own: own * 0 + full)

    return lines


def _wood_for_nothing(world: World) -> Lines:
    yield world.making.money.wood, lambda _, own: own * 0


def _charge_as_burnt(world: World) -> Lines:
    moisture, full = world.making.cords.moisture, world.trade(FRACTION, 1.0)
    yield world.making.boiler.charge, lambda v, own: own / (1 - v[moisture] / full)


def _nameplate(world: World) -> Lines:
    rated = world.rows("Boiler", "Rated output")[-1]
    yield world.making.boiler.sustained, _always(rated)


# -- the season and the sum


def _season_factor(world: World) -> float:
    """The book's unit of a season's heat for an hour of the book's unit of power."""
    kind = world.making.season.year.kind
    return float(kind.unit(world.system).from_coherent(POWER.unit(world.system).to_coherent(1.0) * 3600.0))


def _peak_all_season(world: World) -> Lines:
    season, design, hour = world.making.season, world.making.needs.design_loss, _season_factor(world)
    for month, days in zip(season.building, season.served, strict=True):
        yield month, lambda v, _, days=days: v[design] * v[days] * 24 * hour  # type: ignore[misc]


def _season_as_peak(world: World) -> Lines:
    design, year, hour = world.making.needs.design_loss, world.making.season.year, _season_factor(world)
    yield design, lambda _, own: world.base[year] / (HOURS_OF_YEAR * hour)


def _hot_water_in_fuel(world: World) -> Lines:
    yield world.making.used_fuels.hot_water, lambda _, own: own * 0


def _all_at_once(world: World) -> Lines:
    full = world.trade(FRACTION, 1.0)
    yield world.making.needs.coincidence, lambda _, own: own * 0 + full


def _no_idle_loss(world: World) -> Lines:
    yield world.making.needs.idle_loss, lambda _, own: own * 0


def _without(kind: str) -> Callable[[World], Lines]:
    def lines(world: World) -> Lines:
        needs, kinds = world.making.needs.need, world.base[world.making.needs.kind]
        yield world.making.boiler.loads, lambda v, own: own - np.nansum(np.where(kinds == kind, v[needs], 0.0))

    return lines


def _still_air(world: World) -> Lines:
    yield world.making.needs.tub.wind, lambda _, own: own * 0


def _imperial_use(factor: float) -> Callable[[World], Lines]:
    def lines(world: World) -> Lines:
        yield world.making.pipes.own_flow, _times(factor)
        for row in world.rows("Loads", "Use a day"):
            yield row, _times(factor)

    return lines


# -- how the result is written


def _written(factor: float, *measures: str) -> Callable[[World, Measure], float | None]:
    return lambda _, kind: factor if kind.name in measures else None


def _to_celsius(_: World, kind: Measure, value: float) -> float | None:
    return (value - 32) / 1.8 if kind.name == "Temperature" else None


def _to_fahrenheit(_: World, kind: Measure, value: float) -> float | None:
    return value * 1.8 + 32 if kind.name == "Temperature" else None


HEATS = ("Power", "Energy", "SeasonEnergy", "HeatPerLength", "Conductance", "CordEnergy")
GRADIENTS = ("HeadGradient", "TemperatureGradient", "HeatPerLength", "ConductancePerLength", "Head")
DEGREES = ("TemperatureDifference", "TemperatureGradient", "DegreeDays")
PER_DEGREE = ("Conductance", "ConductancePerLength", "Conductivity")
GALLONS = ("Volume", "VolumeFlow")

SLIPS: tuple[Slip, ...] = (
    Slip("nominal bore", "the nominal size taken as the inside diameter", _nominal_bore, group="bore"),
    Slip("one way", "one way taken for the round trip", _lengths(1, 1), group="length"),
    Slip("one way without fittings", "one way taken for the round trip, and no fittings", _lengths(1, 0), group="length"),
    Slip("500 rule", "the 500 rule, true of cold water, used with hot water", _five_hundred(("water",)), group="water"),
    Slip(
        "500 rule with antifreeze", "the 500 rule, true of cold water, used with antifreeze", _five_hundred(_antifreezes()), group="water"
    ),
    Slip("water at 60 °F", "water taken as it is at 60 °F", _sixty_degrees, group="water"),
    Slip("water at 60 °F", "the friction of water at 60 °F", _sixty_degrees_in_friction, group="water"),
    Slip("Hazen-Williams", "Hazen–Williams (C 150), a formula for cold water, used with hot water", _hazen_williams(150), group="friction"),
    Slip("catalogue output", "the emitter's catalogue output taken at cooler water", _catalogue_output, group="emitter"),
    Slip("supply for mean", "the supply temperature taken for the mean water temperature", _supply_for_mean, group="emitter"),
    Slip("fan heater rating", "the fan heater taken at its rating", _fan_heater_rating, group="emitter"),
    Slip("no line loss", "the loss of the line left out", _no_line_loss, group="loss"),
    Slip("one line", "the loss of one line only, supply or return", _one_line, group="loss"),
    Slip("dry in wet", "the dry conductivity taken in a wet jacket", _dry_in_wet, group="jacket"),
    Slip("arithmetic mean", "the arithmetic mean taken for the log mean difference", _arithmetic_mean),
    Slip("parallel water", "a load further down the line given the water of the first", _parallel_water),
    Slip("face cord", "face cords (16 in) counted as cords", _face_cord(16), group="cord"),
    Slip("efficiency twice", "the boiler's efficiency applied twice", _boiler_efficiency(True), group="efficiency"),
    Slip("efficiency left out", "the boiler's efficiency left out", _boiler_efficiency(False), group="efficiency"),
    Slip("peak all season", "the design load taken for the whole season", _peak_all_season, group="season"),
    Slip("season as peak", "the season's mean load taken as the peak", _season_as_peak, group="season"),
    Slip("hot water in fuel", "the fuel for hot water counted as heating", _hot_water_in_fuel),
    Slip("green as dry", "green wood taken at its value when dry", _green_as_dry, group="moisture"),
    Slip("gross for net", "the gross heating value taken for the net", _gross_for_net, group="heating value"),
    Slip("net for gross", "the net heating value taken for the gross", _net_for_gross, group="heating value"),
    Slip("net efficiency", "an efficiency on the net heat used with the gross heat", _net_efficiency_on_gross),
    Slip("dry basis as wet", "a moisture taken on the dry basis where the wet is meant", _dry_basis_as_wet, group="moisture"),
    Slip("wet basis as dry", "a moisture on the wet basis converted as if it were on the dry", _wet_basis_as_dry, group="moisture"),
    Slip("fuel efficiency twice", "the efficiency of today's fuel applied twice", _fuel_efficiency(True), group="fuel"),
    Slip("fuel efficiency left out", "the efficiency of today's fuel left out", _fuel_efficiency(False), group="fuel"),
    Slip("thousand BTU", "thousands of BTU written as BTU (a factor of 1,000 too small)", result=_written(1e-3, *HEATS), group="written"),
    Slip("thousand BTU", "BTU written as thousands of BTU (a factor of 1,000 too large)", result=_written(1e3, *HEATS), group="written"),
    Slip("kW and BTU/h", "kilowatts written as BTU/h", result=_written(1 / KILOWATT, "Power"), group="written"),
    Slip("kW and BTU/h", "BTU/h written as kilowatts", result=_written(KILOWATT, "Power"), group="written"),
    Slip(
        "kW and BTU/h",
        "kilowatts written as thousands of BTU/h",
        result=_written(1000 / KILOWATT, "Power", "SeasonEnergy"),
        group="written",
    ),
    Slip(
        "kW and BTU/h",
        "thousands of BTU/h written as kilowatts",
        result=_written(KILOWATT / 1000, "Power", "SeasonEnergy"),
        group="written",
    ),
    Slip("°F and K", "kelvins written as degrees Fahrenheit", result=_written(1 / 1.8, *DEGREES), group="written"),
    Slip("°F and K", "degrees Fahrenheit written as kelvins", result=_written(1.8, *DEGREES), group="written"),
    Slip("°F and K", "for each kelvin written as for each degree Fahrenheit", result=_written(1.8, *PER_DEGREE), group="written"),
    Slip("°F and K", "for each degree Fahrenheit written as for each kelvin", result=_written(1 / 1.8, *PER_DEGREE), group="written"),
    Slip("°F and K", "the temperature drop taken in kelvins for degrees Fahrenheit", _drop(1.8), group="drop"),
    Slip("°F and K", "the temperature drop taken in degrees Fahrenheit for kelvins", _drop(1 / 1.8), group="drop"),
    Slip("°F and °C", "degrees Celsius written as Fahrenheit", moved=_to_celsius, group="written"),
    Slip("°F and °C", "degrees Fahrenheit written as Celsius", moved=_to_fahrenheit, group="written"),
    Slip("imperial gallons", "imperial gallons written as US gallons", result=_written(1 / IMPERIAL, *GALLONS), group="written"),
    Slip("imperial gallons", "US gallons counted as imperial ones", result=_written(IMPERIAL, *GALLONS), group="written"),
    Slip("imperial gallons", "US gallons taken for imperial ones where the water is counted", _imperial_use(IMPERIAL), group="gallons"),
    Slip("imperial gallons", "imperial gallons taken for US ones where the water is counted", _imperial_use(1 / IMPERIAL), group="gallons"),
    Slip(
        "factor 100", "for 100 ft written as for one foot (a factor of 100 too large)", result=_written(100.0, *GRADIENTS), group="written"
    ),
    Slip(
        "factor 100", "for one foot written as for 100 ft (a factor of 100 too small)", result=_written(0.01, *GRADIENTS), group="written"
    ),
    Slip("no fittings", "the fittings left out", _lengths(2, 0), group="length"),
    Slip("round trip twice", "the round trip counted twice", _lengths(4, 1), group="length"),
    Slip("antifreeze as water", "antifreeze reckoned as water", _antifreeze_as_water, group="water"),
    Slip("outside bore", "the outside diameter taken as the inside", _outside_bore, group="bore"),
    Slip("usual drop", "a drop of 20 °F taken in place of the job's own", _usual_drop, group="drop"),
    Slip("heating effect", "the 15 % of heating effect left in the emitter's rating", _heating_effect, group="emitter"),
    Slip("straight proportion", "the emitter's output taken in straight proportion to the water", _straight_proportion, group="emitter"),
    Slip("wet in dry", "the wet conductivity taken in a dry jacket", _wet_in_dry, group="jacket"),
    Slip("face cord price", "the price of a face cord taken as that of a cord", _face_cord_price),
    Slip("face cord", "face cords (18 in) counted as cords", _face_cord(18), group="cord"),
    Slip("face cord", "face cords (24 in) counted as cords", _face_cord(24), group="cord"),
    Slip("loose cord", "wood thrown loose counted as stacked", _loose_cord, group="cord"),
    Slip("wood for nothing", "the wood reckoned at no price", _wood_for_nothing),
    Slip("nameplate", "the rated output taken as what a charge sustains", _nameplate),
    Slip("charge as burnt", "the charge weighed with its water", _charge_as_burnt),
    Slip("hot water left out", "the hot water left out of the boiler's load", _without("hot water")),
    Slip("idle loss left out", "the idle loss of the existing boiler left out", _no_idle_loss),
    Slip("all at once", "every load counted in full on the design night", _all_at_once),
    Slip("still air", "the tub reckoned in still air", _still_air),
    Slip("yearly ground", "the ground taken at its yearly mean", _yearly_ground),
    Slip("Hazen-Williams", "Hazen–Williams (C 140), a formula for cold water, used with hot water", _hazen_williams(140), group="friction"),
    Slip("metres and feet", "metres written as feet", result=_written(FOOT, "Head", "Length", "Velocity"), group="written"),
    Slip("metres and feet", "feet written as metres", result=_written(1 / FOOT, "Head", "Length", "Velocity"), group="written"),
    Slip("psi and feet", "psi written as feet of head", result=_written(1 / PSI_HEAD, "Head"), group="written"),
    Slip("one way", "the round trip given where one way is asked", result=_written(2.0, "Length"), group="written"),
)
