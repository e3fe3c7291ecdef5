"""Heat exchangers: from a rating to a conductance, and from a conductance to what is exchanged at other flows.

A capacity rate is a flow times density times specific heat, in W/K.  Every effectiveness is written with two
functions that stay exact where the usual forms read 0/0: at no conductance, at equal capacity rates, and near both.
"""

from __future__ import annotations

import numpy as np

from .flow import LEAST_CAPACITY_RATE
from .measures import Conductance, Fraction_, Limits, Power, Ratio, Temperature, TemperatureDifference, above, at_least, between
from .named import named

SERIES_LIMIT = 0.02  # below, a series of a few terms is exact and the plain form loses figures
LEAST_POWER = 1e-9  # W, stands for none, so that nothing is divided by zero
LEAST_DIFFERENCE = 1e-9  # K, likewise
LEAST_SHORTFALL = 1e-12  # of an effectiveness under 1, likewise
LEAST_DIFFERENCE = 1e-9  # K, likewise

_BERGMAN = "Bergman and others, Fundamentals of Heat and Mass Transfer, chapter 11"
_CAPACITY_RATIO = between(0.0, 1.0)
_SIZE = at_least(0.0)


@named(
    source="definition: mean of exp(-t) for t from 0 to x, (1 - exp(-x))/x; its series below x = 0.02",
    accuracy="within 3e-14",
    ranges={"exponent": at_least(0.0)},
)
def mean_decay(exponent: Ratio) -> Ratio:
    """Mean of a decaying exponential.

    exponent: to which it has decayed at the end; 0 gives 1

    >>> round(mean_decay(1.0), 6)
    0.632121
    """
    x = exponent
    series = 1.0 - x / 2.0 * (1.0 - x / 3.0 * (1.0 - x / 4.0 * (1.0 - x / 5.0 * (1.0 - x / 6.0))))
    return np.where(x < SERIES_LIMIT, series, (1.0 - np.exp(-x)) / np.maximum(x, SERIES_LIMIT))


@named(
    source="definition: ln(1 + z)/z; below |z| = 0.02 the series of the inverse hyperbolic tangent of z/(2 + z)",
    accuracy="within 3e-14",
    ranges={"growth": above(-1.0)},
)
def mean_logarithm(growth: Ratio) -> Ratio:
    """Logarithm of a ratio over its difference from 1.

    growth: the ratio less 1; 0 gives 1

    >>> round(mean_logarithm(1.0), 6)
    0.693147
    """
    z = growth
    half = z / (2.0 + z)
    series = 2.0 / (2.0 + z) * (1.0 + half * half * (1.0 / 3.0 + half * half * (1.0 / 5.0 + half * half / 7.0)))
    small = np.abs(z) < SERIES_LIMIT
    return np.where(small, series, np.log(1.0 + z) / np.where(small, SERIES_LIMIT, z))


_ENDS = (
    ("hot_in must exceed cold_out", lambda hot_in, hot_out, cold_in, cold_out: hot_in > cold_out),
    ("hot_out must exceed cold_in", lambda hot_in, hot_out, cold_in, cold_out: hot_out > cold_in),
)


@named(source="definition: one end's difference over the other's, less 1", requires=_ENDS)
def end_growth(hot_in: Temperature, hot_out: Temperature, cold_in: Temperature, cold_out: Temperature) -> Ratio:
    """Difference at the hot end of a counterflow exchanger over that at its cold end, less 1.

    hot_in: hot liquid, entering
    hot_out: hot liquid, leaving
    cold_in: cold liquid, entering
    cold_out: cold liquid, leaving

    >>> round(end_growth(100, 60, 30, 40), 6)
    1.0
    """
    return np.maximum(hot_in - cold_out, LEAST_DIFFERENCE) / np.maximum(hot_out - cold_in, LEAST_DIFFERENCE) - 1.0


@named(source=_BERGMAN + ", equation 11.15", accuracy="within 1e-13, equal ends included", requires=_ENDS)
def log_mean_difference(hot_in: Temperature, hot_out: Temperature, cold_in: Temperature, cold_out: Temperature) -> TemperatureDifference:
    """Logarithmic mean of the differences at the two ends of a counterflow exchanger.

    hot_in: hot liquid, entering
    hot_out: hot liquid, leaving
    cold_in: cold liquid, entering
    cold_out: cold liquid, leaving

    For parallel flow give cold_in and cold_out in each other's place.

    >>> round(log_mean_difference(100, 60, 30, 40.2), 1)
    43.2
    """
    return np.maximum(hot_out - cold_in, LEAST_DIFFERENCE) / mean_logarithm(end_growth(hot_in, hot_out, cold_in, cold_out))


