"""Pipes: for each run the flow, five sizes of tube side by side, the one that is taken, and its head."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from hydrocalc import flow, friction, liquids
from hydrocalc.measures import BORE, COUNT, HEAD, LENGTH, POWER, RATIO, TEMPERATURE, VOLUME, VOLUME_FLOW
from hydrocalc.named import Named
from workbook_builder.model.aggregates import FirstFit, Pick, SumWhere
from workbook_builder.model.base import ShowsNumber
from workbook_builder.model.references import Constant, Either, FirstGiven, Holds, MoreThan, Says, SumOf, Unguarded, Where
from workbook_builder.model.rows import Row
from workbook_builder.model.table_references import CountSmaller, SizeByOrder, TableNumber
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import CHOSEN

from .context import Context, over
from .results import Needs, Parted, Pipes, SideBySide, Site, Start

# One size that is surely too small, for comparison, and four that may do.
CANDIDATES = 5
SAME = 1e-6  # of a share of antifreeze


def make_pipes(context: Context, site: Site, needs: Needs) -> Pipes:
    """The sheet Pipes."""
    sheet = context.sheet("Lines")
    sheet.heading("The run")
    typed_start, length, family = context.fetch(sheet, "starts at", "length", "tube family")
    start = _start(context, sheet, needs, typed_start)
    water = _water(context, sheet, site, start)
    flows = _flows(context, sheet, needs, start, length, water)
    through = _Through(family, water, flows.flow)
    candidates = _candidates(context, sheet, through)
    typed = context.fetched(sheet, "size", "Size, typed or chosen")
    own = sheet.calc("Size, typed", typed.kind, lambda t: np.where(t == CHOSEN, "", t), typed)
    size = sheet.take("Size", FirstGiven((own, candidates.smallest)))
    outside = sheet.take("Outside diameter", TableNumber("tubes", "outside_diameter", (family, size), context.book.system))
    (tube,) = _friction(sheet, through, (size,), ("",))
    per_length = sheet.take("Volume per length", TableNumber("tubes", "volume_per_length", (family, size), context.book.system))
    volume = sheet.calc("Water in supply and return", VOLUME, lambda v, n: 2 * v * n, per_length, length)
    head = _head(context, sheet, start, length, tube, flows.own_flow)
    return Pipes(
        sheet=sheet,
        start=start,
        starts_at=start.at,
        length=length,
        family=family,
        drop=water.drop,
        liquid=water.liquid,
        fraction=water.fraction,
        parted=water.parted,
        supply=water.supply,
        mean=water.mean,
        density=water.density,
        specific_heat=water.specific_heat,
        viscosity=water.viscosity,
        own_load=flows.own_load,
        load=flows.load,
        own_flow=flows.own_flow,
        flow=flows.flow,
        highest_velocity=candidates.highest_velocity,
        highest_gradient=candidates.highest_gradient,
        side_by_side=candidates.side_by_side,
        size=size,
        outside=outside,
        bore=tube.bore,
        relative=tube.relative,
        velocity=tube.velocity,
        reynolds=tube.reynolds,
        gradient=tube.gradient,
        per_length=per_length,
        volume=volume,
        typed_fittings=head.typed_fittings,
        coefficient=head.coefficient,
        fittings=head.fittings,
        other_head=head.others,
        head=head.whole,
    )


def _start(context: Context, sheet: Sheet, needs: Needs, typed: Row) -> Start:
    """A run's water is the boiler's, that of a run's end, or what a load of a run leaves."""
    if not context.goes_on:
        return Start(typed, typed, None, None)
    after = context.fetched(sheet, "starts after")
    before = sheet.take("Run whose flow goes on here", Pick(needs.run, needs.sheet.names, after))
    at = sheet.calc("Starts at, unless a flow goes on here", None, lambda s, load: np.where(load == "", s, ""), typed, Unguarded(after))
    return Start(at, sheet.take("Run that gives the water", FirstGiven((before, at))), after, before)


def going_on(sheet: Sheet, start: Start, row: Row, label: str) -> Row:
    """The row with what follows on a run whose flow goes on into another, which has the same flow."""
    if start.before is None:
        return row
    more = SumWhere(row, start.before, sheet.names, blank=False)
    return sheet.calc(label, row.kind, lambda own, gone: own + gone, row, more)


