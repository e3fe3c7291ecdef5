"""Along the lines: with what temperature the supply arrives, and what heat comes back to the start, for one drop of the water.

Supply and return warm each other through the jacket, so that what arrives depends on what comes back.  For two lines in one
ground this has an exact solution: with the rise h, the decay w and the exchange y of a line, and all temperatures as their
excess over the ground, arrival = (inlet − y × drop) / (h + w), and return = ((h − w) × inlet − drop) / (h + w).

A run that starts on another takes over what arrives there, so these rows stand once for each run away from the boiler: as many
times as the job needs.  A run that is farther away than that has blanks, and a verdict says so.
"""

from __future__ import annotations

from hydrocalc.measures import POWER, TEMPERATURE, TEMPERATURE_DIFFERENCE
from workbook_builder.model.aggregates import Pick, SumWhere
from workbook_builder.model.base import Reference
from workbook_builder.model.references import FirstGiven, Where, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import BOILER

from .context import Context, over
from .night_results import Back, Case, Network, Reached
from .pipes import generation
from .results import Ground, Pipes

STARTS = ("", ", starting on a run", ", starting on a branch")


def arriving(sheet: Sheet, lines: Ground, inlet: Row, drop: Row, label: str) -> Reached:
    """The supply at the end of each line."""
    arrival = sheet.calc(
        label,
        TEMPERATURE,
        lambda g, t, y, d, c: g + ((t - g) - y * d) / c,
        lines.temperature,
        inlet,
        lines.held,
        drop,
        lines.across,
        words="ground + (supply into the line − ground − exchange × drop) / (rise + decay): both lines at once",
    )
    return Reached(sheet, inlet, arrival, drop)


def reached(context: Context, sheet: Sheet, pipes: Pipes, lines: Ground, supply: Reference, drop: Row, name: str = "") -> Reached:
    """The supply at the end of each line; a run that starts on another takes over what arrives there."""
    of_boiler = kind_is(pipes.starts_at, BOILER)

    from_boiler = sheet.take(f"Supply from the boiler{name}", Where(supply, of_boiler))
    found = arriving(sheet, lines, from_boiler, drop, f"Supply arrives{name}")
    for depth in range(1, context.branching + 1):
        of_parent = Pick(found.arrival, pipes.sheet.names, pipes.starts_at)
        inlet = sheet.take(f"Supply into the line{STARTS[depth]}{name}", FirstGiven((from_boiler, of_parent)))
        found = arriving(sheet, lines, inlet, drop, f"Supply arrives{STARTS[depth]}{name}")
    return found


def after_loads(context: Context, sheet: Sheet, network: Network, inlet: Row, case: Case, name: str = "") -> Row:
    """The supply into each line, also where it is what a load leaves."""
    after = network.pipes.start.after
    if after is None:
        return inlet
    leaves = Pick(case.after, network.needs.sheet.names, after)
    return sheet.take(f"Supply into the line, or what a load leaves{name}", FirstGiven((inlet, leaves)))


def heat_back(context: Context, sheet: Sheet, network: Network, inlet: Row, case: Case, name: str = "") -> Back:
    """From the loads back to the boiler: what each line carries, and what it must be given at its start."""
    lines, runs, starts_on = network.ground, network.pipes.sheet.names, network.pipes.start.on
    inlet = after_loads(context, sheet, network, inlet, case, name)
    own = sheet.take(f"Taken by this run's loads{name}", SumWhere(case.taken, network.needs.run, runs), shows="whole")

    def for_it(total: Row, depth: int) -> Row:
        return sheet.calc(
            generation(f"Heat that enters the line{name}", depth),
            POWER,
            lambda c, t, g, w, a, q: (2 * w * c * (t - g) + q) / a,
            lines.rate,
            inlet,
            lines.temperature,
            lines.decay,
            lines.across,
            total,
            shows="whole",
            words="(2 × decay × capacity rate × (supply into the line − ground) + taken) / (rise + decay): both lines at once",
        )

    total, entering = own, for_it(own, 0)
    for depth in range(1, context.branching + 1):
        branches = SumWhere(entering, starts_on, runs, blank=False)
        label = generation(f"Taken, with the runs that start here{name}", depth - 1)
        total = sheet.calc(label, POWER, lambda a, b: a + b, own, branches, shows="whole")
        entering = for_it(total, depth)
    drop = sheet.calc(f"Drop of what is taken{name}", TEMPERATURE_DIFFERENCE, over, total, lines.rate)
    if lines.at_start is not None:
        inlet = sheet.calc(
            f"Supply behind the exchanger at its start{name}",
            TEMPERATURE,
            lambda t, k, q, c: t - k * over(q, c),
            *(inlet, lines.at_start.fall, entering, lines.rate),
            words="supply where it starts − held back × heat that enters / capacity rate",
        )
    return Back(inlet, own, total, drop, entering)
