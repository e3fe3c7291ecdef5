"""What the sheets of the design night hand on: the water from load to load, along the lines and at the boiler."""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet

from .results import Ground, Needs, Pipes


@dataclass(frozen=True)
class Emitters:
    """What is known of each load's emitter and exchanger before any water has reached it."""

    sheet: Sheet
    behind: Row
    exchanger_given: Row
    second_flow: Row
    second_rate: Row
    rated_output: Row
    output: Row
    excess: Row
    exponent: Row
    surface_resistance: Row
    floor_limit: Row
    highest_floor: Row
    entering_air: Row
    coil: Row
    air_rate: Row
    coil_plain: Row
    heated_by: Row
    mixing_valve: Row
    draw_rate: Row
    draw_load: Row
    plate_load: Row
    wanted_of_plate: Row


@dataclass(frozen=True)
class Through:
    """Of each load the line of its run, and the load after which that starts; it counts where another run's flow goes on there."""

    after: Row
    ground: Row
    across: Row
    exchange: Row


@dataclass(frozen=True)
class Shares:
    """The flow that each load sees, and its place on its run."""

    run: Row
    parallel: Row
    place: Row
    run_rate: Row
    rate: Row
    through: Through | None  # None in a job where no flow goes on


@dataclass(frozen=True)
class Takes:
    """What each load takes of any water: heat for each degree above a sink, or the resistance on the way to an emitter."""

    exchanger: Row
    exchanged: Row
    resistance: Row | None  # None in a job without emitters
    sink: Row
    at_draw: Row
    per_degree: Row


@dataclass(frozen=True)
class Network:
    """The lines and the loads along them, with all that no water changes: what every case is worked out from."""

    sheet: Sheet
    pipes: Pipes
    ground: Ground
    needs: Needs
    units: Emitters
    shares: Shares
    takes: Takes


@dataclass(frozen=True)
class Case:
    """All loads at one temperature of the water that arrives on each run."""

    sheet: Sheet
    need: Row
    inlet: Row
    capacity: Row
    taken: Row
    after: Row


@dataclass(frozen=True)
class Reached:
    """The supply of each run where it enters its line and where it arrives, for so much of a drop by what is taken."""

    sheet: Sheet
    inlet: Row
    arrival: Row
    drop: Row


@dataclass(frozen=True)
class Back:
    """What the loads of a run and of the runs that start on it take, and what enters the line for it."""

    inlet: Row
    own: Row
    total: Row
    drop: Row
    entering: Row


@dataclass(frozen=True)
class Returns:
    """Each line on one night: supply and return at both ends, what it carries and loses, and whether the heat closes."""

    sheet: Sheet
    inlet: Row
    arrival: Row
    own: Row
    total: Row
    drop: Row
    entering: Row
    from_boiler: Row
    near: Row
    supply_loss: Row
    return_loss: Row
    loss: Row
    residual: Row
    followed: Row
    share: Row
    boiler_rate: Row


@dataclass(frozen=True)
class Night:
    """The lines on the design night as it will be."""

    lines: Returns
    supply_drop: Row
    gradient: Row


@dataclass(frozen=True)
class Steady:
    """The design night with water at the lower setpoint: every load, and the water that each would do with."""

    case: Case
    lowest: Row
    spare: Row


@dataclass(frozen=True)
class Settled:
    """The design night as it will be: every load, at the water at which output and demand balance."""

    case: Case
    along: Sheet  # of the runs on that night
    there: Reached
    arrival: Row
    outlet: Row
    shortfall: Row


@dataclass(frozen=True)
class Load:
    """What leaves the boiler on the design night, and the rated output against it."""

    loads: Row
    taken: Row
    lines: Row
    needed: Row
    given: Row
    residual: Row
    first_output: Row
    output: Row  # of the second boiler too, if there is one
    margin: Row


@dataclass(frozen=True)
class Charge:
    """What one charge of wood gives."""

    charge: Row
    charge_heat: Row
    sustained: Row
    sustained_margin: Row
    burn_time: Row
    limit: Row
    with_backup: Row  # what limits the water


@dataclass(frozen=True)
class Cycle:
    """How the fire cycles at one load."""

    firing: Row
    idle: Row
    cycle: Row
    per_hour: Row
    share: Row


@dataclass(frozen=True)
class Cycles:
    """The heat in the band, the cycles that it makes, and the buffer that would do."""

    total_volume: Row
    band: Row
    design: Cycle
    half: Cycle
    shortest: Row
    buffer: Row
    buffer_to_order: Row
    batch_buffer: Row


@dataclass(frozen=True)
class PowerCut:
    """Times of a power failure on the design night."""

    band_left: Row
    freezes: Row
    boils_in: Row
    from_cold: Row


@dataclass(frozen=True)
class Expansion:
    """Volumes and pressures from filling to the hottest water."""

    hottest: Row
    expansion: Row
    top_pressure: Row
    tank: Row
    vapor: Row


@dataclass(frozen=True)
class Boiler:
    """The sheet Boiler, but for what follows from the heat balance."""

    sheet: Sheet
    load: Load
    charge: Charge
    cycles: Cycles
    power_cut: PowerCut
    expansion: Expansion


@dataclass(frozen=True)
class Balance:
    """The water at which demand and output balance; 1 where the load is beyond the output."""

    water: Row
    short: Row


@dataclass(frozen=True)
class Draw:
    """The peak draw on the design night as it will be."""

    case: Case


@dataclass(frozen=True)
class Return:
    """What the boiler sees of that night: how long the band lasts at the peak draw, and what comes back."""

    drawn: Row
    draw_lasts: Row
    temperature: Row
    rate: Row
    mixing: Row