def same_flow(sheet: Sheet, start: Start, row: Row, label: str) -> Row:
    """A flow, where a run's goes on here that of the run."""
    if start.before is None:
        return row
    return sheet.take(label, FirstGiven((Pick(row, sheet.names, start.before), row)))


@dataclass(frozen=True)
class _Water:
    """The water of each run: its liquid and what that is at its mean temperature."""

    drop: Row
    liquid: Row
    fraction: Row
    parted: Parted | None
    supply: Row
    mean: Row
    density: Row
    specific_heat: Row
    viscosity: Row


def _water(context: Context, sheet: Sheet, site: Site, start: Start) -> _Water:
    drop = context.fetched(sheet, "temperature drop")
    kind = context.fetched(sheet, "liquid", "Liquid, of its own")
    liquid = sheet.take("Liquid", FirstGiven((kind, context.job("liquid", "kind"))))
    by_volume = context.fetched(sheet, "antifreeze by volume", "Antifreeze by volume, of its own")
    own = sheet.line("Antifreeze by mass, from the share by volume", liquids.glycol_mass_fraction, liquid, by_volume)
    fraction = sheet.take("Antifreeze by mass", FirstGiven((context.per(sheet, "antifreeze by mass"), own, site.fraction)))
    parted = None
    if context.parted:
        for depth in range(context.branching):
            before = (Pick(liquid, sheet.names, start.on), Pick(fraction, sheet.names, start.on))
            liquid = sheet.take(
                generation("Liquid, or that of the run before", depth), FirstGiven((kind, before[0], context.job("liquid", "kind")))
            )
            shares = (context.per(sheet, "antifreeze by mass"), own, before[1], site.fraction)
            fraction = sheet.take(generation("Antifreeze by mass, or that of the run before", depth), FirstGiven(shares))
        parted = _parted(context, sheet, site, start, liquid, fraction)
    supply = sheet.take("Supply temperature", context.job("boiler", "lower setpoint"))
    mean = sheet.calc("Mean water temperature", TEMPERATURE, lambda t, d: t - d / 2, supply, drop)
    of_liquid = (liquid, fraction, mean)
    density = sheet.line("Density", liquids.liquid_density, *of_liquid)
    specific_heat = sheet.line("Specific heat", liquids.liquid_specific_heat, *of_liquid)
    viscosity = sheet.line("Viscosity", liquids.liquid_viscosity, *of_liquid)
    return _Water(drop, liquid, fraction, parted, supply, mean, density, specific_heat, viscosity)


def _parted(context: Context, sheet: Sheet, site: Site, start: Start, liquid: Row, fraction: Row) -> Parted:
    """Another liquid or another strength than where it starts, or an exchanger that is typed."""
    before = sheet.take("Liquid where it starts", FirstGiven((Pick(liquid, sheet.names, start.on), context.job("liquid", "kind"))))
    strength = sheet.take("Antifreeze where it starts", FirstGiven((Pick(fraction, sheet.names, start.on), site.fraction)))
    differs = sheet.calc(
        "Another liquid or strength than where it starts (1: yes)",
        COUNT,
        lambda a, b, x, y: np.where((a == b) & (np.abs(x - y) <= SAME), 0.0, 1.0),
        *(liquid, before, fraction, strength),
        shows="whole",
    )
    typed = Where(Constant(1, COUNT), Holds(context.fetched(sheet, "exchanger conductance", "Exchanger conductance at its start, typed")))
    so = sheet.take("Behind an exchanger at its start (1: yes)", FirstGiven((typed, differs)), shows="whole")
    flow_before = context.fetched(sheet, "flow before the exchanger")
    return Parted(so, sheet.take("Flow before the exchanger, where there is one", Where(flow_before, Says(so))))


def at_its_start(sheet: Sheet, parted: Parted | None, row: Row, label: str) -> Row:
    """The flow that a run takes from where it starts: its own, or that of the other side of its exchanger."""
    return row if parted is None else sheet.take(label, FirstGiven((parted.flow, row)))


