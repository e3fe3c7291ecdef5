"""Speed of the functions over a million values, side by side: python tests/bench/bench_functions.py

The best of several runs is taken on both sides, since anything else measures what else the machine is doing.  One pass
of a logarithm takes a millisecond and finds an undisturbed one sooner than ten do: there the two take turns, and the
middle of each side's runs is compared.  Each bound is printed beside what was measured; the command ends with status 1
if one of them is missed.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import fluids.vectorized
import numpy as np
from CoolProp.CoolProp import PropsSI

from hydrocalc import friction, liquids
from hydrocalc import pressure as pressure_chapter

COUNT = 1_000_000
LEAST_GAIN_OVER_FLUIDS = 12.0
MOST_PASSES_OF_LOGARITHM = 10.0
MOST_PASSES_OF_A_LIQUID = 15.0
LEAST_GAIN_OVER_IF97 = 1.0

_missed: list[str] = []

_IMPORT = """
import sys, time
start = time.perf_counter()
import hydrocalc
took = time.perf_counter() - start
hydrocalc.us.flow_from_load(62000, 20, 61.2, 1.0)
early = "pint" in sys.modules
start = time.perf_counter()
import pint
hydrocalc.load_from_flow(pint.Quantity(8.0, "gallon/minute"), 11.0, 980.0, 4190.0)
print(early, took, time.perf_counter() - start)
"""


def best(work: Callable[[], Any], repeats: int = 15) -> float:
    """Seconds of the fastest run."""
    fastest = float("inf")
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        fastest = min(fastest, time.perf_counter() - start)
    return fastest


def middles(first: Callable[[], Any], second: Callable[[], Any], rounds: int = 75) -> tuple[float, float]:
    """Seconds of the middle run of each, taken in turns."""
    runs = [(best(first, 1), best(second, 1)) for _ in range(rounds)]
    return statistics.median(r[0] for r in runs), statistics.median(r[1] for r in runs)


def bound(what: str, value: float, low: float, high: float = float("inf")) -> None:
    """A bound that was promised, and whether it is kept."""
    kept = low <= value <= high
    if not kept:
        _missed.append(what)
    print(f"{'':<32}{what}: {value:.2f}, {f'at most {high:g}' if high < float('inf') else f'at least {low:g}'}{'' if kept else '  MISSED'}")


def importing() -> None:
    """The package without pint, and what pint and the first quantity cost."""
    folder = Path(__file__).parent.parent.parent
    runs = [
        subprocess.run([sys.executable, "-c", _IMPORT], cwd=folder, capture_output=True, text=True, check=True).stdout.split()
        for _ in range(3)
    ]
    package, quantity = (min(float(r[i]) for r in runs) for i in (1, 2))
    print(f"import hydrocalc: {package:.2f} s with numpy; pint and a first quantity: {quantity:.2f} s more")
    bound("starts in which pint came before a quantity did", sum(r[0] == "True" for r in runs), 0, 0)


def line(name: str, ours: float, other: str, theirs: float) -> None:
    print(f"{name:<32}{ours * 1e3:9.1f} ms   {other:<34}{theirs * 1e3:9.1f} ms   {theirs / ours:8.2f} times")


def main() -> int:
    warnings.simplefilter("ignore")  # some factors lie in the uncertain range, on purpose
    generator = np.random.default_rng(11)
    reynolds = 10.0 ** generator.uniform(np.log10(2000.0), 8.0, COUNT)
    mixed = 10.0 ** generator.uniform(2.0, 8.0, COUNT)
    roughness = generator.uniform(0.0, 0.05, COUNT)
    celsius = generator.uniform(1.0, 99.0, COUNT)
    kelvin, pressure = celsius + 273.15, np.full(COUNT, 101325.0)

    factors, logarithm = middles(lambda: friction.friction_factor(reynolds, roughness), lambda: np.log10(reynolds))
    theirs = best(lambda: fluids.vectorized.friction_factor(reynolds, roughness), 3)
    line("a million friction factors", factors, "fluids.vectorized", theirs)
    bound("times faster than fluids", theirs / factors, LEAST_GAIN_OVER_FLUIDS)
    bound(f"passes of numpy.log10 over the same array ({logarithm * 1e3:.2f} ms)", factors / logarithm, 0, MOST_PASSES_OF_LOGARITHM)
    # A choice that falls at random costs np.where a mispredicted branch a value, some 2 ms a million.
    laminar_too, again = middles(lambda: friction.friction_factor(mixed, roughness), lambda: np.log10(mixed))
    print(f"{'':<32}{laminar_too / again:9.1f} passes with laminar flow among them at random")
    density = best(lambda: liquids.water_density(celsius))
    theirs = best(lambda: PropsSI("D", "T", kelvin, "P", pressure, "IF97::Water"), 3)
    line("a million water densities", density, "CoolProp, IF97::Water", theirs)
    bound("times faster than CoolProp's IF97", theirs / density, LEAST_GAIN_OVER_IF97)
    glycol = best(lambda: liquids.liquid_density("propylene glycol", 0.4, celsius))
    mixture = "INCOMP::MPG[0.4]"
    theirs = best(lambda: PropsSI("D", "T", kelvin, "P", pressure, mixture), 3)
    line("a million glycol densities", glycol, f"CoolProp, {mixture}", theirs)
    fractions, hot = generator.uniform(0.1, 0.6, COUNT), celsius + 1.0
    for liquid, fraction, what in (
        ("propylene glycol", 0.4, "one fraction"),
        ("propylene glycol", fractions, "many"),
        ("water", 0.0, "water"),
    ):
        for name, work in (
            ("density", lambda liquid=liquid, fraction=fraction: liquids.liquid_density(liquid, fraction, celsius)),
            ("viscosity", lambda liquid=liquid, fraction=fraction: liquids.liquid_viscosity(liquid, fraction, celsius)),
            ("expansion", lambda liquid=liquid, fraction=fraction: pressure_chapter.expansion_volume(liquid, fraction, 1.0, celsius, hot)),
        ):
            took, logarithm = middles(work, lambda: np.log10(reynolds), 15)
            bound(f"passes of numpy.log10, {name}, {what}", took / logarithm, 0, MOST_PASSES_OF_A_LIQUID)

    calls = 10_000
    scalar = best(lambda: [friction.friction_factor(1e5, 1e-4) for _ in range(calls)], 5)
    theirs = best(lambda: [fluids.friction_factor(1e5, 1e-4) for _ in range(calls)], 5)
    line("one friction factor, x 10 000", scalar, "fluids", theirs)

    importing()
    return 1 if _missed else 0


if __name__ == "__main__":
    sys.exit(main())
