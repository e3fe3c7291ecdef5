"""How far a claim may lie from what is computed: a default for each measure with its reason, or what the claim says."""

from __future__ import annotations

import re
from dataclasses import dataclass

from hydrocalc.measures import Key, Measure, Unit
from workbook_builder.table import units
from workbook_builder.table.job import Claim


@dataclass(frozen=True)
class Tolerance:
    """The larger of a share of the computed value and an amount in the book's unit; ``rounding`` is half the claim's last digit."""

    share: float
    amount: float
    reason: str
    rounding: float = 0.0

    def holds(self, difference: float, computed: float) -> bool:
        allowed = max(self.share * abs(computed), self.amount, self.rounding)
        return abs(difference) <= allowed * (1 + 1e-9)

    def holds_by_rounding_alone(self, difference: float, computed: float) -> bool:
        return self.holds(difference, computed) and abs(difference) > max(self.share * abs(computed), self.amount)


# Share, coherent amount, reason.
DEFAULTS: dict[str, tuple[float, float, str]] = {
    "VolumeFlow": (
        0.015,
        0.0,
        "a flow follows from heat and drop by arithmetic; the cold-water rule on hot water is 2 % off and has to show",
    ),
    "MassFlow": (0.015, 0.0, "as for a flow"),
    "Velocity": (0.03, 0.0, "published bores of one size differ by 1 %, and velocity goes with the square"),
    "Head": (0.07, 0.0, "published charts of friction differ by several per cent, and fittings are counted differently"),
    "HeadGradient": (0.07, 0.0, "published charts of friction differ by several per cent"),
    "Power": (0.02, 0.0, "a heat loss or an output is arithmetic once its inputs are known"),
    "HeatPerLength": (0.07, 0.0, "conductivities of foam and soil are known to several per cent"),
    "ConductancePerLength": (0.07, 0.0, "conductivities of foam and soil are known to several per cent"),
    "TemperatureGradient": (0.07, 0.0, "conductivities of foam and soil are known to several per cent"),
    "Temperature": (0.0, 0.5, "a thermometer on a pipe is read to about a degree Fahrenheit"),
    "TemperatureDifference": (0.05, 0.05, "the difference of two readings"),
    "Conductance": (0.03, 0.0, "arithmetic from a load or a rating, each rounded"),
    "Bore": (0.01, 0.0, "published dimensions of one size agree to 1 %"),
    "Fraction": (0.0, 0.01, "one percentage point"),
    "Count": (0.0, 1e-6, "counted, so exact"),
    "Cords": (0.03, 0.0, "arithmetic from heat, wood and efficiency, each rounded"),
    "SeasonEnergy": (0.03, 0.0, "degree days are counted to a few per cent"),
    "CordEnergy": (0.03, 0.0, "tables of species differ by a few per cent"),
    "HeatingValue": (0.02, 0.0, "tables of species differ by about 2 %"),
    "Mass": (0.03, 0.0, "tables of species differ by a few per cent"),
    "Energy": (0.02, 0.0, "arithmetic from volume and temperatures"),
    "Volume": (0.03, 0.0, "bores differ by 1 % and volume goes with the square"),
    "Pressure": (0.03, 0.0, "a gauge is read to about 3 %"),
    "Money": (0.02, 0.0, "sums of rounded prices"),
    "Years": (0.04, 0.0, "a quotient of two rounded sums"),
    "Time": (0.03, 0.0, "arithmetic from a heat and a load, each rounded"),
    "Minutes": (0.03, 0.0, "arithmetic from a heat and a load, each rounded"),
    "PerHour": (0.04, 0.0, "a sum of two rounded times"),
}
OTHERWISE = (0.03, 0.0, "common practice for a figure worked from rounded inputs")


class ToleranceError(ValueError):
    """The tolerance of a claim cannot be read."""


def tolerance_of(claim: Claim, kind: Measure | Key | None, unit: Unit | None, system_unit: Unit | None, text: str) -> Tolerance:
    """The tolerance of a claim in the book's unit: its own column, its note, or the default of its measure."""
    if not isinstance(kind, Measure) or unit is None or system_unit is None:
        return Tolerance(0.0, 0.0, "a word: it is the same or it is not")
    scale = float(unit.scale / system_unit.scale)
    rounding = half_digit(text) * scale
    own = str(claim.further.get("tolerance", "")).strip() or _in_note(claim.note)
    if own:
        return _typed(own, kind, scale, float(system_unit.scale), rounding)
    share, amount, reason = DEFAULTS.get(kind.name, OTHERWISE)
    return Tolerance(share, amount / float(system_unit.scale), reason, rounding)


def half_digit(text: str) -> float:
    """Half of the last digit of a number as it was written: 0.05 for 8.5; nothing for what was not written."""
    match = re.fullmatch(r"[+-]?(\d*)(?:\.(\d*))?(?:[eE]([+-]?\d+))?", text.strip().replace("−", "-"))
    if match is None or not (match.group(1) or match.group(2)):
        return 0.0
    return float(0.5 * 10.0 ** (int(match.group(3) or 0) - len(match.group(2) or "")))


def _in_note(note: str) -> str:
    match = re.search(r"(?:tolerance|±|\+/-)\s*(?:of\s*)?([\d.]+\s*%?[^\s,;]*)", note, re.IGNORECASE)
    return match.group(1) if match else ""


def _typed(own: str, kind: Measure, scale: float, of_book: float, rounding: float) -> Tolerance:
    match = re.fullmatch(r"(?:±|\+/-)?\s*(\d+\.?\d*|\.\d+)\s*(.*)", own)
    if match is None:
        raise ToleranceError(f"the tolerance {own!r} is not a number; write a share such as 5 % or an amount in the claim's unit")
    number, rest = float(match.group(1)), match.group(2).strip()
    if rest == "%" and kind.name != "Fraction":
        return Tolerance(number / 100.0, 0.0, "set by the claim", rounding)
    if rest and rest != "%":
        try:
            # A tolerance of a temperature is a difference: the offset does not count.
            scale = float(units.unit(kind, rest).scale) / of_book
        except units.UnitError as error:
            raise ToleranceError(f"the tolerance {own!r}: {error}") from None
    return Tolerance(0.0, number * scale, "set by the claim", rounding)
