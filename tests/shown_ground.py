"""What the ground takes from a buried line, by two-dimensional conduction; see ``shown``."""

from __future__ import annotations

import math
from functools import cache

from oracle import lines
from oracle.facts import FOOT, HOUR
from oracle.lines import Conductances
from shown import BTU, INCH, Worked
from shown_tubes import part, tube

US = BTU / HOUR / FOOT / (5 / 9)  # W/(m K) of BTU/(h ft °F)
# CIBSE Guide A: foam of polyurethane; polyethylene by common practice; soaked: water of 40 °C (IAPWS R15-11).  W/(m K)
DRY, SOAKED = {"polyurethane foam": 0.028, "polyethylene foam": 0.040}, 0.63
# The tubes' own walls, W/(m K): PE-X by DIN 16893; copper of ASTM B88, from memory.
WALLS = {"PEX SDR-9": 0.38, "copper L": 339.0}
SILT, SAND = 11.4 / 12 * US, 1.7  # W/(m K) of the ground of the sample (ASHRAE) and of the second job (typed)
TOUCHING = 1.3  # tubes in one jacket lie a third of their diameter apart, by convention


def is_apart(w: Worked, name: str) -> bool:
    return bool(w.used(part(name), "arrangement") == "apart")


def is_wet(w: Worked, name: str) -> bool:
    return bool(w.used(part(name), "jacket condition") == "wet")


def material(w: Worked, name: str) -> str:
    return str(w.used(part(name), "insulation"))


def dry(w: Worked, name: str) -> float:
    """Conductivity of the insulation, BTU/(h ft °F)."""
    return float(w.typed(part(name), "insulation conductivity") or DRY[material(w, name)] / US)


def wet(w: Worked, name: str) -> float:
    return float(w.typed(part(name), "wet insulation conductivity") or SOAKED / US)


def as_it_lies(w: Worked, name: str) -> float:
    return wet(w, name) if is_wet(w, name) else dry(w, name)


def jacket(w: Worked, name: str) -> float:
    return w.number(part(name), "jacket outer diameter")


def close(w: Worked, name: str) -> float | None:
    return None if is_apart(w, name) else tube(w, name).outside / INCH * TOUCHING


def spacing(w: Worked, name: str) -> float:
    """Inches between the middles: typed, jackets that touch, or tubes nearly so."""
    return float(w.typed(part(name), "spacing") or close(w, name) or jacket(w, name))


@cache
def buried(w: Worked, name: str, conductivity: float, jacket_: float, spacing_: float, deep: float) -> Conductances:
    """A line of any insulation, BTU/(h ft °F), jacket and spacing, in, and depth, ft."""
    depth, soil = deep * FOOT, SILT if w.name == "sample" else SAND
    outside, around, between, own = tube(w, name).outside, jacket_ * INCH, spacing_ * INCH, wall(w, name) / US
    if is_apart(w, name):
        return lines.apart(depth, between, around, outside, conductivity * US, soil, own)
    return lines.one_jacket(depth, between, outside, around, conductivity * US, soil, own)


def here(w: Worked, name: str, conductivity: float, deep: float | None = None) -> Conductances:
    return buried(w, name, conductivity, jacket(w, name), spacing(w, name), deep or w.number(part(name), "depth"))


def stated(w: Worked, name: str) -> float | None:
    """Half of the maker's loss for both lines, for each degree; W/(m K)."""
    loss = w.typed(part(name), "stated loss")
    return None if loss is None else loss / 2 / w.number(part(name), "stated loss difference") * US


def laid(w: Worked, name: str) -> Conductances:
    """As the line lies; the maker's word tells of no exchange."""
    loss = stated(w, name)
    return here(w, name, as_it_lies(w, name)) if loss is None else Conductances(loss, 0.0)


def lying(w: Worked, name: str, when_wet: bool) -> Conductances:
    """Dry or wet: as it lies in that condition, or worked out for the other."""
    return laid(w, name) if is_wet(w, name) is when_wet else here(w, name, wet(w, name) if when_wet else dry(w, name))


def wall(w: Worked, name: str) -> float:
    """h ft °F/BTU through the tube."""
    return math.log(tube(w, name).outside / tube(w, name).bore) / (2 * math.pi * WALLS[tube(w, name).family] / US)


def of_one_jacket(w: Worked, name: str) -> float | None:
    """h ft °F/BTU through a round layer."""
    layers = math.log(jacket(w, name) * INCH / tube(w, name).outside)
    return layers / (2 * math.pi * as_it_lies(w, name)) if is_apart(w, name) else None


def deeper(w: Worked, name: str) -> float:
    """Per cent that a foot saves: how fast the ground's resistance grows at the line's depth, by conduction in the plane, of the whole."""
    depth, step = w.number(part(name), "depth"), 0.01
    slope = (
        (1 / here(w, name, as_it_lies(w, name), depth + step).loss - 1 / here(w, name, as_it_lies(w, name), depth - step).loss) / step / 2
    )
    return slope * laid(w, name).loss * 100
