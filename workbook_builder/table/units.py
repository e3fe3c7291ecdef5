"""Units as people type them: the trade's own spellings from a literal table, all others by pint.

pint costs more to start than a small job takes altogether, so it is imported only for a spelling that is not
listed here.  The factors of the listed spellings are tested against pint.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from fractions import Fraction
from functools import cache

from hydrocalc.measures import FRACTION, FUEL_AMOUNT, MONEY, MONEY_PER_UNIT, TEMPERATURE, Measure, System, Unit, measures
from hydrocalc.tables import table


class UnitError(ValueError):
    """A unit is not known, or measures something else."""


_ONE = Fraction(1)
# Measure, the unit it is a multiple of, the multiple, and the spellings as ``_plain`` leaves them.
_SPELLINGS: tuple[tuple[str, str, Fraction, str], ...] = (
    ("Power", "us", _ONE, "btuh, btu per h"),
    ("Power", "us", Fraction(1000), "mbh, kbtu/h, kbtuh, 1000 btu/h"),
    ("Power", "coherent", _ONE, "watt, watts"),
    ("ElectricPower", "us", Fraction(1000), "kw"),
    ("ElectricPower", "us", _ONE, "watt, watts"),
    ("Temperature", "us", _ONE, "fahrenheit, degree fahrenheit"),
    ("Temperature", "metric", _ONE, "celsius, degree celsius"),
    ("TemperatureDifference", "us", _ONE, "delta °f, delta_°f, fahrenheit"),
    ("TemperatureDifference", "metric", _ONE, "°c, delta °c, delta_°c, kelvin, celsius"),
    ("VolumeFlow", "us", _ONE, "gal/min, gallons/min, us gpm, usgpm"),
    ("VolumeFlow", "us", Fraction(1, 60), "gph, gal/h"),
    ("VolumeFlow", "metric", _ONE, "lpm, liter/min, litre/min"),
    ("VolumeFlow", "metric", Fraction(60), "l/s, lps"),
    ("VolumeFlow", "coherent", Fraction(1, 3600), "m3/h"),
    ("AirFlow", "us", _ONE, "ft3/min"),
    ("AirFlow", "coherent", Fraction(1, 3600), "m3/h"),
    ("Length", "us", _ONE, "foot, feet, '"),
    ("Length", "us", Fraction(1, 12), 'in, inch, inches, "'),
    ("Length", "us", Fraction(3), "yd"),
    ("Length", "metric", Fraction(1, 100), "cm"),
    ("Length", "metric", Fraction(1, 1000), "mm"),
    ("Length", "metric", _ONE, "meter, metre, meters, metres"),
    ("Bore", "us", _ONE, 'inch, inches, "'),
    ("Bore", "us", Fraction(12), "ft, foot, feet"),
    ("Bore", "metric", Fraction(10), "cm"),
    ("Area", "us", _ONE, "sq ft, sqft, square feet"),
    ("Area", "metric", _ONE, "sq m"),
    ("Volume", "us", _ONE, "gallon, gallons, us gal"),
    ("Volume", "metric", _ONE, "liter, litre, liters, litres"),
    ("Volume", "us", Fraction(1728, 231), "ft3, cu ft"),
    ("Space", "us", _ONE, "cu ft, cuft, cubic feet"),
    ("Space", "us", Fraction(231, 1728), "gal, gallon, gallons"),
    ("Space", "coherent", Fraction(1, 1000), "l"),
    ("Velocity", "us", _ONE, "ft per s, fps"),
    ("Velocity", "us", Fraction(1, 60), "ft/min, fpm"),
    ("Velocity", "us", Fraction(5280, 3600), "mph, mi/h"),
    ("Velocity", "metric", Fraction(1000, 3600), "km/h"),
    ("Pressure", "us", _ONE, "psig"),
    ("Pressure", "metric", Fraction(100), "bar"),
    ("Head", "us", _ONE, "ft of head, feet of head, ft head, ft of water, ft wc, foot, feet"),
    ("Head", "us", Fraction(1, 12), "in, inch, inches"),
    ("Head", "metric", _ONE, "m of head, m head, meter, metre"),
    ("HeadGradient", "us", _ONE, "ft/100 ft, ft/100ft"),
    ("HeadGradient", "metric", _ONE, "m/100 m, m/100m"),
    ("TemperatureGradient", "us", _ONE, "°f/100 ft, °f/100ft"),
    ("TemperatureGradient", "metric", _ONE, "k/100 m, °c per 100 m, °c/100 m"),
    ("Conductivity", "us", _ONE, "btu/ft h °f"),
    ("Conductivity", "us", Fraction(1, 12), "btu in/h ft2 °f, btu in/ft2 h °f"),
    ("Conductivity", "metric", _ONE, "w/m °c, w/mk"),
    ("HeatPerLength", "us", _ONE, "btu/ft h, btuh/ft"),
    ("HeatPerArea", "us", _ONE, "btu/ft2 h, btuh/ft2, btuh/sq ft"),
    ("Conductance", "us", _ONE, "btu/°f h, btuh/°f"),
    ("Conductance", "metric", _ONE, "w/°c"),
    ("ConductancePerArea", "us", _ONE, "btu/ft2 h °f"),
    ("ConductancePerArea", "metric", _ONE, "w/m2 °c"),
    ("AreaResistance", "us", _ONE, "ft2 h °f/btu, ft2 °f h/btu, r, r value"),
    ("AreaResistance", "metric", _ONE, "m2 °c/w"),
    ("DegreeDays", "us", _ONE, "°f days, °fday, degree days °f, °f·d"),
    ("DegreeDays", "metric", _ONE, "k days, °c day, °c days, kd"),
    ("HeatingValue", "metric", Fraction(1, 1000), "kj/kg"),
    ("Time", "us", _ONE, "hours, hrs"),
    ("Time", "us", Fraction(1, 60), "min, minute, minutes"),
    ("Time", "us", Fraction(24), "day, days, d"),
    ("Minutes", "us", _ONE, "minute, minutes"),
    ("Minutes", "us", Fraction(60), "h, hours"),
    ("Days", "us", _ONE, "days, d, day of year"),
    ("Years", "us", _ONE, "year, yr, a"),
    ("PerHour", "us", _ONE, "/h, 1/h"),
    ("Fraction", "us", _ONE, "percent, pct"),
    ("Fraction", "coherent", _ONE, "fraction"),
    ("MoneyPerCord", "us", _ONE, "$ per cord"),
    ("MoneyPerLength", "us", _ONE, "$ per ft"),
    ("MoneyPerUnit", "us", _ONE, "$ per unit"),
    ("ElectricityPrice", "us", _ONE, "$ per kwh"),
    ("Cords", "us", _ONE, "cord"),
    ("Density", "us", _ONE, "lb/cu ft, pcf"),
)
_MONEY_SIGNS = {
    "$": "$",
    "usd": "$",
    "us$": "$",
    "€": "€",
    "eur": "€",
    "£": "£",
    "gbp": "£",
    "cad": "cad",
    "c$": "cad",
    "currency": "currency",
}
# What pint may be shown: no digits but small exponents, so that no tower of powers is ever evaluated.
_EXPONENT = re.compile(r"(\*\*|\^)\s*-?[1-4]")
_LONGEST = 40


def _plain(text: str) -> str:
    """One spelling for the many ways in which people write the same unit."""
    s = text.strip().casefold().replace("²", "2").replace("³", "3").replace("**", "").replace("^", "")
    s = re.sub(r"[·*×()]|(?<=\w)-(?=[\w°])", " ", s)
    s = re.sub(r"\bdeg(rees?)?[ _]?(?=[fc]\b)", "°", s)
    s = re.sub(r"(?<![°\w])([fc])\b", r"°\1", s)
    s = re.sub(r"\b(hr|hour|hrs)\b", "h", s)
    s = re.sub(r"\s*/\s*", "/", s)
    return re.sub(r"\s+", " ", s).strip()


def _is_money(kind: Measure) -> bool:
    return "currency" in kind.coherent.pint


@cache
def _listed(kind: Measure) -> Mapping[str, Unit]:
    # Of several kinds of money each is the job's own, so all are looked up under one sign.
    found = {_plain(money_sign(u.symbol)[1] if _is_money(kind) else u.symbol): u for u in (kind.coherent, kind.metric, kind.us)}
    if kind.us.symbol == "–":
        found |= {"": kind.us, "-": kind.us, "count": kind.us}  # no "1": it may be what a decimal comma left over
    if kind is TEMPERATURE:
        found["k"] = found["kelvin"] = Unit("K", "kelvin", _ONE, Fraction("-273.15"))
    for name, base, multiple, spellings in _SPELLINGS:
        if name == kind.name:
            unit = {"us": kind.us, "metric": kind.metric, "coherent": kind.coherent}[base]
            for spelling in spellings.split(", "):
                found[spelling] = Unit(unit.symbol if multiple == 1 else spelling, "", unit.scale * multiple, unit.offset)
    return found


def words(kind: Measure) -> str:
    """The measure's name in words: ``VolumeFlow`` is a volume flow."""
    return re.sub(r"(?<!^)(?=[A-Z])", " ", kind.name).lower()