@dataclass(frozen=True)
class _Flows:
    """Heat and flow of each run: to its own loads, and of its line with the branches."""

    own_load: Row
    load: Row
    own_flow: Row
    flow: Row


def _flows(context: Context, sheet: Sheet, needs: Needs, start: Start, length: Row, water: _Water) -> _Flows:
    sheet.heading("Heat and flow")
    own_load = sheet.take("Load of this run", SumWhere(needs.need, needs.run, sheet.names), shows="whole")
    total = own_load
    for depth in range(context.branching):
        branches = sheet.take(generation("Load of the runs that start here", depth), SumWhere(total, start.on, sheet.names), shows="whole")
        total = sheet.calc(generation("Load with those", depth), POWER, lambda own, more: own + more, own_load, branches, shows="whole")
    load = sheet.take("Load of the line", Where(total, Either(Holds(length), MoreThan(total))), shows="whole")
    typed = context.fetched(sheet, "flow", "Flow, typed")
    by_drop = sheet.line(
        "Flow from the temperature drop",
        flow.flow_from_load,
        going_on(sheet, start, own_load, "Load of its flow"),
        water.drop,
        water.density,
        water.specific_heat,
    )
    own_flow = sheet.take("Flow to this run's loads", FirstGiven((typed, by_drop)))
    own_flow = same_flow(sheet, start, own_flow, "Flow to this run's loads, as it goes on")
    total = own_flow
    for depth in range(context.branching):
        taken = at_its_start(sheet, water.parted, total, generation("Flow taken where it starts", depth))
        branches = sheet.take(generation("Flow to the runs that start here", depth), SumWhere(taken, start.at, sheet.names))
        total = sheet.calc(generation("Flow with those", depth), VOLUME_FLOW, lambda own, more: own + more, own_flow, branches)
    return _Flows(own_load, load, own_flow, sheet.take("Flow of the line", Where(total, Either(Holds(length), MoreThan(total)))))


def generation(label: str, depth: int) -> str:
    return label if depth == 0 else f"{label}, to the next branch"


@dataclass(frozen=True)
class _Through:
    """What passes through tubes of which family."""

    family: Row
    water: _Water
    flow: Row


def _candidates(context: Context, sheet: Sheet, through: _Through) -> _Candidates:
    sheet.heading("Sizes side by side")
    limit = context.fetched(sheet, "highest velocity", "Highest velocity, of its own")
    highest_velocity = sheet.take("Highest velocity", FirstGiven((limit, context.job("limits", "highest velocity"))))
    gradient_limit = context.fetched(sheet, "highest head loss", "Highest head loss, of its own")
    highest_gradient = sheet.take("Highest head loss", FirstGiven((gradient_limit, context.job("limits", "highest head loss"))))
    wanted = sheet.calc("Bore at the highest velocity", BORE, lambda q, v: np.sqrt(4 * q / (np.pi * v)), through.flow, highest_velocity)
    too_small = sheet.take(
        "Sizes with a smaller bore", CountSmaller("tubes", "family", "inside_diameter", through.family, wanted), shows="whole"
    )
    places = range(CANDIDATES)
    names = [f", size {n + 1}" for n in places]
    with sheet.folded("Workings: sizes side by side"):
        orders = [
            sheet.calc(f"Place in the family{names[n]}", COUNT, lambda c, k=n: np.maximum(c, 1.0) + k, too_small, shows="whole")
            for n in places
        ]
        sizes = tuple(sheet.take(f"Size {n + 1}", SizeByOrder(through.family, orders[n])) for n in places)
        tubes = _friction(sheet, through, sizes, names)
        fits = tuple(
            sheet.calc(
                f"Keeps the limits (1: yes){names[n]}",
                COUNT,
                lambda v, g, v_most, g_most: np.where((v <= v_most) & (g <= g_most), 1.0, 0.0),
                tubes[n].velocity,
                tubes[n].gradient,
                highest_velocity,
                highest_gradient,
                shows="whole",
            )
            for n in places
        )
    sheet.heading("The size taken")
    smallest = sheet.take("Smallest that keeps the limits", FirstFit(fits, sizes))
    side_by_side = SideBySide(sizes, tuple(t.velocity for t in tubes), tuple(t.gradient for t in tubes))
    return _Candidates(highest_velocity, highest_gradient, smallest, side_by_side)


