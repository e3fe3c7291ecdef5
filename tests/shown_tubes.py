"""What is expected of the upper half of the sheet Lines: the run, its flow, its tube and its head; see ``shown``."""

from __future__ import annotations

import math

from oracle.facts import BTU, FOOT, POUND, sizes
from oracle.hydraulics import Tube
from oracle.liquids import mass_fraction
from shown import GALLON, INCH, Table, Worked, gpm, typed, watts

# ASTM F876 (wall and tolerance) and B88, inches: outside, wall, the wall's tolerance.
PRINTED = {
    ("PEX SDR-9", "3/4"): (0.875, 0.097, 0.010),
    ("PEX SDR-9", "1"): (1.125, 0.125, 0.013),
    ("PEX SDR-9", "1-1/4"): (1.375, 0.153, 0.015),
    ("PEX SDR-9", "1-1/2"): (1.625, 0.181, 0.019),
    ("copper L", "1-1/4"): (1.375, 0.055, 0.0),
}
DRAWN = 0.0015 / 25.4  # in: 0.0015 mm, of drawn tubing and plastic (Moody)
# Crane TP-410: diameters of tube whose fully turbulent friction a fitting has, in commercial steel.
ELBOW, BRANCH, BALL = 30.0, 60.0, 3.0
GRAVITY = 32.174  # ft/s²


def part(name: str) -> str:
    return f"run {name}"


# --- liquid, heat and flow --------------------------------------------------------------------------------------------


def liquid(w: Worked, name: str) -> str:
    return str(w.typed(part(name), "liquid") or w.used("liquid", "kind"))


def own_fraction(w: Worked, name: str) -> float | None:
    """Per cent by mass, of the run's own share by volume."""
    volume = w.typed(part(name), "antifreeze by volume")
    return None if volume is None else 100 * mass_fraction(liquid(w, name), volume / 100)


def fraction(w: Worked, name: str) -> float:
    boilers = mass_fraction(str(w.used("liquid", "kind")), (w.typed("liquid", "antifreeze by volume") or 0.0) / 100)
    return own_fraction(w, name) or 100 * boilers


def supply(w: Worked, _: str) -> float:
    return w.number("boiler", "lower setpoint")


def mean(w: Worked, name: str) -> float:
    return supply(w, name) - w.number(part(name), "temperature drop") / 2


def starting_at(w: Worked, name: str) -> list[str]:
    return [other for other in w.job.runs if w.used(part(other), "starts at") == name]


def own_load(w: Worked, name: str) -> float:
    """BTU/h that its own loads need."""
    return watts(sum(load.need for load in w.network.loads if load.run == name))


def branches_load(w: Worked, name: str) -> float:
    return sum(own_load(w, other) for other in starting_at(w, name))


def line_load(w: Worked, name: str) -> float:
    return own_load(w, name) + branches_load(w, name)


def by_drop(w: Worked, name: str) -> float:
    """Gallons a minute whose fall by the temperature drop is that heat."""
    here = w.run(name).liquid
    of_a_gallon = here.density * here.heat * GALLON / BTU / 1.8
    return own_load(w, name) / (of_a_gallon * w.number(part(name), "temperature drop")) / 60


def own_flow(w: Worked, name: str) -> float:
    return float(w.typed(part(name), "flow") or by_drop(w, name))


def branches_flow(w: Worked, name: str) -> float:
    return sum(own_flow(w, other) for other in starting_at(w, name))


def flow(w: Worked, name: str) -> float:
    return own_flow(w, name) + branches_flow(w, name)


# --- the tube ---------------------------------------------------------------------------------------------------------


def family(w: Worked, name: str) -> str:
    return str(w.typed(part(name), "tube family"))


def limit(w: Worked, name: str, item: str) -> float:
    """The run's own, or that of the job."""
    return float(w.typed(part(name), item) or w.number("limits", item))


