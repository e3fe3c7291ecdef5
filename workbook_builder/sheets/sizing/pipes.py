"""Pipes: for each run the flow, five sizes of tube side by side, the one that is taken, and its head."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from hydrocalc import flow, friction, liquids
from hydrocalc.measures import BORE, COUNT, HEAD, LENGTH, POWER, RATIO, TEMPERATURE, VOLUME, VOLUME_FLOW
from workbook_builder.model.aggregates import FirstFit, SumWhere
from workbook_builder.model.references import Constant, FirstGiven, IfPositive, SumOf
from workbook_builder.model.rows import Row
from workbook_builder.model.table_references import CountSmaller, SizeByOrder, TableNumber
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import BRANCHING, CHOSEN

from .context import Making

# One size that is surely too small, for comparison, and four that may do.
CANDIDATES = 5


def make_pipes(making: Making) -> None:
    """The sheet Pipes."""
    sheet = making.book.sheet("Pipes", making.runs, "Pipes: flow, tube and head of each run")
    rows = SimpleNamespace(sheet=sheet)
    making.rows["pipes"] = rows
    _inputs(making, sheet, rows)
    _flow(making, sheet, rows)
    _candidates(making, sheet, rows)
    _taken(making, sheet, rows)


def _inputs(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    sheet.heading("The run")
    rows.starts_at, rows.length, rows.family = making.fetch(sheet, "starts at", "length", "tube family")
    rows.drop = making.fetched(sheet, "temperature drop")
    kind = making.fetched(sheet, "liquid", "Liquid, of its own")
    rows.liquid = sheet.take("Liquid", FirstGiven((kind, making.job("liquid", "kind"))))
    by_volume = making.fetched(sheet, "antifreeze by volume", "Antifreeze by volume, of its own")
    own = sheet.line("Antifreeze by mass, from the share by volume", liquids.glycol_mass_fraction, rows.liquid, by_volume)
    rows.fraction = sheet.take("Antifreeze by mass", FirstGiven((making.per(sheet, "antifreeze by mass"), own, making.site.fraction)))
    rows.supply = sheet.take("Supply temperature", making.job("boiler", "fan on at"))
    rows.mean = sheet.calc("Mean water temperature", TEMPERATURE, lambda t, d: t - d / 2, rows.supply, rows.drop)
    liquid = (rows.liquid, rows.fraction, rows.mean)
    rows.density = sheet.line("Density", liquids.liquid_density, *liquid)
    rows.specific_heat = sheet.line("Specific heat", liquids.liquid_specific_heat, *liquid)
    rows.viscosity = sheet.line("Viscosity", liquids.liquid_viscosity, *liquid)


def _flow(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    sheet.heading("Heat and flow")
    loads = making.needs
    rows.own_load = sheet.take("Load of this run", SumWhere(loads.need, loads.run, sheet.names), shows="whole")
    total = rows.own_load
    for depth in range(BRANCHING):
        branches = sheet.take(
            generation("Load of the runs that start here", depth), SumWhere(total, rows.starts_at, sheet.names), shows="whole"
        )
        total = sheet.calc(
            generation("Load with those", depth), POWER, lambda own, more: own + more, rows.own_load, branches, shows="whole"
        )
    rows.load = sheet.take("Load of the line", IfPositive(total), shows="whole")
    typed = making.fetched(sheet, "flow", "Flow, typed")
    by_drop = sheet.line("Flow from the temperature drop", flow.flow_from_load, rows.own_load, rows.drop, rows.density, rows.specific_heat)
    rows.own_flow = sheet.take("Flow to this run's loads", FirstGiven((typed, by_drop)))
    total = rows.own_flow
    for depth in range(BRANCHING):
        branches = sheet.take(generation("Flow to the runs that start here", depth), SumWhere(total, rows.starts_at, sheet.names))
        total = sheet.calc(generation("Flow with those", depth), VOLUME_FLOW, lambda own, more: own + more, rows.own_flow, branches)
    rows.flow = sheet.take("Flow of the line", IfPositive(total))


def generation(label: str, depth: int) -> str:
    return label if depth == 0 else f"{label}, to the next branch"


def _candidates(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    sheet.heading("Sizes side by side")
    limit = making.fetched(sheet, "highest velocity", "Highest velocity, of its own")
    rows.highest_velocity = sheet.take("Highest velocity", FirstGiven((limit, making.job("limits", "highest velocity"))))
    gradient_limit = making.fetched(sheet, "highest head gradient", "Highest head gradient, of its own")
    rows.highest_gradient = sheet.take("Highest head gradient", FirstGiven((gradient_limit, making.job("limits", "highest head gradient"))))
    wanted = sheet.calc("Bore at the highest velocity", BORE, lambda q, v: np.sqrt(4 * q / (np.pi * v)), rows.flow, rows.highest_velocity)
    too_small = sheet.take(
        "Sizes with a smaller bore", CountSmaller("tubes", "family", "inside_diameter", rows.family, wanted), shows="whole"
    )
    sizes: list[Row] = []
    fits: list[Row] = []
    rows.candidates = []
    for number in range(CANDIDATES):
        sheet.heading(f"Size {number + 1}")
        order = sheet.calc("Place in the family", COUNT, lambda n, k=number: np.maximum(n, 1.0) + k, too_small, shows="whole")
        size = sheet.take("Size", SizeByOrder(rows.family, order))
        velocity, gradient = _friction(making, sheet, rows, size)
        good = sheet.calc(
            "Keeps the limits (1: yes)",
            COUNT,
            lambda v, g, v_most, g_most: np.where((v <= v_most) & (g <= g_most), 1.0, 0.0),
            velocity,
            gradient,
            rows.highest_velocity,
            rows.highest_gradient,
            shows="whole",
        )
        sizes.append(size)
        fits.append(good)
        rows.candidates.append((size, velocity, gradient, good))
    sheet.heading("The size taken")
    rows.smallest = sheet.take("Smallest that keeps the limits", FirstFit(tuple(fits), tuple(sizes)))


def _friction(making: Making, sheet: Sheet, rows: SimpleNamespace, size: Row) -> tuple[Row, Row]:
    system = making.book.system
    bore = sheet.take("Inside diameter", TableNumber("tubes", "inside_diameter", (rows.family, size), system))
    velocity = sheet.line("Velocity", flow.velocity_from_flow, rows.flow, bore)
    roughness = sheet.take("Roughness", TableNumber("tubes", "roughness", (rows.family, size), system))
    reynolds = sheet.line("Reynolds number", friction.reynolds_number, velocity, bore, rows.density, rows.viscosity, shows="whole")
    relative = sheet.line("Relative roughness", friction.relative_roughness, roughness, bore)
    factor = sheet.line("Friction factor", friction.friction_factor, reynolds, relative)
    gradient = sheet.line("Head gradient", friction.head_gradient, velocity, bore, factor)
    rows.bore, rows.reynolds, rows.factor, rows.relative = bore, reynolds, factor, relative
    return velocity, gradient


def _taken(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    system = making.book.system
    typed = making.fetched(sheet, "size", "Size, typed or chosen")
    own = sheet.calc("Size, typed", typed.kind, lambda t: np.where(t == CHOSEN, "", t), typed)
    rows.size = sheet.take("Size", FirstGiven((own, rows.smallest)))
    rows.outside = sheet.take("Outside diameter", TableNumber("tubes", "outside_diameter", (rows.family, rows.size), system))
    rows.velocity, rows.gradient = _friction(making, sheet, rows, rows.size)
    rows.per_length = per_length = sheet.take(
        "Volume per length", TableNumber("tubes", "volume_per_length", (rows.family, rows.size), system)
    )
    rows.volume = sheet.calc("Water in supply and return", VOLUME, lambda v, n: 2 * v * n, per_length, rows.length)
    sheet.heading("Head of the run at its flow")
    typed_fittings = making.fetched(sheet, "equivalent length of fittings", "Equivalent length, typed")
    coefficients = [
        sheet.calc(f"Loss coefficient of the {plural}", RATIO, lambda n, k: n * k, making.fetched(sheet, plural), coefficient)
        for plural, coefficient in _coefficients(sheet, rows)
    ]
    total = sheet.calc("Loss coefficient, all fittings", RATIO, lambda a, b, c: a + b + c, *coefficients)
    from_counts = sheet.calc("Equivalent length from the counts", LENGTH, lambda k, d, f: k * d / f, total, rows.bore, rows.factor)
    rows.typed_fittings, rows.coefficient = typed_fittings, total
    rows.fittings = sheet.take("Equivalent length of fittings", FirstGiven((typed_fittings, from_counts)))
    rows.line_head = sheet.calc(
        "Head of line and fittings", HEAD, lambda g, n, e: g * (2 * n + e), rows.gradient, rows.length, rows.fittings
    )
    other_flow, other_head = making.fetch(sheet, "other head flow", "other head")
    other = sheet.line("Head of exchangers and coils", friction.scaled_head, rows.own_flow, other_flow, other_head)
    rows.other_head = sheet.take("Head of exchangers and coils, or none", FirstGiven((other, Constant(0, HEAD))))
    rows.head = sheet.take("Head of the run", SumOf((rows.line_head, rows.other_head)))


def _coefficients(sheet: Sheet, rows: SimpleNamespace) -> list[tuple[str, Row]]:
    names = {"elbows": "90° elbow", "tees": "tee, branch", "valves": "ball valve"}
    return [
        (plural, sheet.line(f"Loss coefficient of one {name}", friction.fitting_loss_coefficient, name, rows.bore))
        for plural, name in names.items()
    ]
