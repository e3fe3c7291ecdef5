"""Site: what the whole job stands on: the design night, the ground, the liquid in the boiler."""

from __future__ import annotations

from hydrocalc import liquids, pressure
from hydrocalc.measures import FRACTION, TEMPERATURE_DIFFERENCE
from workbook_builder.model.aggregates import Across
from workbook_builder.model.references import Constant, FirstGiven
from workbook_builder.model.table_references import TableNumber

from .context import Context
from .results import Climate, Site


def make_site(context: Context, climate: Climate) -> Site:
    """The sheet Site."""
    sheet = context.sheet("Boiler")
    system = context.book.system
    sheet.heading("Design night")
    difference = sheet.calc(
        "Design temperature difference",
        TEMPERATURE_DIFFERENCE,
        lambda indoor, outdoor: indoor - outdoor,
        context.job("site", "indoor temperature"),
        context.job("site", "outdoor design temperature"),
    )
    surface = sheet.line("Air pressure at the site", pressure.surface_pressure, context.job("site", "elevation"))
    boils = sheet.line("Water boils in an open boiler at", liquids.water_boiling_temperature, surface)
    sheet.heading("Year")
    degree_days = sheet.take("Degree days of the year", Across(climate.degree_days, "SUM"), shows="whole")
    sheet.heading("Ground")
    air = sheet.take("Mean air temperature of the year", Across(climate.mean, "AVERAGE"))
    warmest = sheet.take("Warmest month", Across(climate.mean, "MAX"))
    coldest = sheet.take("Coldest month", Across(climate.mean, "MIN"))
    swing = sheet.calc("Half the swing of the months", TEMPERATURE_DIFFERENCE, lambda high, low: (high - low) / 2, warmest, coldest)
    mean = sheet.take("Mean ground temperature", FirstGiven((context.job("site", "mean ground temperature"), air)))
    amplitude = sheet.take("Half the yearly swing of the ground", FirstGiven((context.job("site", "ground amplitude"), swing)))
    soil = context.job("site", "soil")
    table_conductivity = sheet.take("Soil conductivity, table", TableNumber("soils", "conductivity", (soil,), system))
    conductivity = sheet.take("Soil conductivity", FirstGiven((context.job("site", "soil conductivity"), table_conductivity)))
    diffusivity = sheet.take("Soil diffusivity", TableNumber("soils", "diffusivity", (soil,), system))
    sheet.heading("Liquid in the boiler")
    kind = context.job("liquid", "kind")
    by_volume = sheet.take("Antifreeze by volume", FirstGiven((context.job("liquid", "antifreeze by volume"), Constant(0, FRACTION))))
    from_volume = sheet.line("Antifreeze by mass, from the share by volume", liquids.glycol_mass_fraction, kind, by_volume)
    fraction = sheet.take("Antifreeze by mass", FirstGiven((context.job("liquid", "antifreeze by mass"), from_volume)))
    freezes = sheet.line("Freezes at", liquids.liquid_freezing_temperature, kind, fraction)
    on = context.job("boiler", "lower setpoint")
    density = sheet.line("Density of the boiler's water", liquids.liquid_density, kind, fraction, on)
    heat = sheet.line("Specific heat of the boiler's water", liquids.liquid_specific_heat, kind, fraction, on)
    return Site(
        sheet=sheet,
        difference=difference,
        surface=surface,
        boils=boils,
        degree_days=degree_days,
        mean=mean,
        amplitude=amplitude,
        conductivity=conductivity,
        diffusivity=diffusivity,
        fraction=fraction,
        freezes=freezes,
        density=density,
        specific_heat=heat,
    )
