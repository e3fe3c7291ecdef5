"""Heat exchangers: from a rating to a conductance, and from a conductance to what is exchanged at other flows.

A capacity rate is a flow times density times specific heat, in W/K.  Where a textbook's form reads 0/0, and near it
loses digits, its limit stands in its place: each switch lies where both are within 1e-7 (see NEAR and NEAR_EQUAL).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from .measures import (
    LIQUID_TEMPERATURE,
    Conductance,
    Fraction_,
    Limits,
    Power,
    Ratio,
    Temperature,
    TemperatureDifference,
    above,
    at_least,
    between,
)
from .named import named

ENDLESS = 1000.0  # transfer units: without flow, or for all that could be exchanged, as good as endless
# The limit errs by half of what the switch is of, the textbook's form by the rounding of 1e-16 over it: at 1e-8 both are within 2e-8.
NEAR = 1e-8  # transfer units * (1 - capacity ratio)
# The arithmetic mean of two ends errs by a twelfth of the square of what they differ by, 1e-9 here; the logarithmic mean
# by the rounding of the four temperatures over their difference.
NEAR_EQUAL = 1e-4  # one end's difference over the other's, less 1

_BERGMAN = "Bergman and others, Fundamentals of Heat and Mass Transfer, chapter 11"
_KAYS = "Kays and London, Compact Heat Exchangers, as in Bergman and others, table 11.3: crossflow, one side mixed"
_CAPACITY_RATIO = between(0.0, 1.0)
_SIZE = at_least(0.0)


_ENDS = (
    ("hot_in must exceed cold_out", lambda hot_in, hot_out, cold_in, cold_out: hot_in > cold_out),
    ("hot_out must exceed cold_in", lambda hot_in, hot_out, cold_in, cold_out: hot_out > cold_in),
)


@named(source=_BERGMAN + ", equation 11.15", accuracy="within 1e-12; 1e-9 where the ends are nearly equal", requires=_ENDS)
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
    hot_end, cold_end = hot_in - cold_out, hot_out - cold_in
    equal = np.abs(hot_end / cold_end - 1.0) < NEAR_EQUAL
    mean = np.where(equal, (hot_end + cold_end) / 2.0, (hot_end - cold_end) / np.log(hot_end / cold_end))
    return np.where((hot_in > cold_out) & (hot_out > cold_in), mean, 0.0)


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
    mean = log_mean_difference(hot_in, hot_out, cold_in, cold_out)
    return np.where(mean > 0.0, load / mean, 0.0)


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
    smaller, larger = np.minimum(hot_capacity_rate, cold_capacity_rate), np.maximum(hot_capacity_rate, cold_capacity_rate)
    return np.where(larger > 0.0, smaller / larger, 0.0)


@named(source="definition: conductance over the smaller capacity rate")
def transfer_units(conductance: Conductance, smaller_capacity_rate: Conductance) -> Ratio:
    """Number of transfer units of an exchanger.

    conductance: of the exchanger
    smaller_capacity_rate: the smaller of the two sides' flow * density * specific heat

    Without flow the number is 1000, as good as endless, and the effectiveness that follows is 1 of no heat.

    >>> round(transfer_units(3500, 2090), 4)
    1.6746
    """
    without_flow = np.where(conductance > 0.0, ENDLESS, 0.0)
    return np.where(smaller_capacity_rate > 0.0, conductance / smaller_capacity_rate, without_flow)


_ARRANGED = {"transfer_units": _SIZE, "capacity_ratio": _CAPACITY_RATIO}


_NEAR = "2e-8 near equal capacity rates and near no conductance"


@named(source=_BERGMAN + ", table 11.3", accuracy="within 1e-12; " + _NEAR, ranges=_ARRANGED)
def counterflow_effectiveness(transfer_units: Ratio, capacity_ratio: Ratio) -> Fraction_:
    """Effectiveness of a counterflow exchanger.

    transfer_units: conductance over the smaller capacity rate
    capacity_ratio: smaller capacity rate over the larger

    >>> round(counterflow_effectiveness(5.0, 0.7), 6)
    0.92067
    """
    decay = np.exp(-transfer_units * (1.0 - capacity_ratio))
    return np.where(
        transfer_units * (1.0 - capacity_ratio) < NEAR,
        transfer_units / (1.0 + transfer_units),
        (1.0 - decay) / (1.0 - capacity_ratio * decay),
    )


@named(source=_BERGMAN + ", table 11.3", accuracy="within 1e-15 of 1", ranges=_ARRANGED)
def parallel_effectiveness(transfer_units: Ratio, capacity_ratio: Ratio) -> Fraction_:
    """Effectiveness of an exchanger whose two flows run the same way.

    transfer_units: conductance over the smaller capacity rate
    capacity_ratio: smaller capacity rate over the larger

    >>> round(parallel_effectiveness(2.0, 1.0), 6)
    0.490842
    """
    return (1.0 - np.exp(-transfer_units * (1.0 + capacity_ratio))) / (1.0 + capacity_ratio)


@named(
    source=_BERGMAN + ", table 11.3, capacity ratio 0",
    accuracy="within 1e-15 of 1",
    ranges={"transfer_units": _SIZE},
)
def tank_coil_effectiveness(transfer_units: Ratio) -> Fraction_:
    """Effectiveness of a coil in a tank of one temperature.

    transfer_units: conductance over the capacity rate of the coil's flow

    >>> round(tank_coil_effectiveness(1.5), 6)
    0.77687
    """
    return 1.0 - np.exp(-transfer_units)


@named(
    source="form of Bergman and others, equation 11.32; what spreads its second term fitted here to the exact integral (as in ht)",
    accuracy="within 0.1 % of the exact integral over transfer units to 10, 1.5 % to 30; the printed spread, their power 0.22, errs by 4 %",
    ranges=_ARRANGED,
)
def crossflow_effectiveness(transfer_units: Ratio, capacity_ratio: Ratio) -> Fraction_:
    """Effectiveness of a crossflow exchanger, neither side mixed.

    transfer_units: conductance over the smaller capacity rate
    capacity_ratio: smaller capacity rate over the larger

    >>> round(crossflow_effectiveness(1.0, 1.0), 3)
    0.476
    """
    # The last three terms have no zero together, whatever the ratio: the spread has an end, and no pole.
    bend = 0.0038 - 0.0281 * capacity_ratio + 0.0866 * capacity_ratio**2
    less = 1.0 + 0.1312 * transfer_units + 0.5618 * capacity_ratio * transfer_units + bend * transfer_units**2
    spread = 1.0 + 0.1044 * capacity_ratio * transfer_units**2 / less
    across = spread / capacity_ratio * (np.exp(-capacity_ratio * transfer_units / spread) - 1.0)
    return 1.0 - np.exp(np.where(capacity_ratio * transfer_units < NEAR, -transfer_units, across))


@named(source=_KAYS, accuracy="within 2e-8", ranges=_ARRANGED)
def larger_mixed_effectiveness(transfer_units: Ratio, capacity_ratio: Ratio) -> Fraction_:
    """Effectiveness of a crossflow exchanger, the side of the larger capacity rate mixed.

    transfer_units: conductance over the smaller capacity rate
    capacity_ratio: smaller capacity rate over the larger

    A side is mixed where its flow has one temperature across the other's way, as in a shell without fins.

    >>> round(larger_mixed_effectiveness(2.16007259528, 0.1424214226633), 6)
    0.831218
    """
    alone = 1.0 - np.exp(-transfer_units)  # of a single smaller stream
    return np.where(capacity_ratio * transfer_units < NEAR, alone, (1.0 - np.exp(-capacity_ratio * alone)) / capacity_ratio)


@named(source=_KAYS, accuracy="within 2e-8", ranges=_ARRANGED)
def smaller_mixed_effectiveness(transfer_units: Ratio, capacity_ratio: Ratio) -> Fraction_:
    """Effectiveness of a crossflow exchanger, the side of the smaller capacity rate mixed.

    transfer_units: conductance over the smaller capacity rate
    capacity_ratio: smaller capacity rate over the larger

    With equal capacity rates it is the same whichever side is mixed.

    >>> round(smaller_mixed_effectiveness(1.0, 1.0), 6)
    0.468536
    """
    across = (np.exp(-capacity_ratio * transfer_units) - 1.0) / capacity_ratio
    return 1.0 - np.exp(np.where(capacity_ratio * transfer_units < NEAR, -transfer_units, across))


@named(
    source=_BERGMAN + ", table 11.4",
    accuracy="within 1e-11; " + _NEAR,
    ranges={"effectiveness": Limits(0.0, 1.0, high_open=True), "capacity_ratio": _CAPACITY_RATIO},
)
def counterflow_transfer_units(effectiveness: Fraction_, capacity_ratio: Ratio) -> Ratio:
    """Transfer units that give a counterflow exchanger its effectiveness.

    effectiveness: heat exchanged over the most that could be
    capacity_ratio: smaller capacity rate over the larger

    >>> round(counterflow_transfer_units(0.4286, 0.5819), 3)
    0.652
    """
    even = effectiveness / (1.0 - effectiveness)
    unlike = np.log((1.0 - effectiveness * capacity_ratio) / (1.0 - effectiveness)) / (1.0 - capacity_ratio)
    return np.where(effectiveness < 1.0, np.where(even * (1.0 - capacity_ratio) < NEAR, even, unlike), ENDLESS)


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
    most = smaller_capacity_rate * (hot_in - cold_in)
    return np.where(most > 0.0, output / most, 0.0)


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


_COLDEST, _HOTTEST = LIQUID_TEMPERATURE.low, LIQUID_TEMPERATURE.high
_KEPT = "an output needs a {}_capacity_rate with which what leaves stays a liquid, -60 °C (-76 °F) to 150 °C (302 °F)"


def _kept(start: Any, heat: Any, rate: Any) -> Any:
    """True where a flow that takes a heat up leaves within the temperatures of a liquid."""
    return (heat >= rate * (_COLDEST - start)) & (heat <= rate * (_HOTTEST - start))


@named(
    source="heat balance of the hot side",
    ranges={"hot_in": LIQUID_TEMPERATURE},
    requires=((_KEPT.format("hot"), lambda hot_in, output, hot_capacity_rate: _kept(hot_in, -output, hot_capacity_rate)),),
)
def hot_outlet_temperature(hot_in: Temperature, output: Power, hot_capacity_rate: Conductance) -> Temperature:
    """Temperature at which the hot side leaves an exchanger.

    hot_in: hot side, entering
    output: heat exchanged
    hot_capacity_rate: hot side's flow * density * specific heat

    >>> round(hot_outlet_temperature(80, 21000, 1400), 6)
    65.0
    """
    return hot_in - np.where(hot_capacity_rate > 0.0, output / hot_capacity_rate, 0.0)


@named(
    source="heat balance of the cold side",
    ranges={"cold_in": LIQUID_TEMPERATURE},
    requires=((_KEPT.format("cold"), _kept),),
)
def cold_outlet_temperature(cold_in: Temperature, output: Power, cold_capacity_rate: Conductance) -> Temperature:
    """Temperature at which the cold side leaves an exchanger.

    cold_in: cold side, entering
    output: heat exchanged
    cold_capacity_rate: cold side's flow * density * specific heat

    >>> round(cold_outlet_temperature(20, 21000, 700), 6)
    50.0
    """
    return cold_in + np.where(cold_capacity_rate > 0.0, output / cold_capacity_rate, 0.0)
