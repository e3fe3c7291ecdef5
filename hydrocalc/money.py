"""Money: what heat costs, what is saved, when it is paid back, and the price of a cord at which it stops paying."""

from __future__ import annotations

import numpy as np

from .measures import (
    EFFICIENCY,
    SOURCE_EFFICIENCY,
    CordEnergy,
    Cords,
    ElectricityPrice,
    ElectricPower,
    Fraction_,
    FuelAmount,
    FuelEnergy,
    Money,
    MoneyPerCord,
    MoneyPerEnergy,
    MoneyPerTime,
    MoneyPerUnit,
    Ratio,
    SeasonEnergy,
    Time,
    Years,
    above,
    at_least,
    between,
)
from .named import named

YEAR = 1.0  # year
CORD = 1.0  # cord, the one that the hours are for
NEVER_PAID = 1000.0  # year, stands for a saving that never pays
NEAR = 3e-9  # growth of a payment over interest, less 1: nearer, the closed form loses more digits than the plain number of years errs

_PARITY = "definition: price / (heat content * efficiency)"
_SERIES = "present worth of a growing series, first payment unescalated at the end of year 1"
_ESCALATION = {"escalation": between(-0.5, 1.0)}


@named(source=_PARITY, ranges={"efficiency": SOURCE_EFFICIENCY})
def heat_price(fuel_price: MoneyPerUnit, heat_content: FuelEnergy, efficiency: Fraction_) -> MoneyPerEnergy:
    """Price of useful heat from a fuel.

    fuel_price: of a sales unit (gallon, therm, ton, kWh)
    heat_content: gross, of that unit
    efficiency: seasonal, on the gross heat; above 100 % for a heat pump

    >>> round(heat_price.us(2.8, 138000, 80), 2)
    25.36
    """
    return fuel_price / (heat_content * efficiency)


@named(source="definition")
def fuel_cost(amount: FuelAmount, fuel_price: MoneyPerUnit) -> Money:
    """Cost of a fuel as it is sold.

    amount: in sales units
    fuel_price: of a sales unit (gallon, therm, ton, kWh)

    >>> fuel_cost.us(900, 3.5)
    3150.0
    """
    return amount * fuel_price


@named(source="definition: amount * heat content * efficiency", ranges={"efficiency": SOURCE_EFFICIENCY})
def useful_fuel_heat(amount: FuelAmount, heat_content: FuelEnergy, efficiency: Fraction_) -> SeasonEnergy:
    """Useful heat of an amount of fuel.

    amount: in sales units
    heat_content: gross, of a sales unit
    efficiency: seasonal, on the gross heat; 100 % gives the gross heat itself, a heat pump's is above it

    >>> round(useful_fuel_heat.us(1100, 100000, 80), 6)
    88.0
    """
    return amount * heat_content * efficiency


@named(source="definition", ranges={"heat": at_least(0.0)})
def heat_cost(heat: SeasonEnergy, heat_price: MoneyPerEnergy) -> Money:
    """Cost of an amount of useful heat.

    heat: useful
    heat_price: of useful heat

    >>> round(heat_cost.us(100, 25.36))
    2536
    """
    return heat * heat_price


@named(source="definition")
def wood_cost(cords: Cords, cord_price: MoneyPerCord) -> Money:
    """Cost of the cords burned.

    cords: burned in a year
    cord_price: bought, or the worth of one's own labor

    >>> wood_cost.us(9, 220)
    1980.0
    """
    return cords * cord_price


@named(source="definition: a cord's price is that of its part over the part", ranges={"price": at_least(0.0), "cords": above(0.0)})
def cord_price_from_stack(price: Money, cords: Cords) -> MoneyPerCord:
    """Price of a full cord from that of a face cord or another stack.

    price: of the stack
    cords: in the stack

    >>> round(cord_price_from_stack.us(110, 1 / 3), 6)
    330.0
    """
    return price / cords


@named(source="definition")
def cord_price_from_labor(hours: Time, wage: MoneyPerTime) -> MoneyPerCord:
    """Price of a cord as the worth of one's own labor.

    hours: to fell, haul, split and stack one cord
    wage: worth of an hour

    >>> round(cord_price_from_labor.us(8, 15), 6)
    120.0
    """
    return hours * wage / CORD


@named(source="definition")
def pump_running_cost(power: ElectricPower, hours: Time, price: ElectricityPrice) -> Money:
    """Cost of running a pump or a fan.

    power: electric
    hours: that it runs
    price: of electricity

    >>> round(pump_running_cost.us(85, 5000, 0.16), 6)
    68.0
    """
    return power * hours * price


@named(source="definition: fuel replaced, less wood, less what running it costs")
def annual_saving(fuel_cost: Money, wood_cost: Money, running_cost: Money) -> Money:
    """Money saved in a year.

    fuel_cost: of the fuel that is no longer bought
    wood_cost: of the wood burned
    running_cost: electricity and upkeep beyond those of today

    >>> annual_saving(1400 * 2.6, 9 * 220, 0)
    1660.0
    """
    return fuel_cost - wood_cost - running_cost


