"""What each sheet hands on: the rows that others read.  A maker builds its result once, and nothing is written into it after."""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.model.references import Condition, kind_is_not
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import INDOORS

# What a plate is ordered for where the need wants more than any plate can do (common practice, no source).
HIGHEST_EFFECTIVENESS = 0.9


@dataclass(frozen=True)
class Climate:
    """The twelve months, across."""

    sheet: Sheet
    days: Row
    middle: Row
    mean: Row
    spread: Row
    degree_days: Row
    lit: Row
    lit_degree_days: Row
    lit_days: Row


@dataclass(frozen=True)
class Site:
    """The design night, the ground, and the liquid in the boiler."""

    sheet: Sheet
    difference: Row
    surface: Row
    boils: Row
    degree_days: Row
    mean: Row
    amplitude: Row
    conductivity: Row
    diffusivity: Row
    fraction: Row
    freezes: Row
    density: Row
    specific_heat: Row


@dataclass(frozen=True)
class Fuels:
    """The fuels burnt today: what they gave, and for what they were used."""

    sheet: Sheet
    fuel: Row
    efficiency: Row
    bought_gross: Row
    hot_water: Row
    heat_price: Row
    dates: Row
    degree_days: Row
    bought: Row
    lit_bought: Row


@dataclass(frozen=True)
class FuelCosts:
    """What the heat that wood takes over would cost with each of today's fuels."""

    by_loads: Row
    served: Row
    least_of_bill: Row  # what the loads take, over what the bill says, of the fuels with a bill
    most_of_bill: Row
    cost: Row
    weighted: Row
    worth: Row


@dataclass(frozen=True)
class Usage:
    """What the fuel of today tells of each load."""

    sheet: Sheet
    fuel: Row
    conductance: Row
    unsaid_balance: Row  # of a building of which neither gains nor balance temperature are given


@dataclass(frozen=True)
class Tub:
    """What the heat of a tub depends on, beside the air about it."""

    kind: Row
    temperature: Row
    surface: Row
    cover: Row
    side: Row
    humidity: Row
    wind: Row
    opened: Row
    air: Row


@dataclass(frozen=True)
class Needs:
    """What each load needs on the design night, and the figures from which its season follows."""

    sheet: Sheet
    run: Row
    kind: Row
    coincidence: Row
    indoor: Row
    conductance: Row
    design_loss: Row
    balance: Row
    idle_loss: Row
    tank: Row
    tank_loss: Row
    stored: Row
    cold: Row
    wanted: Row
    draw_heat: Row
    tub: Tub
    tub_set: Row
    known_heat: Row
    known_hours: Row
    need: Row


@dataclass(frozen=True)
class SideBySide:
    """Sizes of tube that were looked at, and the friction in each, row below row."""

    sizes: tuple[Row, ...]
    velocity: tuple[Row, ...]
    gradient: tuple[Row, ...]


@dataclass(frozen=True)
class Start:
    """Where each run starts: at the boiler or a run's end, or after a load of a run whose flow goes on here."""

    at: Row  # blank where it starts after a load
    on: Row  # the run that gives it its water, or the boiler
    after: Row | None  # the load, and its run; None in a job where no flow goes on
    before: Row | None


@dataclass(frozen=True)
class Parted:
    """Runs with a liquid of their own behind an exchanger at their start."""

    so: Row  # 1 where it is so
    flow: Row  # typed, of the other side


@dataclass(frozen=True)
class Pipes:
    """The flow that each run is asked for, and the tube that is taken for it."""

    sheet: Sheet
    start: Start
    starts_at: Row
    length: Row
    family: Row
    drop: Row
    liquid: Row
    fraction: Row
    parted: Parted | None  # None in a job without such runs
    supply: Row
    mean: Row
    density: Row
    specific_heat: Row
    viscosity: Row
    own_load: Row
    load: Row
    own_flow: Row
    flow: Row
    highest_velocity: Row
    highest_gradient: Row
    side_by_side: SideBySide
    size: Row
    outside: Row
    bore: Row
    relative: Row
    velocity: Row
    reynolds: Row
    gradient: Row
    per_length: Row
    volume: Row
    typed_fittings: Row
    coefficient: Row
    fittings: Row
    other_head: Row
    head: Row


@dataclass(frozen=True)
class Meeting:
    """Where the circulator's curve meets the run: the points of the one, the fits of the other, the first of them first."""

    points: tuple[Row, ...]
    curve: tuple[Row, Row]  # the linear and the square coefficient of the curve through the points
    linears: tuple[Row, ...]
    squares: tuple[Row, ...]
    flow: Row
    head: Row


@dataclass(frozen=True)
class Pressures:
    """The pressure of a run against boiling."""

    system: Row
    highest: Row
    lowest_height: Row
    hottest: Row
    top_margin: Row
    suction_margin: Row