@named(
    source=_BERGMAN + ", equation 11.14",
    ranges={"load": at_least(0.0)},
    requires=tuple((text, lambda load, *ends, holds=holds: holds(*ends)) for text, holds in _ENDS),
)
def conductance_from_rating(
    load: Power, hot_in: Temperature, hot_out: Temperature, cold_in: Temperature, cold_out: Temperature
) -> Conductance:
    """Conductance of a counterflow exchanger, from its rating.

    load: heat exchanged at the rating
    hot_in: hot liquid, entering
    hot_out: hot liquid, leaving
    cold_in: cold liquid, entering
    cold_out: cold liquid, leaving

    >>> round(conductance_from_rating.us(100000, 180, 160, 140, 160))
    5000
    """
    return load / log_mean_difference(hot_in, hot_out, cold_in, cold_out)


@named(source="definition: the smaller of the two")
def smaller_capacity_rate(hot_capacity_rate: Conductance, cold_capacity_rate: Conductance) -> Conductance:
    """Smaller capacity rate of an exchanger.

    hot_capacity_rate: hot side's flow * density * specific heat
    cold_capacity_rate: cold side's flow * density * specific heat

    >>> smaller_capacity_rate(2090, 1254)
    1254.0
    """
    return np.minimum(hot_capacity_rate, cold_capacity_rate)


@named(source="definition: the smaller over the larger")
def capacity_ratio(hot_capacity_rate: Conductance, cold_capacity_rate: Conductance) -> Ratio:
    """Smaller capacity rate of an exchanger over the larger.

    hot_capacity_rate: hot side's flow * density * specific heat
    cold_capacity_rate: cold side's flow * density * specific heat

    With no flow on either side it is 0.

    >>> round(capacity_ratio(2090, 1254), 6)
    0.6
    """
    larger = np.maximum(hot_capacity_rate, cold_capacity_rate)
    return np.minimum(hot_capacity_rate, cold_capacity_rate) / np.maximum(larger, LEAST_CAPACITY_RATE)


@named(source="definition: conductance over the smaller capacity rate")
def transfer_units(conductance: Conductance, smaller_capacity_rate: Conductance) -> Ratio:
    """Number of transfer units of an exchanger.

    conductance: of the exchanger
    smaller_capacity_rate: the smaller of the two sides' flow * density * specific heat

    Without flow the number is very large, and the effectiveness that follows is 1 of no heat.

    >>> round(transfer_units(3500, 2090), 4)
    1.6746
    """
    return conductance / np.maximum(smaller_capacity_rate, LEAST_CAPACITY_RATE)


_ARRANGED = {"transfer_units": _SIZE, "capacity_ratio": _CAPACITY_RATIO}


@named(source=_BERGMAN + ", table 11.3, rewritten with the mean of the decay", accuracy="within 1e-13", ranges=_ARRANGED)
def counterflow_effectiveness(transfer_units: Ratio, capacity_ratio: Ratio) -> Fraction_:
    """Effectiveness of a counterflow exchanger.

    transfer_units: conductance over the smaller capacity rate
    capacity_ratio: smaller capacity rate over the larger

    >>> round(counterflow_effectiveness(5.0, 0.7), 6)
    0.92067
    """
    u = transfer_units * (1.0 - capacity_ratio)
    return transfer_units / (transfer_units + np.exp(-u) / mean_decay(u))


@named(source=_BERGMAN + ", table 11.3, rewritten with the mean of the decay", accuracy="within 1e-13", ranges=_ARRANGED)
def parallel_effectiveness(transfer_units: Ratio, capacity_ratio: Ratio) -> Fraction_:
    """Effectiveness of an exchanger whose two flows run the same way.

    transfer_units: conductance over the smaller capacity rate
    capacity_ratio: smaller capacity rate over the larger

    >>> round(parallel_effectiveness(2.0, 1.0), 6)
    0.490842
    """
    return transfer_units * mean_decay(transfer_units * (1.0 + capacity_ratio))


@named(
    source=_BERGMAN + ", table 11.3, capacity ratio 0, rewritten with the mean of the decay",
    accuracy="within 1e-13",
    ranges={"transfer_units": _SIZE},
)
def tank_coil_effectiveness(transfer_units: Ratio) -> Fraction_:
    """Effectiveness of a coil in a tank of one temperature.

    transfer_units: conductance over the capacity rate of the coil's flow

    >>> round(tank_coil_effectiveness(1.5), 6)
    0.77687
    """
    return transfer_units * mean_decay(transfer_units)


@named(
    source="form of Bergman and others, equation 11.32; exponent of the second term fitted anew to the exact integral (as in ht)",
    accuracy="within 0.008 of the exact integral over transfer units to 10; the printed exponent, 0.78 of their power, errs by 0.020",
    ranges=_ARRANGED,
)
def crossflow_effectiveness(transfer_units: Ratio, capacity_ratio: Ratio) -> Fraction_:
    """Effectiveness of a crossflow exchanger, neither side mixed.

    transfer_units: conductance over the smaller capacity rate
    capacity_ratio: smaller capacity rate over the larger

    >>> round(crossflow_effectiveness(1.0, 1.0), 2)
    0.48
    """
    return 1.0 - np.exp(-transfer_units * mean_decay(capacity_ratio * transfer_units / (1.0 + 0.105 * transfer_units) ** 0.8))


