"""Pumps: where the maker's curve meets the system, what that takes in power, and what the suction side needs."""

from __future__ import annotations

import numpy as np

from .friction import STANDARD_GRAVITY
from .measures import (
    EFFICIENCY,
    Density,
    ElectricPower,
    Fraction_,
    Head,
    HeadPerFlow,
    HeadPerFlowSquared,
    Pressure,
    VolumeFlow,
    above,
    at_least,
)
from .named import named

_CURVE = "quadratic through three points of the maker's curve (Newton's divided differences)"
_SYSTEM = "static head + a * flow + b * flow² through two points"
_THREE_POINTS = (
    "the flows must rise: 0 < mid_flow < high_flow",
    lambda shutoff_head, mid_flow, mid_head, high_flow, high_head: (mid_flow > 0) & (high_flow > mid_flow),
)
_TWO_POINTS = (
    "the two flows must be above zero and differ",
    lambda static_head, flow_a, head_a, flow_b, head_b: (flow_a > 0) & (flow_b > 0) & (flow_a != flow_b),
)


@named(source=_CURVE, requires=(_THREE_POINTS,))
def pump_square_coefficient(
    shutoff_head: Head, mid_flow: VolumeFlow, mid_head: Head, high_flow: VolumeFlow, high_head: Head
) -> HeadPerFlowSquared:
    """Square coefficient of a pump's curve.

    shutoff_head: at no flow
    mid_flow: near the middle of the curve
    mid_head: at that flow
    high_flow: near the end of the curve
    high_head: at that flow

    >>> round(pump_square_coefficient.us(19, 10, 15, 20, 5), 9)
    -0.03
    """
    return ((high_head - mid_head) / (high_flow - mid_flow) - (mid_head - shutoff_head) / mid_flow) / high_flow


@named(source=_CURVE, requires=(_THREE_POINTS,))
def pump_linear_coefficient(
    shutoff_head: Head, mid_flow: VolumeFlow, mid_head: Head, high_flow: VolumeFlow, high_head: Head
) -> HeadPerFlow:
    """Linear coefficient of a pump's curve.

    shutoff_head: at no flow
    mid_flow: near the middle of the curve
    mid_head: at that flow
    high_flow: near the end of the curve
    high_head: at that flow

    >>> round(pump_linear_coefficient.us(19, 10, 15, 20, 5), 9)
    -0.1
    """
    square = pump_square_coefficient(shutoff_head, mid_flow, mid_head, high_flow, high_head)
    return (mid_head - shutoff_head) / mid_flow - square * mid_flow


@named(
    source=_CURVE,
    accuracy="exact at the three points; between them as good as a circulator's curve is a parabola",
    requires=((_THREE_POINTS[0], lambda flow, *points: _THREE_POINTS[1](*points)),),
    doubts=(("flow is beyond the last point of the curve", lambda flow, h0, q1, h1, high_flow, h2: flow > high_flow),),
)
def pump_head(flow: VolumeFlow, shutoff_head: Head, mid_flow: VolumeFlow, mid_head: Head, high_flow: VolumeFlow, high_head: Head) -> Head:
    """Head of a pump at a flow.

    flow: through the pump
    shutoff_head: at no flow
    mid_flow: near the middle of the curve
    mid_head: at that flow
    high_flow: near the end of the curve
    high_head: at that flow

    >>> round(pump_head.us(15, 19, 10, 15, 20, 5), 6)
    10.75
    """
    linear = pump_linear_coefficient(shutoff_head, mid_flow, mid_head, high_flow, high_head)
    square = pump_square_coefficient(shutoff_head, mid_flow, mid_head, high_flow, high_head)
    return shutoff_head + flow * (linear + square * flow)


@named(source=_SYSTEM, requires=(_TWO_POINTS,))
def system_square_coefficient(static_head: Head, flow_a: VolumeFlow, head_a: Head, flow_b: VolumeFlow, head_b: Head) -> HeadPerFlowSquared:
    """Square coefficient of a system's curve.

    static_head: at no flow; 0 in a closed loop
    flow_a: one flow
    head_a: that the system takes at that flow
    flow_b: another flow
    head_b: that the system takes at that flow

    >>> round(system_square_coefficient.us(0, 5, 3, 10, 11), 9)
    0.1
    """
    return ((head_b - static_head) / flow_b - (head_a - static_head) / flow_a) / (flow_b - flow_a)


@named(source=_SYSTEM, requires=(_TWO_POINTS,))
def system_linear_coefficient(static_head: Head, flow_a: VolumeFlow, head_a: Head, flow_b: VolumeFlow, head_b: Head) -> HeadPerFlow:
    """Linear coefficient of a system's curve.

    static_head: at no flow; 0 in a closed loop
    flow_a: one flow
    head_a: that the system takes at that flow
    flow_b: another flow
    head_b: that the system takes at that flow

    >>> round(system_linear_coefficient.us(0, 5, 3, 10, 11), 9)
    0.1
    """
    return (head_a - static_head) / flow_a - system_square_coefficient(static_head, flow_a, head_a, flow_b, head_b) * flow_a