@dataclass(frozen=True)
class Pumps:
    """The flow that each run's circulator makes, with which all that follows is calculated."""

    sheet: Sheet
    power: Row
    meeting: Meeting
    flow: Row
    branches: Row
    own_flow: Row
    head: Row
    gradient: Row
    velocity: Row
    reynolds: Row
    pressures: Pressures


@dataclass(frozen=True)
class Trench:
    """How a line lies, whatever its jacket: its tubes and their walls, apart or in one jacket, how deep, and how well the soil conducts."""

    arrangement: Row
    depth: Row
    outside: Row
    wall: Row
    soil: Row

    @property
    def buried(self) -> Condition:
        return kind_is_not(self.arrangement, INDOORS)


@dataclass(frozen=True)
class Laid:
    """A jacket in the ground with its tubes: blank where they cannot lie so, and the count of what cannot be."""

    jacket: Row
    spacing: Row
    faults: Row


@dataclass(frozen=True)
class AtStart:
    """The exchanger at the start of a run with a liquid of its own."""

    fall: Row  # of the supply, for a kelvin of the run's own drop at its start; 0 where there is none
    rate: Row  # capacity rate that the run takes from where it starts
    conductance: Row


@dataclass(frozen=True)
class Ground:
    """Each buried line: what it is made of, what passes through it, and both its lines at once."""

    sheet: Sheet
    trench: Trench
    condition: Row
    dry: Row
    wet: Row
    insulation: Row
    spacing: Row
    temperature: Row
    laid: Laid
    loss: Row
    exchange: Row
    own_rate: Row
    rate: Row
    drop: Row
    rise: Row
    decay: Row
    swapped: Row
    across: Row  # rise and decay; of a run behind an exchanger with what that holds back
    held: Row  # the exchange, likewise
    at_start: AtStart | None  # None in a job without such runs


@dataclass(frozen=True)
class NeedsMet:
    """The lines on the design night with every need met."""

    inlet: Row
    arrival: Row
    supply_loss: Row
    design_loss: Row
    per_length: Row


@dataclass(frozen=True)
class LineYear:
    """What each line loses, by month and in the year."""

    months: tuple[Row, ...]
    year: Row


@dataclass(frozen=True)
class Tubs:
    """What holds each tub, by month."""

    sheet: Sheet
    months: tuple[Row, ...]


@dataclass(frozen=True)
class Season:
    """What each load takes, by month and in the year."""

    sheet: Sheet
    served: tuple[Row, ...]
    building: tuple[Row, ...]
    months: tuple[Row, ...]
    year: Row
    useful_year: Row


@dataclass(frozen=True)
class Fire:
    """The wood, what the fire makes of it, and what it burns while it idles."""

    dry_heat: Row
    moisture: Row
    cord_mass: Row
    cord_energy: Row
    cord_net: Row
    efficiency: Row
    standby: Row  # 1 where the two below are added, 0 where a seasonal efficiency has them in it
    idle_share: Row
    jacket: Row


@dataclass(frozen=True)
class Cords:
    """The wood of the year, and how much of it goes where by month."""

    sheet: Sheet
    fire: Fire
    loads: tuple[Row, ...]
    lines: tuple[Row, ...]
    lines_year: Row
    water: tuple[Row, ...]
    jackets: tuple[Row, ...]
    hours: tuple[Row, ...]
    idle: tuple[Row, ...]
    not_made: Row
    fuel_year: Row
    cords: tuple[Row, ...]
    cords_year: Row
    line_share: Row
    stack: Row


@dataclass(frozen=True)
class Money:
    """What the wood costs, and what it is worth beside today's fuels."""

    sheet: Sheet
    price: Row
    wood: Row
    today: Row
    saving: Row
    payback: Row
    net: Row
    break_even: Row
    cumulative: tuple[Row, ...]


@dataclass(frozen=True)
class Lines:
    """What wet, better and deeper lines are worth, and what of them freezes first."""

    sheet: Sheet
    bare_first: Row


@dataclass(frozen=True)
class Check:
    """One requirement: the rows from which its verdict is read, what to do about it, and its place among what is shown."""

    section: str
    label: str
    remedy: Row
    words: tuple[str, ...]  # of the remedies, as they stand in the code
    longest_remedies: tuple[str, ...]
    worst: Row
    where: Row
    value: Row
    wanted: Row | None
    verdict: Row
    rank: Row
    source: Row  # the line from which it was found
    input: str  # the item of a part that mends it


@dataclass(frozen=True)
class Checks:
    """All requirements in the order of the summary, and how many are not kept."""

    all: tuple[Check, ...]
    fails: Row
    remarks: Row
