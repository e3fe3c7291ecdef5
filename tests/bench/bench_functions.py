"""Speed of the functions over a million values, side by side: python tests/bench/bench_functions.py

A benchmark, not a timed test: it prints ratios and asserts nothing.  The best of several runs is taken on both
sides, since anything else measures what else the machine is doing.
"""

from __future__ import annotations

import subprocess
import sys
import time
import warnings
from collections.abc import Callable
from typing import Any

import fluids.vectorized
import numpy as np
from CoolProp.CoolProp import PropsSI

from hydrocalc import friction, liquids

COUNT = 1_000_000


def best(work: Callable[[], Any], repeats: int = 15) -> float:
    """Seconds of the fastest run."""
    fastest = float("inf")
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        fastest = min(fastest, time.perf_counter() - start)
    return fastest


def line(name: str, ours: float, other: str, theirs: float) -> None:
    print(f"{name:<32}{ours * 1e3:9.1f} ms   {other:<34}{theirs * 1e3:9.1f} ms   {theirs / ours:8.2f} times")


def main() -> None:
    warnings.simplefilter("ignore")  # some factors lie in the uncertain range, on purpose
    generator = np.random.default_rng(11)
    reynolds = 10.0 ** generator.uniform(np.log10(2300.0), 8.0, COUNT)
    mixed = 10.0 ** generator.uniform(2.0, 8.0, COUNT)
    roughness = generator.uniform(0.0, 0.05, COUNT)
    celsius = generator.uniform(1.0, 99.0, COUNT)
    kelvin, pressure = celsius + 273.15, np.full(COUNT, 101325.0)

    factors = best(lambda: friction.friction_factor(reynolds, roughness))
    logarithm = best(lambda: np.log10(reynolds))
    theirs = best(lambda: fluids.vectorized.friction_factor(reynolds, roughness), 3)
    line("a million friction factors", factors, "fluids.vectorized", theirs)
    print(f"{'':<32}{factors / logarithm:9.1f} passes of numpy.log10 over the same array ({logarithm * 1e3:.2f} ms)")
    # A choice that falls at random costs np.where a mispredicted branch a value, some 2 ms a million.
    laminar_too = best(lambda: friction.friction_factor(mixed, roughness))
    print(f"{'':<32}{laminar_too / logarithm:9.1f} passes with laminar flow among them at random")
    density = best(lambda: liquids.water_density(celsius))
    theirs = best(lambda: PropsSI("D", "T", kelvin, "P", pressure, "IF97::Water"), 3)
    line("a million water densities", density, "CoolProp, IF97::Water", theirs)
    glycol = best(lambda: liquids.liquid_density("propylene glycol", 0.4, celsius))
    mixture = "INCOMP::MPG[0.4]"
    theirs = best(lambda: PropsSI("D", "T", kelvin, "P", pressure, mixture), 3)
    line("a million glycol densities", glycol, f"CoolProp, {mixture}", theirs)

    calls = 10_000
    scalar = best(lambda: [friction.friction_factor(1e5, 1e-4) for _ in range(calls)], 5)
    theirs = best(lambda: [fluids.friction_factor(1e5, 1e-4) for _ in range(calls)], 5)
    line("one friction factor, x 10 000", scalar, "fluids", theirs)

    loaded = "import hydrocalc, sys; print('pint' in sys.modules)"
    print("pint loaded by import hydrocalc:", subprocess.run([sys.executable, "-c", loaded], capture_output=True, text=True).stdout.strip())


if __name__ == "__main__":
    main()