def expected(kind: Measure) -> str:
    """The trade units of a measure, for a message."""
    if kind is FRACTION:
        return "% or fraction"
    return " or ".join(dict.fromkeys(u.symbol for u in (kind.us, kind.metric)))


def money_sign(unit: str) -> tuple[str, str]:
    """The sign of money at the head of a unit ('' if none) and the unit with ``$`` in its place."""
    match = re.match(r"\s*([A-Za-z]*[$€£]|[A-Za-z]+)(.*)$", unit)
    sign = _MONEY_SIGNS.get(match.group(1).casefold(), "") if match else ""
    return (sign, "$" + match.group(2)) if sign and match else ("", unit)


@cache
def unit(kind: Measure, spelling: str) -> Unit:
    """The unit that a spelling means for a measure; UnitError that says what is allowed."""
    asked = money_sign(spelling)[1] if _is_money(kind) else spelling
    known = _listed(kind).get(_plain(asked))
    if known is not None:
        return known
    if not spelling.strip():
        raise UnitError(f"the unit is missing; allowed: {expected(kind)}")
    if re.fullmatch(r"\s*[\d.,]+\s*", spelling):
        raise UnitError(f"unit {spelling!r} is a number; is there a decimal comma in the value? Write a point. Allowed: {expected(kind)}")
    if re.match(r"(?i)\s*MBTU", spelling):
        raise UnitError(f"unit {spelling!r} is a thousand BTU to some and a million to others; write {expected(kind)} or MBH")
    for other in measures():
        if kind not in (FRACTION, MONEY, MONEY_PER_UNIT) and _plain(spelling) in _listed(other) and not _same_dimension(kind, other):
            raise UnitError(f"unit {spelling!r} measures {words(other)}, not {words(kind)}; allowed: {expected(kind)}")
    return _by_pint(kind, asked.replace("$", "currency") if _is_money(kind) else asked, spelling)