@named(source="definition: cost / saving of a year", ranges={"cost": at_least(0.0)})
def simple_payback(cost: Money, saving: Money) -> Years:
    """Years after which the saving has paid the cost.

    cost: installed
    saving: in a year; without one it is never paid, which reads as 1000 years

    >>> round(simple_payback(14000, 1800), 3)
    7.778
    """
    never = np.where(cost > 0.0, NEVER_PAID, 0.0)
    return np.where(saving > 0.0, np.minimum(cost * YEAR / saving, NEVER_PAID), never)


@named(source=_SERIES, accuracy="within 1e-9 of the sum; 1e-7 where rate and escalation differ by less than 1e-6", ranges=_ESCALATION)
def present_worth_factor(rate: Fraction_, escalation: Fraction_, years: Years) -> Ratio:
    """Present worth of a series of yearly payments that begins at one.

    rate: interest or discount rate in a year
    escalation: growth of the payment in a year
    years: number of payments

    >>> round(present_worth_factor(0.06, 0.03, 15) * 1800, 2)
    20994.88
    """
    n = years / YEAR
    ratio = (1.0 + escalation) / (1.0 + rate)
    # At equality the closed form is 0/0.  The plain one errs by half of (years - 1) times what it leaves, the closed one by the
    # rounding of 1e-16 over it: at the switch both stay under 1e-7, over 60 years.
    return np.where(np.abs(ratio - 1.0) < NEAR, n / (1.0 + rate), (1.0 - ratio**n) / (rate - escalation))


@named(source=_SERIES, accuracy="equal to numpy-financial's sum", ranges=_ESCALATION)
def net_present_value(rate: Fraction_, cost: Money, saving: Money, escalation: Fraction_, years: Years) -> Money:
    """Present worth of the savings of a number of years, less the cost.

    rate: interest or discount rate in a year
    cost: installed, paid now
    saving: of the first year, counted at its end
    escalation: growth of the saving in a year
    years: counted

    >>> round(net_present_value(0.06, 14000, 1800, 0.0, 15), 2)
    3482.05
    """
    return saving * present_worth_factor(rate, escalation, years) - cost


@named(
    source="present worth of the savings equal to the cost, solved for the number of years; " + _SERIES,
    accuracy="within 1e-9; 1e-7 where rate and escalation differ by less than 1e-6",
    ranges={**_ESCALATION, "cost": at_least(0.0)},
)
def discounted_payback(rate: Fraction_, cost: Money, saving: Money, escalation: Fraction_) -> Years:
    """Years after which the present worth of the savings has paid the cost.

    rate: interest or discount rate in a year
    cost: installed, paid now
    saving: of the first year, counted at its end
    escalation: growth of the saving in a year

    Never paid, where there is no saving or interest eats it, reads as 1000 years.

    >>> round(discounted_payback(0.06, 14000, 1800, 0.03), 3)
    9.255
    """
    ratio = (1.0 + escalation) / (1.0 + rate)
    left = 1.0 - cost * (rate - escalation) / saving  # of what endless savings are worth, when the cost is paid
    plain = cost * (1.0 + rate) / saving
    paid = YEAR * np.where(np.abs(ratio - 1.0) < NEAR, plain, np.where(left > 0.0, np.log(left) / np.log(ratio), NEVER_PAID / YEAR))
    never = np.where(cost > 0.0, NEVER_PAID, 0.0)
    return np.where(saving > 0.0, np.minimum(paid, NEVER_PAID), never)


@named(source="cost parity: the price at which heat from wood costs what heat from the other fuel does", ranges={"efficiency": EFFICIENCY})
def parity_cord_price(heat_price: MoneyPerEnergy, cord_energy: CordEnergy, efficiency: Fraction_) -> MoneyPerCord:
    """Price of a cord at which its heat costs what the other fuel's does.

    heat_price: of useful heat from the other fuel
    cord_energy: gross heat of a cord
    efficiency: of the wood boiler over the season, on the gross heat

    >>> round(parity_cord_price.us(30.44669, 24, 55), 1)
    401.9
    """
    return heat_price * cord_energy * efficiency


@named(
    source="net present value of zero, solved for the price of a cord",
    ranges={"present_worth_factor": above(0.0), "cords": above(0.0)},
)
def break_even_cord_price(fuel_cost: Money, running_cost: Money, cost: Money, present_worth_factor: Ratio, cords: Cords) -> MoneyPerCord:
    """Price of a cord at which the whole installation stops paying.

    fuel_cost: of the fuel replaced, in the first year
    running_cost: electricity and upkeep beyond those of today, in the first year
    cost: installed
    present_worth_factor: of the years counted
    cords: burned in a year

    Negative where it does not pay even with wood for nothing.

    >>> round(break_even_cord_price(3640, 150, 14000, 10.0, 9), 2)
    232.22
    """
    return (fuel_cost - running_cost - cost / present_worth_factor) / cords
