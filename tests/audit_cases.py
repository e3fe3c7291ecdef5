"""Jobs, true claims and claims with one slip each, worked by hand: trade formulas and rounded constants, no function of the project.

Water: saturated water of the steam tables (IAPWS), rounded.  Head: Darcy and Weisbach with the factor of Swamee and Jain.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

Rows = list[tuple[str, str, str, str]]

# Water at a temperature (°F): density (lb/ft³), specific heat (BTU/lb °F), dynamic viscosity (cP).
WATER = {60: (62.37, 1.000, 1.122), 168: (60.84, 1.002, 0.376), 170: (60.80, 1.002, 0.371), 150: (61.19, 1.000, 0.430)}
GALLON_OF_FOOT = 8.0208  # (ft³/h) for a gpm: 60 / 7.4805
BORE = {"1": 0.863, "1-1/4": 1.054, "copper 1": 1.025}  # PEX SDR-9 by ASTM F876, copper L by ASTM B88, in


@dataclass(frozen=True)
class Case:
    """A claim: the job it is on, what it says, and the slip that is in it ('' for a true one)."""

    job: str
    part: str
    item: str
    value: str
    unit: str
    slip: str = ""

    @property
    def name(self) -> str:
        return f"{self.job}: {self.part}, {self.item}: {self.slip or 'true'}"


def said(value: float, figures: int = 3) -> str:
    """A number as somebody would write it down."""
    return f"{float(f'{value:.{figures}g}'):.10g}"


# -- formulas of the trade


def flow(load: float, drop: float, water: int) -> float:
    density, heat, _ = WATER[water]
    return load / (GALLON_OF_FOOT * density * heat * drop)


def velocity(gpm: float, bore: float) -> float:
    return 0.4085 * gpm / bore**2


def gradient(gpm: float, bore: float, water: int, roughness: float = 0.00006) -> float:
    """ft of head for 100 ft."""
    density, _, viscosity = WATER[water]
    feet = bore / 12
    v = velocity(gpm, bore)
    reynolds = density * v * feet / (viscosity * 6.7197e-4)
    factor = 0.25 / math.log10(roughness / bore / 3.7 + 5.74 / reynolds**0.9) ** 2
    return 100 * factor / feet * v**2 / (2 * 32.174)


def hazen_williams(gpm: float, bore: float, c: float) -> float:
    return float(0.2083 * (100 / c) ** 1.852 * gpm**1.852 / bore**4.8655)


def baseboard(rated: float, excess: float) -> float:
    return float(rated * (excess / 115) ** 1.4)


def baseboard_on_line(rated: float, supply: float, room: float, rate: float, power: float = 1.4) -> float:
    """Output with the mean water that this output itself leaves: tried until it repeats."""
    output = rated / 2
    for _ in range(200):
        output = 0.5 * (output + rated * max((supply - output / (2 * rate) - room) / 115, 0.0) ** power)
    return output


# -- jobs

SITE: Rows = [
    ("job", "title", "A job", ""),
    ("site", "outdoor design temperature", "0", "°F"),
    ("site", "indoor temperature", "70", "°F"),
    ("site", "annual degree days", "6500", "°F day"),
    ("site", "mean ground temperature", "48", "°F"),
    ("site", "ground amplitude", "0", "°F"),
    ("boiler", "rated output", "150000", "BTU/h"),
    ("boiler", "water content", "200", "gal"),
    ("boiler", "lower setpoint", "180", "°F"),
    ("boiler", "upper setpoint", "195", "°F"),
    ("boiler", "firebox volume", "30", "ft³"),
    ("boiler", "charge fill", "80", "%"),
    ("boiler", "bulk density", "13", "lb/ft³"),
    ("boiler", "seasonal efficiency", "65", "%"),
    ("boiler", "hours between loadings", "12", "h"),
    ("wood", "heating value", "8600", "BTU/lb"),
    ("wood", "specific gravity", "0.6", ""),
    ("wood", "moisture", "20", "%"),
]


def line(size: str, length: str, drop: str, family: str = "PEX SDR-9", loss: str = "30") -> Rows:
    return [
        ("run house", "length", length, "ft"),
        ("run house", "tube family", family, ""),
        ("run house", "size", size, ""),
        ("run house", "stated loss", loss, "BTU/(h ft)"),
        ("run house", "stated loss difference", "100", "°F"),
        ("run house", "temperature drop", drop, "°F"),
        ("run house", "equivalent length of fittings", "40", "ft"),
    ]


def rooms(loss: str, rated: str, kind: str = "baseboard") -> Rows:
    return [
        ("load rooms", "run", "house", ""),
        ("load rooms", "kind", kind, ""),
        ("load rooms", "design loss", loss, "BTU/h"),
        ("load rooms", "balance temperature", "65", "°F"),
        ("load rooms", "rated output", rated, "BTU/h"),
    ]


def known(heat: str) -> Rows:
    return [
        ("load kiln", "run", "house", ""),
        ("load kiln", "kind", "known", ""),
        ("load kiln", "heat", heat, "BTU/h"),
    ]


def without(rows: Rows, *items: str) -> Rows:
    return [r for r in rows if r[1] not in items]


COOL: Rows = [("boiler", "lower setpoint", "160", "°F"), ("boiler", "upper setpoint", "175", "°F")]
OIL: Rows = [
    ("fuel today oil", "fuel", "heating oil", ""),
    ("fuel today oil", "price", "3.5", "$/gal"),
    ("fuel today oil", "seasonal efficiency", "80", "%"),
    ("fuel today oil", "use", "1000", "gal"),
    ("fuel today oil", "share for hot water", "20", "%"),
]
FUELLED: Rows = [
    ("load rooms", "run", "house", ""),
    ("load rooms", "kind", "baseboard", ""),
    ("load rooms", "share of fuel", "100", "%"),
    ("load rooms", "balance temperature", "65", "°F"),
    ("load rooms", "rated output", "90000", "BTU/h"),
]
TAPS: Rows = [
    ("load taps", "run", "house", ""),
    ("load taps", "kind", "hot water", ""),
    ("load taps", "use a day", "60", "gal"),
    ("load taps", "cold water temperature", "50", "°F"),
    ("load taps", "hot water temperature", "120", "°F"),
    ("load taps", "exchanger rated load", "100000", "BTU/h"),
    ("load taps", "exchanger rated hot inlet", "180", "°F"),
    ("load taps", "exchanger rated hot outlet", "140", "°F"),
    ("load taps", "exchanger rated cold inlet", "50", "°F"),
    ("load taps", "exchanger rated cold outlet", "170", "°F"),
]
SECOND: Rows = [
    ("load annex", "run", "house", ""),
    ("load annex", "kind", "baseboard", ""),
    ("load annex", "design loss", "20000", "BTU/h"),
    ("load annex", "rated output", "24000", "BTU/h"),
]
HEATER: Rows = [
    ("load shop", "run", "house", ""),
    ("load shop", "kind", "fan heater", ""),
    ("load shop", "design loss", "60000", "BTU/h"),
    ("load shop", "rated output", "100000", "BTU/h"),
    ("load shop", "rated entering water temperature", "200", "°F"),
    ("load shop", "rated entering air temperature", "60", "°F"),
]
MONEY: Rows = [
    ("money", "installed cost", "9000", "$"),
    ("money", "upkeep a year", "0", "$"),
    ("money", "electricity price", "0", "$/kWh"),
    ("wood", "price of a face cord", "90", "$"),
]
GLYCOL: Rows = [("liquid", "kind", "propylene glycol", ""), ("liquid", "antifreeze by volume", "40", "%")]
WET: Rows = [
    *without(line("1", "150", "20"), "stated loss", "stated loss difference"),
    ("run house", "arrangement", "apart", ""),
    ("run house", "jacket outer diameter", "4", "in"),
    ("run house", "spacing", "24", "in"),
    ("run house", "depth", "3", "ft"),
    ("run house", "insulation conductivity", "0.016", "BTU/(h ft °F)"),
    ("run house", "wet insulation conductivity", "0.36", "BTU/(h ft °F)"),
    ("run house", "jacket condition", "wet", ""),
]
BASE = without(SITE, "lower setpoint", "upper setpoint")

JOBS: dict[str, Rows] = {
    "one inch": [*SITE, *line("1", "150", "20"), *rooms("62000", "100000")],
    "inch and a quarter": [*SITE, *line("1-1/4", "220", "26"), *rooms("95000", "150000")],
    "copper": [*SITE, *line("1", "90", "20", "copper L"), *rooms("70000", "120000")],
    "antifreeze": [*SITE, *GLYCOL, *line("1", "150", "20"), *rooms("62000", "100000")],
    "cool water": [*BASE, *COOL, *line("1", "150", "20"), *rooms("50000", "60000")],
    "heater": [*BASE, *COOL, *line("1-1/4", "150", "20"), *HEATER],
    "lossy": [*SITE, *line("1", "400", "20", loss="120"), *rooms("40000", "80000"), *TAPS],
    "wet": [*SITE, *WET, *rooms("62000", "100000")],
    "two rooms": [*SITE, *line("1", "100", "30", loss="0"), *rooms("40000", "70000"), *SECOND],
    "kiln": [*SITE, *OIL, *MONEY, *line("3/4", "100", "20", loss="0"), *known("10000")],
    "green": [*without(SITE, "moisture"), ("wood", "moisture", "50", "%"), *line("3/4", "100", "20", loss="0"), *known("10000")],
    "dry basis": [
        *without(SITE, "moisture"),
        ("wood", "moisture", "60", "%"),
        ("wood", "moisture basis", "dry", ""),
        *line("3/4", "100", "20", loss="0"),
        *known("10000"),
    ],
    "net": [*SITE, ("boiler", "efficiency basis", "net", ""), *line("3/4", "100", "20", loss="0"), *known("10000")],
    "fuel": [*SITE, *OIL, *line("1", "100", "20", loss="0"), *FUELLED],
    "idle": [
        *SITE,
        *line("1", "100", "20", loss="0"),
        *rooms("40000", "80000"),
        ("load rooms", "idle loss of the existing boiler", "3000", "BTU/h"),
        *known("20000"),
        ("load kiln", "coincidence", "50", "%"),
    ],
}

# -- figures by hand

F1 = flow(62000, 20, 170)
F2 = flow(95000, 26, 168)
F3 = flow(70000, 20, 170)
G1 = gradient(F1, BORE["1"], 170)
G2 = gradient(F2, BORE["1-1/4"], 168)
G3 = gradient(F3, BORE["copper 1"], 170)
RATE1 = 62000 / 20  # BTU/(h °F), the capacity rate of the run's water
COOL_RATE = 50000 / 20
COOL_OUT = baseboard_on_line(60000, 160 - 30 / 200 * 150 * (160 - 48) / COOL_RATE, 70, COOL_RATE)
U = 30 / 200  # BTU/(h ft °F) of each line
LOSSY_U = 120 / 200
TAP_DAY = 60 * 8.33 * 70
TAP_NEED = TAP_DAY / 24
LOSSY_RATE = (40000 + TAP_NEED) / 20
# A long line loses in proportion to what is left: exp(-UL/C).
LOSSY_ARRIVES = 48 + (180 - 48) * math.exp(-LOSSY_U * 400 / LOSSY_RATE)
LOSSY_SUPPLY = LOSSY_RATE * (180 - LOSSY_ARRIVES)


def buried(conductivity: float) -> float:
    """BTU/(h ft °F) of each of two lines equally warm: wall, jacket, soil and what the other adds (ASHRAE's two-pipe form).

    PEX of 0.38 W/(m K): between DIN 16892 and PPI TR-48, from memory.
    """
    soil = 0.8667
    own = (
        math.log(1.125 / BORE["1"]) / (2 * math.pi * 0.38 / 1.7307)
        + math.log(4 / 1.125) / (2 * math.pi * conductivity)
        + math.log(4 * 36 / 4) / (2 * math.pi * soil)
    )
    return 1 / (own + math.log(math.hypot(2 * 36, 24) / 24) / (2 * math.pi * soil))


YEAR = 10000 * 8760 / 1e6  # million BTU
CORD = 0.6 * 62.4 * 80 * 8600 / 1e6
CORDS = YEAR / (CORD * 0.65)
DRY_POUNDS = 0.6 * 62.4 * 80
NET_20 = DRY_POUNDS * (8600 - 1050 * (0.54 + 0.25)) / 1e6  # 9 × 6 % hydrogen, and 0.25 lb of water for a dry pound
UA_FUEL = 1000 * 138500 * 0.80 * 0.80 / (24 * 6500)
OIL_FOR_KILN = 1000 * 3.5  # the bill: money rests on what was bought

TRUE: tuple[Case, ...] = (
    Case("one inch", "run house", "flow", said(F1), "gpm"),
    Case("one inch", "run house", "velocity", said(velocity(F1, BORE["1"])), "ft/s"),
    Case("one inch", "run house", "head loss per length", said(G1), "ft/100 ft"),
    Case("one inch", "run house", "head", said(G1 * 3.4), "ft"),
    Case("one inch", "run house", "size", "1", ""),
    Case("one inch", "load rooms", "need", "62000", "BTU/h"),
    Case("one inch", "load rooms", "need", "18.17", "kW"),
    Case("one inch", "load rooms", "conductance", said(62000 / 70), "BTU/(h °F)"),
    Case("one inch", "load rooms", "season heat", said(62000 / 70 * 24 * 6500 / 1e6), "million BTU"),
    Case("inch and a quarter", "run house", "flow", said(F2), "gpm"),
    Case("inch and a quarter", "run house", "head loss per length", said(G2), "ft/100 ft"),
    Case("inch and a quarter", "run house", "velocity", said(velocity(F2, BORE["1-1/4"]), 2), "ft/s"),
    Case("copper", "run house", "flow", said(F3, 2), "gpm"),
    Case("copper", "run house", "head loss per length", said(G3), "ft/100 ft"),
    Case("cool water", "load rooms", "output", said(COOL_OUT), "BTU/h"),
    Case("lossy", "run house", "arrival temperature", said(LOSSY_ARRIVES), "°F"),
    Case("lossy", "load taps", "heat a day", said(TAP_DAY), "BTU"),
    Case("lossy", "load taps", "exchanger conductance", said(100000 * math.log(9) / 80), "BTU/(h °F)"),
    Case("wet", "run house", "loss per length", said(2 * buried(0.36) * (170 - 48)), "BTU/(h ft)"),
    Case("two rooms", "load annex", "entering water", said(180 - 40000 / (60000 / 30)), "°F"),
    Case("kiln", "cords", "cords", said(CORDS), "cords"),
    Case("kiln", "cords", "heat of a cord", said(CORD), "million BTU/cord"),
    Case("kiln", "cords", "weight of a cord", said(DRY_POUNDS / 0.8), "lb"),
    Case("kiln", "cords", "net heat of a cord", said(NET_20), "million BTU/cord"),
    Case("kiln", "boiler", "charge", "312", "lb"),
    Case("kiln", "money", "wood cost", said(CORDS * 270), "$"),
    Case("kiln", "boiler", "load", "10000", "BTU/h"),
    Case("green", "cords", "weight of a cord", said(DRY_POUNDS / 0.5), "lb"),
    Case("dry basis", "cords", "weight of a cord", said(DRY_POUNDS * 1.6), "lb"),
    Case("fuel", "load rooms", "conductance", said(UA_FUEL), "BTU/(h °F)"),
    Case("idle", "boiler", "load", "53000", "BTU/h"),
)

SLIPS: tuple[Case, ...] = (
    # 500 gpm °F with hot water
    Case("one inch", "run house", "flow", said(62000 / 500 / 20), "gpm", "500 rule"),
    Case("inch and a quarter", "run house", "flow", said(95000 / 500 / 26, 4), "gpm", "500 rule"),
    Case("copper", "run house", "flow", "7.00", "gpm", "500 rule"),
    Case("antifreeze", "run house", "flow", said(62000 / 500 / 20), "gpm", "500 rule with antifreeze"),
    # kelvins for degrees Fahrenheit, imperial gallons
    Case("one inch", "run house", "flow", said(F1 / 1.8), "gpm", "°F and K"),
    Case("inch and a quarter", "run house", "flow", said(F2 * 1.8), "gpm", "°F and K"),
    Case("one inch", "run house", "flow", said(F1 / 1.201), "gpm", "imperial gallons"),
    Case("copper", "run house", "flow", said(F3 * 1.201), "gpm", "imperial gallons"),
    Case("inch and a quarter", "run house", "flow", said(flow(95000, 20, 170)), "gpm", "usual drop"),
    # nominal bore
    Case("one inch", "run house", "velocity", said(velocity(F1, 1.0)), "ft/s", "nominal bore"),
    Case("inch and a quarter", "run house", "velocity", said(velocity(F2, 1.25)), "ft/s", "nominal bore"),
    Case("copper", "run house", "velocity", said(velocity(F3, 1.0)), "ft/s", "nominal bore"),
    Case("one inch", "run house", "head loss per length", said(gradient(F1, 1.0, 170)), "ft/100 ft", "nominal bore"),
    Case("inch and a quarter", "run house", "head loss per length", said(gradient(F2, 1.25, 168)), "ft/100 ft", "nominal bore"),
    Case("one inch", "run house", "head", said(3.4 * gradient(F1, 1.0, 170)), "ft", "nominal bore"),
    Case("inch and a quarter", "run house", "velocity", said(velocity(F2, 1.375)), "ft/s", "outside bore"),
    # lengths
    Case("one inch", "run house", "head", said(G1 * 1.9), "ft", "one way"),
    Case("inch and a quarter", "run house", "head", said(G2 * 2.6), "ft", "one way"),
    Case("one inch", "run house", "head", said(G1 * 1.5), "ft", "one way without fittings"),
    Case("copper", "run house", "head", said(G3 * 1.8), "ft", "no fittings"),
    Case("copper", "run house", "head", said(G3 * 4.0), "ft", "round trip twice"),
    # cold water and rules of thumb in friction
    Case("one inch", "run house", "head loss per length", said(gradient(F1, BORE["1"], 60)), "ft/100 ft", "water at 60 °F"),
    Case("copper", "run house", "head loss per length", said(gradient(F3, BORE["copper 1"], 60)), "ft/100 ft", "water at 60 °F"),
    Case("one inch", "run house", "head loss per length", said(gradient(62000 / 500 / 20, BORE["1"], 60)), "ft/100 ft", "water at 60 °F"),
    Case(
        "inch and a quarter",
        "run house",
        "head loss per length",
        said(hazen_williams(F2, BORE["1-1/4"], 150)),
        "ft/100 ft",
        "Hazen-Williams",
    ),
    Case("copper", "run house", "head loss per length", said(hazen_williams(F3, BORE["copper 1"], 140)), "ft/100 ft", "Hazen-Williams"),
    Case("one inch", "run house", "head loss per length", said(G1 / 100), "ft/100 ft", "factor 100"),
    Case("inch and a quarter", "run house", "head", said(G2 * 100 * 4.8), "ft", "factor 100"),
    Case("copper", "run house", "head", said(G3 * 2.2 / 3.281), "ft", "metres and feet"),
    Case("inch and a quarter", "run house", "head", said(G2 * 4.8 / 2.31), "ft", "psi and feet"),
    # emitters
    Case("cool water", "load rooms", "output", "60000", "BTU/h", "catalogue output"),
    Case("cool water", "load rooms", "output", said(baseboard(60000, 160 - 1 - 70)), "BTU/h", "supply for mean"),
    Case("cool water", "load rooms", "output", said(COOL_OUT * 1.15), "BTU/h", "heating effect"),
    Case("cool water", "load rooms", "output", said(baseboard_on_line(60000, 159, 70, COOL_RATE, 1.0)), "BTU/h", "straight proportion"),
    Case("heater", "load shop", "output", "100000", "BTU/h", "fan heater rating"),
    # units of heat
    Case("one inch", "load rooms", "need", "62", "BTU/h", "thousand BTU"),
    Case("cool water", "load rooms", "need", "50000000", "BTU/h", "thousand BTU"),
    Case("one inch", "load rooms", "need", said(62000 / 3412, 4), "BTU/h", "kW and BTU/h"),
    Case("inch and a quarter", "load rooms", "need", "95", "kW", "kW and BTU/h"),
    Case("one inch", "load rooms", "conductance", said(62000 / 70 * 1.8), "BTU/(h °F)", "°F and K"),
    Case("two rooms", "load annex", "entering water", said((160 - 32) / 1.8), "°F", "°F and °C"),
    # lines
    Case("lossy", "run house", "arrival temperature", "180", "°F", "no line loss"),
    Case("lossy", "boiler", "load", said(40000 + TAP_NEED), "BTU/h", "no line loss"),
    Case("lossy", "run house", "line loss", said(LOSSY_SUPPLY), "BTU/h", "one line"),
    Case("one inch", "run house", "loss per length", said(U * (180 - 48)), "BTU/(h ft)", "one line"),
    Case("wet", "run house", "loss per length", said(2 * buried(0.016) * (170 - 48)), "BTU/(h ft)", "dry in wet"),
    Case("wet", "run house", "loss per length", said(2 * buried(0.36) * (170 - 48) * 100), "BTU/(h ft)", "factor 100"),
    # exchangers and cascades
    Case("lossy", "load taps", "exchanger conductance", said(100000 / 50), "BTU/(h °F)", "arithmetic mean"),
    Case("two rooms", "load annex", "entering water", "180", "°F", "parallel water"),
    Case("two rooms", "load annex", "output", said(baseboard_on_line(24000, 180, 70, 2000)), "BTU/h", "parallel water"),
    # hot water and the sum
    Case("lossy", "load taps", "heat a day", said(TAP_DAY * 1.201), "BTU", "imperial gallons"),
    Case("idle", "boiler", "load", "50000", "BTU/h", "idle loss left out"),
    Case("idle", "boiler", "load", "63000", "BTU/h", "all at once"),
    # wood
    Case("kiln", "cords", "cords", said(CORDS * 3), "cords", "face cord"),
    Case("kiln", "cords", "cords", said(CORDS * 48 / 18), "cords", "face cord"),
    Case("kiln", "cords", "cords", said(CORDS * 2), "cords", "face cord"),
    Case("kiln", "cords", "cords", said(CORDS / 0.65), "cords", "efficiency twice"),
    Case("kiln", "cords", "cords", said(CORDS * 0.65), "cords", "efficiency left out"),
    Case("kiln", "cords", "cords", said(CORDS * 180 / 128), "cords", "loose cord"),
    Case("kiln", "cords", "cords", said(YEAR / (NET_20 * 0.65)), "cords", "net for gross"),
    Case("kiln", "cords", "net heat of a cord", said(CORD), "million BTU/cord", "gross for net"),
    Case("net", "cords", "cords", said(CORDS), "cords", "net efficiency"),
    Case("green", "cords", "net heat of a cord", said(NET_20), "million BTU/cord", "green as dry"),
    Case("green", "cords", "weight of a cord", said(DRY_POUNDS / 0.8), "lb", "green as dry"),
    Case("green", "cords", "weight of a cord", said(DRY_POUNDS / (1 - 1 / 3)), "lb", "wet basis as dry"),
    Case("dry basis", "cords", "weight of a cord", said(DRY_POUNDS / (1 - 0.6)), "lb", "dry basis as wet"),
    Case("kiln", "boiler", "charge", said(312 / 0.8), "lb", "charge as burnt"),
    Case("kiln", "boiler", "sustained output", "150000", "BTU/h", "nameplate"),
    Case("kiln", "money", "wood cost", said(CORDS * 90), "$", "face cord price"),
    Case("kiln", "money", "saving", said(OIL_FOR_KILN), "$", "wood for nothing"),
    # season and fuel
    Case("one inch", "load rooms", "season heat", said(62000 * 8760 / 1e6), "million BTU", "peak all season"),
    Case("cool water", "load rooms", "design loss", said(50000 / 70 * 24 * 6500 / 8760), "BTU/h", "season as peak"),
    Case("fuel", "load rooms", "conductance", said(UA_FUEL / 0.8), "BTU/(h °F)", "hot water in fuel"),
    Case("fuel", "load rooms", "conductance", said(UA_FUEL * 0.8), "BTU/(h °F)", "fuel efficiency twice"),
    Case("kiln", "fuel today oil", "price of heat", said(3.5 / 138500 * 1e6), "$ per million BTU", "fuel efficiency left out"),
)

# Two slips at once: each is undone by hand one after the other, and neither alone leads near.
PAIRS: tuple[Case, ...] = (
    Case("one inch", "run house", "head", said(gradient(F1, 1.0, 170) * 1.9), "ft", "nominal bore+one way"),
    Case("copper", "run house", "head", said(gradient(F3, 1.0, 170) * 2.2 / 3.281), "ft", "nominal bore+metres and feet"),
    Case("one inch", "run house", "flow", said(F1 / 1.8 / 1.201), "gpm", "°F and K+imperial gallons"),
    Case("inch and a quarter", "run house", "flow", said(flow(95000, 20, 170) / 1.201), "gpm", "imperial gallons+usual drop"),
    Case("cool water", "load rooms", "output", said(60000 / 3412), "BTU/h", "catalogue output+kW and BTU/h"),
    Case("heater", "load shop", "output", "100", "BTU/h", "fan heater rating+thousand BTU"),
    Case("wet", "run house", "loss per length", said(buried(0.016) * (170 - 48) * 100 * 2), "BTU/(h ft)", "dry in wet+factor 100"),
    Case("kiln", "cords", "cords", said(CORDS * 3 / 0.65), "cords", "face cord+efficiency twice"),
    Case("kiln", "cords", "cords", said(YEAR / CORD * 48 / 24), "cords", "efficiency left out+face cord"),
    Case("kiln", "money", "wood cost", said(CORDS / 0.65 * 90), "$", "efficiency twice+face cord price"),
    Case("one inch", "load rooms", "season heat", said(62000 * 8760 / 1e9), "million BTU", "peak all season+thousand BTU"),
    Case("fuel", "load rooms", "conductance", said(UA_FUEL / 0.8 / 0.8), "BTU/(h °F)", "hot water in fuel+fuel efficiency left out"),
    Case("two rooms", "load annex", "entering water", said((180 - 32) / 1.8), "°F", "parallel water+°F and °C"),
    Case("lossy", "boiler", "load", said((40000 + TAP_NEED) / 3412), "BTU/h", "no line loss+kW and BTU/h"),
)