@dataclass(frozen=True)
class _Candidates:
    """The highest velocity and head loss per length, the smallest size that keeps both, and all that were looked at."""

    highest_velocity: Row
    highest_gradient: Row
    smallest: Row
    side_by_side: SideBySide


@dataclass(frozen=True)
class _Tube:
    """A size of tube, and the friction in it."""

    bore: Row
    relative: Row
    factor: Row
    velocity: Row
    reynolds: Row
    gradient: Row


def _friction(sheet: Sheet, through: _Through, sizes: Sequence[Row], names: Sequence[str]) -> list[_Tube]:
    """The friction in tubes, quantity by quantity, so that those of one quantity stand one below another."""
    system, water = sheet.book.system, through.water

    def of_table(label: str, column: str) -> list[Row]:
        return [
            sheet.take(f"{label}{name}", TableNumber("tubes", column, (through.family, size), system))
            for size, name in zip(sizes, names, strict=True)
        ]

    def each(label: str, function: Named[Any], *arguments: Sequence[Row] | Row, shows: ShowsNumber = "general") -> list[Row]:
        return [
            sheet.line(f"{label}{name}", function, *(a if isinstance(a, Row) else a[n] for a in arguments), shows=shows)
            for n, name in enumerate(names)
        ]

    bore = of_table("Inside diameter", "inside_diameter")
    velocity = each("Velocity", flow.velocity_from_flow, through.flow, bore)
    roughness = of_table("Roughness", "roughness")
    reynolds = each("Reynolds number", friction.reynolds_number, velocity, bore, water.density, water.viscosity, shows="whole")
    relative = each("Relative roughness", friction.relative_roughness, roughness, bore)
    factor = each("Friction factor", friction.friction_factor, reynolds, relative)
    gradient = each("Head loss per length", friction.head_gradient, velocity, bore, factor)
    return [_Tube(*rows) for rows in zip(bore, relative, factor, velocity, reynolds, gradient, strict=True)]


@dataclass(frozen=True)
class _Head:
    """What the head of a run consists of, beside the line."""

    typed_fittings: Row
    coefficient: Row
    fittings: Row
    others: Row
    whole: Row


def _head(context: Context, sheet: Sheet, start: Start, length: Row, tube: _Tube, own_flow: Row) -> _Head:
    sheet.heading("Head of the run at its flow")
    typed_fittings = context.fetched(sheet, "equivalent length of fittings", "Equivalent length, typed")
    coefficients = [
        sheet.calc(f"Loss coefficient of the {plural}", RATIO, lambda n, k: n * k, context.fetched(sheet, plural), coefficient)
        for plural, coefficient in _coefficients(sheet, tube.bore)
    ]
    total = sheet.calc("Loss coefficient, all fittings", RATIO, lambda a, b, c: a + b + c, *coefficients)
    from_counts = sheet.calc("Equivalent length from the counts", LENGTH, lambda k, d, f: over(k * d, f), total, tube.bore, tube.factor)
    fittings = sheet.take("Equivalent length of fittings", FirstGiven((typed_fittings, from_counts)))
    line = sheet.calc("Head of line and fittings", HEAD, lambda g, n, e: g * (2 * n + e), tube.gradient, length, fittings)
    other_flow, other_head = context.fetch(sheet, "other head flow", "other head")
    other = sheet.line("Head of exchangers and coils", friction.scaled_head, own_flow, other_flow, other_head)
    others = sheet.take("Head of exchangers and coils, or none", FirstGiven((other, Constant(0, HEAD))))
    whole = sheet.take("Head of the run", SumOf((line, others)))
    whole = going_on(sheet, start, whole, "Head of the run and of that which its flow goes on into")
    return _Head(typed_fittings, total, fittings, others, whole)


def _coefficients(sheet: Sheet, bore: Row) -> list[tuple[str, Row]]:
    names = {"elbows": "90° elbow", "tees": "tee, branch", "valves": "ball valve"}
    return [
        (plural, sheet.line(f"Loss coefficient of one {name}", friction.fitting_loss_coefficient, name, bore))
        for plural, name in names.items()
    ]