@named(
    source="definition: effectiveness * (1 - capacity ratio) / (1 - effectiveness)",
    ranges={"effectiveness": Limits(0.0, 1.0, high_open=True), "capacity_ratio": _CAPACITY_RATIO},
)
def effectiveness_growth(effectiveness: Fraction_, capacity_ratio: Ratio) -> Ratio:
    """Growth of the difference between the two sides along a counterflow exchanger of an effectiveness.

    effectiveness: heat exchanged over the most that could be
    capacity_ratio: smaller capacity rate over the larger; at 1 the difference stays

    >>> round(effectiveness_growth(0.8, 0.75), 6)
    1.0
    """
    return effectiveness * (1.0 - capacity_ratio) / np.maximum(1.0 - effectiveness, LEAST_SHORTFALL)


@named(
    source=_BERGMAN + ", table 11.4, rewritten with the mean logarithm",
    ranges={"effectiveness": Limits(0.0, 1.0, high_open=True), "capacity_ratio": _CAPACITY_RATIO},
)
def counterflow_transfer_units(effectiveness: Fraction_, capacity_ratio: Ratio) -> Ratio:
    """Transfer units that give a counterflow exchanger its effectiveness.

    effectiveness: heat exchanged over the most that could be
    capacity_ratio: smaller capacity rate over the larger

    >>> round(counterflow_transfer_units(0.4286, 0.5819), 3)
    0.652
    """
    odds = effectiveness / np.maximum(1.0 - effectiveness, LEAST_SHORTFALL)
    return odds * mean_logarithm(effectiveness_growth(effectiveness, capacity_ratio))


@named(
    source="definition: heat exchanged over the most that could be",
    ranges={"output": at_least(0.0), "smaller_capacity_rate": above(0.0)},
    requires=(
        (
            "output must be at most smaller_capacity_rate * (hot_in - cold_in)",
            lambda output, smaller_capacity_rate, hot_in, cold_in: output <= smaller_capacity_rate * (hot_in - cold_in),
        ),
    ),
)
def effectiveness_from_output(output: Power, smaller_capacity_rate: Conductance, hot_in: Temperature, cold_in: Temperature) -> Fraction_:
    """Effectiveness of an exchanger, from what it exchanges.

    output: heat exchanged
    smaller_capacity_rate: the smaller of the two sides' flow * density * specific heat
    hot_in: hot side, entering
    cold_in: cold side, entering

    >>> round(effectiveness_from_output(21000, 700, 80, 20), 6)
    0.5
    """
    return output / np.maximum(smaller_capacity_rate * (hot_in - cold_in), LEAST_POWER)


@named(source="definition of the effectiveness")
def exchanger_output(effectiveness: Fraction_, smaller_capacity_rate: Conductance, hot_in: Temperature, cold_in: Temperature) -> Power:
    """Heat that an exchanger gives its cold side.

    effectiveness: heat exchanged over the most that could be
    smaller_capacity_rate: the smaller of the two sides' flow * density * specific heat
    hot_in: hot side, entering
    cold_in: cold side, entering

    Below zero where the hot side is the colder: the heat then goes the other way.

    >>> round(exchanger_output(0.5, 700, 80, 20), 6)
    21000.0
    """
    return effectiveness * smaller_capacity_rate * (hot_in - cold_in)


def _flows(start: object, output: object, rate: object) -> object:
    return (rate > 0) | (output == 0)  # type: ignore[operator]


@named(source="heat balance of the hot side", requires=(("an output needs a hot_capacity_rate", _flows),))
def hot_outlet_temperature(hot_in: Temperature, output: Power, hot_capacity_rate: Conductance) -> Temperature:
    """Temperature at which the hot side leaves an exchanger.

    hot_in: hot side, entering
    output: heat exchanged
    hot_capacity_rate: hot side's flow * density * specific heat

    >>> round(hot_outlet_temperature(80, 21000, 1400), 6)
    65.0
    """
    return hot_in - output / np.maximum(hot_capacity_rate, LEAST_CAPACITY_RATE)


@named(source="heat balance of the cold side", requires=(("an output needs a cold_capacity_rate", _flows),))
def cold_outlet_temperature(cold_in: Temperature, output: Power, cold_capacity_rate: Conductance) -> Temperature:
    """Temperature at which the cold side leaves an exchanger.

    cold_in: cold side, entering
    output: heat exchanged
    cold_capacity_rate: cold side's flow * density * specific heat

    >>> round(cold_outlet_temperature(20, 21000, 700), 6)
    50.0
    """
    return cold_in + output / np.maximum(cold_capacity_rate, LEAST_CAPACITY_RATE)