def _same_dimension(kind: Measure, other: Measure) -> bool:
    """A quick look without pint: measures that share a coherent unit."""
    return kind.coherent.pint == other.coherent.pint


def _by_pint(kind: Measure, asked: str, spelling: str) -> Unit:
    unknown = UnitError(f"unit {spelling!r} is not known{_nearest(kind, spelling)}; allowed: {expected(kind)}")
    if len(asked) > _LONGEST or re.search(r"\d", _EXPONENT.sub("", asked.replace("²", "**2").replace("³", "**3"))):
        raise unknown
    from hydrocalc.quantities import registry

    units = registry()
    try:
        parsed = units.parse_units(asked.replace("°F", "degF").replace("°C", "degC"))
        target = units.parse_units(kind.coherent.pint)
        if units.Quantity(1.0, parsed).dimensionality != units.Quantity(1.0, target).dimensionality:
            raise UnitError(f"unit {spelling!r} measures something else than {words(kind)}; allowed: {expected(kind)}")
        if "delta_" in str(parsed) and kind is TEMPERATURE:
            raise UnitError(f"unit {spelling!r} is a difference, not a temperature; allowed: {expected(kind)}")
        zero = float(units.Quantity(0.0, parsed).to(target).magnitude) if kind is TEMPERATURE else 0.0
        # A thousand, so that the rounding of an offset does not show in the scale.
        scale = (float(units.Quantity(1000.0, parsed).to(target).magnitude) - zero) / 1000.0
        found = Unit(spelling.strip(), asked, Fraction(scale), Fraction(zero))
    except UnitError:
        raise
    except Exception:  # pint raises errors of many unrelated classes for a text that is no unit
        raise unknown from None
    return found


def _nearest(kind: Measure, spelling: str) -> str:
    symbols = {_plain(u.symbol): u.symbol for u in (kind.us, kind.metric, kind.coherent)}
    near = difflib.get_close_matches(_plain(spelling), [*symbols, *_listed(kind)], 1, 0.6)
    return f" (did you mean {symbols.get(near[0], near[0])}?)" if near else ""


def sold_unit(kind: Measure, spelling: str, fuel: object) -> Unit:
    """A unit of a fuel's price or amount, in units as that fuel is sold: ``$/gal`` for oil, ``gal`` for its use."""
    if kind not in (MONEY_PER_UNIT, FUEL_AMOUNT) or not isinstance(fuel, str):
        return unit(kind, spelling)
    sold = dict(zip(table("fuels").texts("fuel"), table("fuels").texts("unit"), strict=True))[fuel]
    asked = money_sign(spelling)[1] if kind is MONEY_PER_UNIT else spelling
    if kind is MONEY_PER_UNIT:
        match = re.fullmatch(r"\$\s*(?:/|per )\s*(.+)", asked)
        if match is None:
            raise UnitError(f"unit {spelling!r} is not a price; allowed: $/{sold}")
        asked = match.group(1)
    if _plain(asked) in {_plain(sold), _plain(sold) + "s", "unit", "units"}:
        return Unit(spelling, "")
    factor = _ratio(asked, sold)
    if factor is None:
        prefix = "$/" if kind is MONEY_PER_UNIT else ""
        raise UnitError(f"unit {spelling!r} does not fit {fuel}, which is sold by the {sold}; allowed: {prefix}{sold}")
    return Unit(spelling, "", 1 / factor if kind is MONEY_PER_UNIT else factor)


def _ratio(asked: str, sold: str) -> Fraction | None:
    """How many ``sold`` units one ``asked`` unit is; None if they measure different things."""
    if len(asked) > _LONGEST or re.search(r"\d", _EXPONENT.sub("", asked)):
        return None
    from hydrocalc.quantities import registry

    try:
        return Fraction(float(registry().Quantity(1.0, asked).to(sold).magnitude))
    except Exception:  # as above: a text that is no unit raises almost anything
        return None


def in_units(text: str, system: System) -> str:
    """A text with its figures in the units of a system."""
    return re.sub(r"\{([^|{}]*)\|([^|{}]*)\}", r"\1" if system == "us" else r"\2", text)
