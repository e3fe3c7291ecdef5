"""One call with plain numbers beside its peers: ``python tests/bench/bench_scalar.py``

The peers are ``fluids`` for a friction factor, and bare Python for a flow.  Each is taken as it is, and once more behind the checks
that ours makes: that every argument is a number, and that it lies within its limits.  All runs take turns and the fastest of each
counts.  The general way, which every call took before there was a shorter one, is reached by numpy's own floats.  The command ends
with status 1 if a bound is missed.
"""

from __future__ import annotations

import sys
import timeit
from collections.abc import Callable

import fluids
import numpy as np

import hydrocalc

CALLS, ROUNDS = 5000, 100
NUMBER = (float, int)  # a pair, which isinstance takes at a third of the cost of float | int
WANTED = 3.0  # times the peer behind the same checks

BTUH, FAHRENHEIT, LB_FT3, BTU_LB_F, GPM = 0.29307107017222, 5 / 9, 16.018463373960142, 4186.8, 6.30901964e-05
LITRE_A_MINUTE = 0.001 / 60


def checked_factor(reynolds: float, relative_roughness: float) -> float:
    if not isinstance(reynolds, NUMBER) or not isinstance(relative_roughness, NUMBER):
        raise ValueError("not a number")
    if not 0.0 <= reynolds <= 1e8 or not 0.0 <= relative_roughness <= 0.05 or 2000.0 < reynolds < 4000.0:
        raise ValueError("outside")
    return float(fluids.friction_factor(reynolds, relative_roughness))


def bare_flow(load: float, drop: float, density: float, specific_heat: float) -> float:
    return load / (density * specific_heat * drop)


def checked_flow(load: float, drop: float, density: float, specific_heat: float) -> float:
    if not (isinstance(load, NUMBER) and isinstance(drop, NUMBER) and isinstance(density, NUMBER) and isinstance(specific_heat, NUMBER)):
        raise ValueError("not a number")
    if not (-1e20 < load < 1e20 and 0.0 < drop < 1e20 and 0.0 < density < 1e20 and 0.0 < specific_heat < 1e20):
        raise ValueError("outside")
    return load / (density * specific_heat * drop)


def bare_flow_us(load: float, drop: float, density: float, specific_heat: float) -> float:
    return bare_flow(load * BTUH, drop * FAHRENHEIT, density * LB_FT3, specific_heat * BTU_LB_F) / GPM


def checked_flow_us(load: float, drop: float, density: float, specific_heat: float) -> float:
    return checked_flow(load * BTUH, drop * FAHRENHEIT, density * LB_FT3, specific_heat * BTU_LB_F) / GPM


def bare_flow_metric(load: float, drop: float, density: float, specific_heat: float) -> float:
    return bare_flow(load * 1000.0, drop, density, specific_heat * 1000.0) / LITRE_A_MINUTE


def checked_flow_metric(load: float, drop: float, density: float, specific_heat: float) -> float:
    return checked_flow(load * 1000.0, drop, density, specific_heat * 1000.0) / LITRE_A_MINUTE


def microseconds(works: list[Callable[..., float]], args: tuple[float, ...], calls: int = CALLS) -> list[float]:
    """Of a call of each, the fastest of many rounds in which they take turns."""
    names = [f"a{i}" for i in range(len(args))]
    timers = [timeit.Timer(f"f({', '.join(names)})", globals={"f": f, **dict(zip(names, args, strict=True))}) for f in works]
    rounds = [[t.timeit(calls) for t in timers] for _ in range(ROUNDS)]
    return [min(r[i] for r in rounds) / calls * 1e6 for i in range(len(works))]


def main() -> int:
    factor, flow = hydrocalc.friction_factor, hydrocalc.flow_from_load
    cases: list[tuple[str, Callable[..., float], tuple[float, ...], Callable[..., float], Callable[..., float]]] = [
        ("friction_factor", factor, (5e4, 1e-4), fluids.friction_factor, checked_factor),
        ("us.friction_factor", factor.us, (5e4, 1e-4), fluids.friction_factor, checked_factor),
        ("flow_from_load", flow, (18000.0, 11.0, 983.0, 4185.0), bare_flow, checked_flow),
        ("us.flow_from_load", flow.us, (62000, 20, 61.2, 1.0), bare_flow_us, checked_flow_us),
        ("metric.flow_from_load", flow.metric, (18.0, 11.0, 983.0, 4.185), bare_flow_metric, checked_flow_metric),
    ]
    missed = 0
    print(f"{'µs a call':<24}{'ours':>8}{'general way':>13}{'peer, bare':>12}{'times':>8}{'peer, checked':>15}{'times':>8}")
    for name, ours, args, bare, checked in cases:
        assert np.allclose([bare(*args), checked(*args)], ours(*args), rtol=1e-8, atol=0.0), name
        short, plain, behind = microseconds([ours, bare, checked], args)
        (general,) = microseconds([ours], tuple(map(np.float64, args)), calls=200)
        kept = short <= WANTED * behind
        missed += not kept
        times = f"{plain:12.2f}{short / plain:8.2f}{behind:15.2f}{short / behind:8.2f}"
        print(f"{name:<24}{short:8.2f}{general:13.2f}{times}{'' if kept else '  MISSED'}")
    print(f"wanted: at most {WANTED:g} times the peer behind the same checks")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