@named(source="static head + a * flow + b * flow²")
def system_head(flow: VolumeFlow, static_head: Head, linear: HeadPerFlow, square: HeadPerFlowSquared) -> Head:
    """Head that a system takes at a flow.

    flow: through the system
    static_head: at no flow; 0 in a closed loop
    linear: linear coefficient of the system's curve
    square: square coefficient of the system's curve

    >>> round(system_head.us(10, 0, 0.1, 0.1), 6)
    11.0
    """
    return static_head + flow * (linear + square * flow)


@named(source="discriminant of square * flow² + linear * flow = surplus, its root added to the slope's size")
def crossing_slope(surplus: Head, linear: HeadPerFlow, square: HeadPerFlowSquared) -> HeadPerFlow:
    """Slope by which pump and system cross.

    surplus: shut-off head of the pump less static head of the system
    linear: linear coefficient of the system less that of the pump
    square: square coefficient of the system less that of the pump

    >>> round(crossing_slope(19.0, 0.2, 0.13), 4)
    3.3496
    """
    return np.abs(linear) + np.sqrt(np.maximum(linear**2 + 4.0 * square * surplus, 0.0))


@named(source="root of a quadratic, in the form that loses no digits (Numerical Recipes, section 5.6)")
def crossing_flow(surplus: Head, linear: HeadPerFlow, square: HeadPerFlowSquared) -> VolumeFlow:
    """Flow at which square * flow² + linear * flow uses up a surplus of head.

    surplus: shut-off head of the pump less static head of the system
    linear: linear coefficient of the system less that of the pump
    square: square coefficient of the system less that of the pump

    0 where there is no such flow.

    >>> round(crossing_flow(19.0, 0.2, 0.13), 3)
    11.345
    """
    slope = crossing_slope(surplus, linear, square)
    none = (surplus <= 0.0) | (linear**2 + 4.0 * square * surplus < 0.0) | ((linear <= 0.0) & (square <= 0.0))
    return np.where(none, 0.0, np.where(linear < 0.0, slope / (2.0 * square), 2.0 * surplus / slope))


@named(
    source="closed form: pump curve equal to system curve",
    accuracy="exact for the two quadratics",
)
def operating_flow(
    shutoff_head: Head,
    pump_linear: HeadPerFlow,
    pump_square: HeadPerFlowSquared,
    static_head: Head,
    system_linear: HeadPerFlow,
    system_square: HeadPerFlowSquared,
) -> VolumeFlow:
    """Flow at which a pump's curve meets a system's.

    shutoff_head: of the pump, at no flow
    pump_linear: linear coefficient of the pump's curve
    pump_square: square coefficient of the pump's curve, negative for a curve that bends down
    static_head: of the system, at no flow; 0 in a closed loop
    system_linear: linear coefficient of the system's curve
    system_square: square coefficient of the system's curve

    0 where the pump cannot lift the static head or the curves do not meet.

    >>> round(operating_flow.us(19, -0.1, -0.03, 0, 0.1, 0.1), 3)
    11.345
    """
    return crossing_flow(shutoff_head - static_head, system_linear - pump_linear, system_square - pump_square)


@named(source="hydraulic power / efficiency", ranges={"head": at_least(0.0), "efficiency": EFFICIENCY})
def pump_power(flow: VolumeFlow, head: Head, density: Density, efficiency: Fraction_) -> ElectricPower:
    """Power that a pump takes.

    flow: through the pump
    head: of the pump
    density: of the liquid
    efficiency: of pump and motor together for the power at the plug; of the pump alone for that at the shaft

    >>> round(pump_power(0.0002, 3.0, 977.8, 0.25), 2)
    23.01
    """
    return density * STANDARD_GRAVITY * flow * head / efficiency


@named(
    source="definition: (surface pressure - vapor pressure)/(density * g) + static head - friction head",
    ranges={"surface_pressure": above(0.0), "vapor_pressure": at_least(0.0), "friction_head": at_least(0.0)},
)
def net_positive_suction_head(
    surface_pressure: Pressure, static_head: Head, friction_head: Head, vapor_pressure: Pressure, density: Density
) -> Head:
    """Net positive suction head available at a pump.

    surface_pressure: absolute, on the water the pump draws from
    static_head: height of that water above the pump; negative where the pump stands above it
    friction_head: lost between the water and the pump
    vapor_pressure: of the water at its temperature, absolute
    density: of the water

    To be more than the maker requires of the pump.

    >>> round(net_positive_suction_head(101325, 2.0, 0.5, 47414, 971.79), 3)
    7.157
    """
    return (surface_pressure - vapor_pressure) / (density * STANDARD_GRAVITY) + static_head - friction_head