def bore_wanted(w: Worked, name: str) -> float:
    """Inches through which the flow passes at the highest velocity."""
    feet_cubed = flow(w, name) * 231 / 1728 / 60
    return math.sqrt(4 * feet_cubed / (math.pi * limit(w, name, "highest velocity"))) * 12


def smaller(w: Worked, name: str) -> int:
    return sum(Tube(family(w, name), size).bore / INCH < bore_wanted(w, name) for size in sizes(family(w, name)))


def speed(tube: Tube, w: Worked, name: str) -> float:
    """ft/s."""
    return flow(w, name) * 231 / 60 / (math.pi / 4 * (tube.bore / INCH) ** 2) / 12


def slope(tube: Tube, w: Worked, name: str) -> float:
    """Feet of head for 100 ft of tube."""
    return 100 * tube.gradient(flow(w, name) * GALLON / 60, w.run(name).liquid)


def smallest(w: Worked, name: str) -> str:
    for size in sizes(family(w, name)):
        tube = Tube(family(w, name), size)
        slow = speed(tube, w, name) <= limit(w, name, "highest velocity")
        if slow and slope(tube, w, name) <= limit(w, name, "highest head loss"):
            return size
    raise AssertionError("no size keeps the limits")


def typed_size(w: Worked, name: str) -> str | None:
    word = w.used(part(name), "size")
    return None if word == "chosen" else str(word)


def size(w: Worked, name: str) -> str:
    return typed_size(w, name) or smallest(w, name)


def tube(w: Worked, name: str) -> Tube:
    return Tube(family(w, name), size(w, name))


def outside(w: Worked, name: str) -> float:
    return PRINTED[family(w, name), size(w, name)][0]


def bore(w: Worked, name: str) -> float:
    """Inches, between walls half a tolerance thicker than the least."""
    across, wall, tolerance = PRINTED[family(w, name), size(w, name)]
    return across - 2 * (wall + tolerance / 2)


def velocity(w: Worked, name: str) -> float:
    return flow(w, name) * 231 / 60 / (math.pi / 4 * bore(w, name) ** 2) / 12


def reynolds(w: Worked, name: str) -> float:
    here = w.run(name).liquid
    return velocity(w, name) * FOOT * bore(w, name) * INCH * here.density / here.viscosity


def factor(w: Worked, name: str) -> float:
    return tube(w, name).factor(flow(w, name) * GALLON / 60, w.run(name).liquid)


def head_loss(w: Worked, name: str) -> float:
    """Feet for 100 ft: friction factor, lengths over bore, velocity head."""
    return factor(w, name) * 100 / (bore(w, name) / 12) * velocity(w, name) ** 2 / (2 * GRAVITY)


def of_a_foot(w: Worked, name: str) -> float:
    """Gallons in a foot of one tube."""
    return math.pi / 4 * bore(w, name) ** 2 * 12 / 231


# --- its head ---------------------------------------------------------------------------------------------------------


def one(w: Worked, name: str, diameters: float) -> float:
    # The curve through the factors that Crane prints (tests/test_friction.py holds it to them), in inches.
    return diameters * (0.00905 + 0.01456 / bore(w, name) ** 0.48)


def counted(w: Worked, name: str, item: str, diameters: float) -> float:
    return w.number(part(name), item) * one(w, name, diameters)


def fittings(w: Worked, name: str) -> float:
    return counted(w, name, "elbows", ELBOW) + counted(w, name, "tees", BRANCH) + counted(w, name, "valves", BALL)


def equivalent(w: Worked, name: str) -> float:
    """Feet of tube with the friction of all fittings."""
    return fittings(w, name) * bore(w, name) / 12 / factor(w, name)


def line_head(w: Worked, name: str) -> float:
    """Feet, of supply, return and fittings."""
    long = w.typed(part(name), "equivalent length of fittings") or equivalent(w, name)
    return head_loss(w, name) / 100 * (2 * w.number(part(name), "length") + float(long))


def other_head(w: Worked, name: str) -> float | None:
    """Feet, as the square of the flow of the run's own loads."""
    rated, at = (w.typed(part(name), item) for item in ("other head", "other head flow"))
    return None if rated is None else float(rated * (own_flow(w, name) / at) ** 2)


TUBES: Table = {
    "The run": {
        "Starts at": typed("run", "starts at"),
        "Length": typed("run", "length"),
        "Tube family": typed("run", "tube family"),
        "Temperature drop": typed("run", "temperature drop"),
        "Liquid, of its own": typed("run", "liquid"),
        "Liquid": liquid,
        "Antifreeze by volume, of its own": typed("run", "antifreeze by volume"),
        "Antifreeze by mass, from the share by volume": own_fraction,
        "Antifreeze by mass": fraction,
        "Supply temperature": supply,
        "Mean water temperature": mean,
        "Density": lambda w, name: w.run(name).liquid.density / POUND * FOOT**3,
        "Specific heat": lambda w, name: w.run(name).liquid.heat / BTU * POUND / 1.8,
        "Viscosity": lambda w, name: w.run(name).liquid.viscosity * 1000,
    },
    "Heat and flow": {
        "Load of this run": own_load,
        "Load of the runs that start here": branches_load,
        "Load with those": line_load,
        "Load of the line": line_load,
        "Flow, typed": typed("run", "flow"),
        "Flow from the temperature drop": by_drop,
        "Flow to this run's loads": own_flow,
        "Flow to the runs that start here": branches_flow,
        "Flow with those": flow,
        "Flow of the line": lambda w, name: gpm(w.run(name).design_flow),
    },
    "Sizes side by side": {
        "Highest velocity, of its own": typed("run", "highest velocity"),
        "Highest velocity": lambda w, name: limit(w, name, "highest velocity"),
        "Highest head loss, of its own": typed("run", "highest head loss"),
        "Highest head loss": lambda w, name: limit(w, name, "highest head loss"),
        "Bore at the highest velocity": bore_wanted,
        "Sizes with a smaller bore": smaller,
    },
    "The size taken": {
        "Smallest that keeps the limits": smallest,
        "Size, typed or chosen": typed("run", "size"),
        "Size, typed": typed_size,
        "Size": size,
        "Outside diameter": outside,
        "Inside diameter": bore,
        "Velocity": velocity,
        "Roughness": lambda w, name: DRAWN,
        "Reynolds number": reynolds,
        "Relative roughness": lambda w, name: DRAWN / bore(w, name),
        "Friction factor": factor,
        "Head loss per length": head_loss,
        "Volume per length": of_a_foot,
        "Water in supply and return": lambda w, name: 2 * w.number(part(name), "length") * of_a_foot(w, name),
    },
    "Head of the run at its flow": {
        "Equivalent length, typed": typed("run", "equivalent length of fittings"),
        "Loss coefficient of one 90° elbow": lambda w, name: one(w, name, ELBOW),
        "Loss coefficient of one tee, branch": lambda w, name: one(w, name, BRANCH),
        "Loss coefficient of one ball valve": lambda w, name: one(w, name, BALL),
        "Elbows": typed("run", "elbows"),
        "Loss coefficient of the elbows": lambda w, name: counted(w, name, "elbows", ELBOW),
        "Tees": typed("run", "tees"),
        "Loss coefficient of the tees": lambda w, name: counted(w, name, "tees", BRANCH),
        "Valves": typed("run", "valves"),
        "Loss coefficient of the valves": lambda w, name: counted(w, name, "valves", BALL),
        "Loss coefficient, all fittings": fittings,
        "Equivalent length from the counts": equivalent,
        "Equivalent length of fittings": lambda w, name: w.typed(part(name), "equivalent length of fittings") or equivalent(w, name),
        "Head of line and fittings": line_head,
        "Other head flow": typed("run", "other head flow"),
        "Other head": typed("run", "other head"),
        "Head of exchangers and coils": other_head,
        "Head of exchangers and coils, or none": lambda w, name: other_head(w, name) or 0.0,
        "Head of the run": lambda w, name: line_head(w, name) + (other_head(w, name) or 0.0),
    },
}
