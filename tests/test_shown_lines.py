"""Every row of the sheet Lines beside a value worked out another way; see ``shown``.  The tubes stand in ``shown_tubes``."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from oracle.facts import FOOT, HOUR, middle_day
from oracle.lines import Conductances, Pair
from shown import (
    BTU,
    GALLON,
    JOBS,
    Near,
    Table,
    Worked,
    blank,
    by_month,
    days,
    differences,
    fahrenheit,
    lacking,
    millions,
    per_degree,
    per_foot,
    typed,
    watts,
)
from shown_ground import (
    DRY,
    SOAKED,
    US,
    WALLS,
    as_it_lies,
    buried,
    close,
    deeper,
    dry,
    here,
    is_apart,
    jacket,
    laid,
    lying,
    material,
    of_one_jacket,
    spacing,
    stated,
    wall,
    wet,
)
from shown_tubes import TUBES, line_load, part, starting_at, tube
from slow import but_first
from test_shown_boiler import BARE_FILM, of_a_gallon
from test_shown_money import cord_price
from test_shown_year import cord


def only(condition: bool, conductance: float) -> float | None:
    return per_foot(conductance) if condition else None


# --- the night as it will be ------------------------------------------------------------------------------------------


def rate(w: Worked, name: str) -> float:
    """BTU/(h °F) of all water of the line."""
    return per_degree(w.run(name).rate(w.run(name).flow))


def starts(w: Worked, name: str) -> str | None:
    return w.run(name).parent


def inlet(w: Worked, name: str) -> float:
    parent = starts(w, name)
    return fahrenheit(w.night.supply if parent is None else w.night.arrival[parent])


def arrival(w: Worked, name: str) -> float:
    return fahrenheit(w.night.arrival[name])


def back(w: Worked, name: str) -> float:
    return fahrenheit(w.night.back[name])


def own(w: Worked, name: str) -> float:
    return watts(sum(w.night.stations[load].taken for load in w.job.loads_on(name)))


def enters(w: Worked, name: str) -> float:
    return watts(w.night.entering[name])


def all_taken(w: Worked, name: str) -> float:
    return own(w, name) + sum(enters(w, other) for other in starting_at(w, name))


def enters_alone(w: Worked, name: str) -> float:
    """If only its own loads took of the line's water."""
    pair = w.run(name).pair
    assert pair is not None
    _, near = pair.ends((inlet(w, name) - 32) / 1.8, own(w, name) * BTU / HOUR)
    return rate(w, name) * (inlet(w, name) - fahrenheit(near))


def return_in(w: Worked, name: str) -> float:
    return arrival(w, name) - all_taken(w, name) / rate(w, name)


def lost(w: Worked, name: str) -> float:
    return watts(w.night.lost[name])


def of_boiler(w: Worked, name: str, value: float) -> float | None:
    return value if starts(w, name) is None else None


# --- the year ---------------------------------------------------------------------------------------------------------


def season(w: Worked, name: str, conductances: Conductances, month: int) -> float:
    """Million BTU that both lines of a run lose in a month, at the mean of the band and with the month's mean heat."""
    band = (w.number("boiler", "lower setpoint") + w.number("boiler", "upper setpoint")) / 2
    seconds = days(month) * 24 * HOUR

    def line(of: str) -> Pair:
        run, each = w.run(of), conductances if of == name else laid(w, of)
        assert run.pair is not None
        ground = w.network.site.ground_at(w.number(part(of), "depth") * FOOT, middle_day(month))
        return Pair(run.pair.length, each, ground, run.pair.rate)

    def heat(of: str) -> float:
        loads = sum(w.year.loads[load][month] for load in w.job.loads_on(of)) / seconds
        return loads + sum(heat(other) for other in starting_at(w, of))

    def supply(of: str) -> float:
        parent = starts(w, of)
        return (band - 32) / 1.8 if parent is None else line(parent).ends(supply(parent), heat(parent))[0]

    return millions(line(name).lost(supply(name), heat(name)) * seconds) if w.lit(month) else 0.0


def season_as_laid(w: Worked, name: str, month: int) -> float:
    return season(w, name, laid(w, name), month)


def year(w: Worked, name: str, conductances: Conductances | None = None) -> float:
    return sum(season(w, name, conductances or laid(w, name), month) for month in range(12))


def in_that_condition(w: Worked, name: str, when_wet: bool) -> float:
    return year(w, name, lying(w, name, when_wet))


def cords(w: Worked, heat: float) -> float:
    return heat / (cord(w) * w.year.efficiency)


# --- the upgraded line ------------------------------------------------------------------------------------------------


def better_jacket(w: Worked, name: str) -> float | None:
    found = w.typed(part(name), "upgraded jacket outer diameter")
    return None if found is None else float(found)


def better_material(w: Worked, name: str) -> str:
    return str(w.typed(part(name), "upgraded insulation") or material(w, name))


def better_conductivity(w: Worked, name: str) -> float:
    return float(w.typed(part(name), "upgraded insulation conductivity") or DRY[better_material(w, name)] / US)


def moved_apart(w: Worked, name: str) -> float | None:
    """Jackets that are larger than their spacing push the lines apart."""
    wider = better_jacket(w, name)
    return max(spacing(w, name), wider) if is_apart(w, name) and wider is not None else None


def better_spacing(w: Worked, name: str) -> float:
    return moved_apart(w, name) or spacing(w, name)


def better_year(w: Worked, name: str) -> float | None:
    wider = better_jacket(w, name)
    if wider is None:
        return None
    return year(w, name, buried(w, name, better_conductivity(w, name), wider, better_spacing(w, name), w.number(part(name), "depth")))


def saved(w: Worked, name: str) -> float | None:
    found = better_year(w, name)
    return None if found is None else max(year(w, name) - found, 0.0)


def worth(w: Worked, name: str) -> float | None:
    found = saved(w, name)
    return None if found is None else cords(w, found) * cord_price(w)


def extra(w: Worked, name: str) -> float | None:
    now, then = (w.typed(part(name), item) for item in ("line cost", "upgraded line cost"))
    return None if now is None else (then - now) * w.number(part(name), "length")


def payback(w: Worked, name: str) -> float | None:
    cost, gain = extra(w, name), worth(w, name)
    return None if cost is None or gain is None else cost / gain


def over(of: Callable[[Worked, str], float | None], what: Callable[[Worked, float], float]) -> Callable[[Worked, str], float | None]:
    """Of what may be blank."""
    return lambda w, name: None if (found := of(w, name)) is None else what(w, found)


# --- depth and frost --------------------------------------------------------------------------------------------------


def stretch(w: Worked, name: str) -> float:
    """Gallons in a metre of tube."""
    return math.pi / 4 * tube(w, name).bore ** 2 / GALLON


def bare(w: Worked, name: str) -> float:
    """BTU/(h °F) of a metre of it."""
    film = 1 / (math.pi * tube(w, name).outside / FOOT * BARE_FILM)
    return 1 / FOOT / (film + wall(w, name))


def freezes(w: Worked, name: str, conductance: float, surroundings: float) -> float:
    """Hours from the lower setpoint to 32 °F; never where it is no colder."""
    if surroundings >= 32:
        return 100_000.0
    hot = w.number("boiler", "lower setpoint") - surroundings
    return stretch(w, name) * of_a_gallon(w) / conductance * math.log(hot / (32 - surroundings))


def ground(w: Worked, name: str) -> float:
    site = w.network.site
    return fahrenheit(site.ground_at(w.number(part(name), "depth") * FOOT, w.number("site", "coldest day")))


def per_metre(w: Worked, name: str) -> float:
    return per_degree(laid(w, name).loss)


# The formulas of first order say what passes between the lines within 1 % of what the supply gives off, which is up to twice that.
EXCHANGE = 0.015
# The book goes in proportion to the conductance; a line that loses ten times as much has water some degrees colder.
PROPORTION = 0.04
# The book's slope is that of the soil's resistance far below the surface: of a soaked line apart 0.8 % more at 2.5 ft.
SLOPE = 0.01

LINES: Table = {
    "The line": {
        "Arrangement": typed("run", "arrangement"),
        "Insulation": material,
        "Jacket condition": typed("run", "jacket condition"),
        "Depth": typed("run", "depth"),
        "Insulation conductivity, table": lambda w, name: DRY[material(w, name)] / US,
        "Insulation conductivity, dry": dry,
        "Insulation conductivity when wet, table": lambda w, name: SOAKED / US,
        "Insulation conductivity when wet": wet,
        "Insulation conductivity as it lies": as_it_lies,
        "Jacket outer diameter": jacket,
        "Spacing, typed": typed("run", "spacing"),
        "Spacing, tubes in one jacket": close,
        "Spacing, middle to middle": spacing,
        "Conductivity of the tube's wall": lambda w, name: WALLS[tube(w, name).family] / US,
        "Resistance of the tube's wall": wall,
        "Ground temperature on the design night": ground,
    },
    "Conductances": {
        "Stated loss": typed("run", "stated loss"),
        "Stated loss difference": typed("run", "stated loss difference"),
        "Loss conductance, from the stated loss": over(stated, lambda w, u: per_foot(u)),
        "Exchange conductance, with a stated loss": over(stated, lambda w, u: 0.0),
        "What cannot be so in this line": lambda w, name: 0.0,
        "Jacket, if the line can be so": jacket,
        "Resistance of one jacket": of_one_jacket,
        "Loss conductance, lines apart": lambda w, name: only(is_apart(w, name), here(w, name, as_it_lies(w, name)).loss),
        "Exchange conductance, lines apart": Near(
            lambda w, name: only(is_apart(w, name), here(w, name, as_it_lies(w, name)).exchange), share=EXCHANGE
        ),
        "Loss conductance, one jacket": lambda w, name: only(not is_apart(w, name), here(w, name, as_it_lies(w, name)).loss),
        "Exchange conductance, one jacket": Near(
            lambda w, name: only(not is_apart(w, name), here(w, name, as_it_lies(w, name)).exchange), share=EXCHANGE
        ),
        "Loss conductance of each line": lambda w, name: per_foot(laid(w, name).loss),
        "Exchange conductance": Near(lambda w, name: per_foot(laid(w, name).exchange), share=EXCHANGE),
    },
    "Flow and drop on the design night": {
        "Capacity rate of the run's own flow": lambda w, name: per_degree(w.run(name).rate(w.run(name).own_flow)),
        "Capacity rate of the water": rate,
        "Temperature drop at that flow": lambda w, name: line_load(w, name) / rate(w, name),
    },
    "Heat lost by both lines by month": by_month(season_as_laid),
    "The supply of the loads": {"Supply arrives": arrival},
    "The supply": {"Supply into the line": inlet},
    "Heat taken, and what enters the line for it": {
        "Taken by this run's loads": own,
        "Heat that enters the line": enters_alone,
        "Taken, with the runs that start here": all_taken,
        "Heat that enters the line, to the next branch": enters,
        "Drop of what is taken": lambda w, name: all_taken(w, name) / rate(w, name),
        "Heat from the boiler": lambda w, name: of_boiler(w, name, enters(w, name)),
    },
    "Back through the line": {"Return into the line": return_in, "Return arrives": back},
    "The balance of each line": {
        "Lost by the supply": lambda w, name: rate(w, name) * (inlet(w, name) - arrival(w, name)),
        "Lost by the return": lambda w, name: rate(w, name) * (return_in(w, name) - back(w, name)),
        "Lost by both": lost,
        "Followed to the far end less taken, over both (0: it closes)": lambda w, name: 0.0,
        "Supply followed to the far end, less what arrives": lambda w, name: 0.0,
        "Lost by both, over what enters": lambda w, name: lost(w, name) / enters(w, name) * 100,
        "Capacity rate at the boiler": lambda w, name: of_boiler(w, name, rate(w, name)),
    },
    "Temperature lost by the supply": {
        "Temperature lost by the supply": lambda w, name: inlet(w, name) - arrival(w, name),
        "Temperature lost per length": lambda w, name: (inlet(w, name) - arrival(w, name)) / w.number(part(name), "length") * 100,
        "Lost by both, per length of trench": lambda w, name: lost(w, name) / w.number(part(name), "length"),
    },
    "Dry and wet": {
        "Loss conductance, dry": lambda w, name: per_foot(lying(w, name, False).loss),
        "Lost in a year, dry": Near(lambda w, name: in_that_condition(w, name, False), share=PROPORTION),
        "Cords for that, dry": Near(lambda w, name: cords(w, in_that_condition(w, name, False)), share=PROPORTION),
        "Loss conductance, wet": lambda w, name: per_foot(lying(w, name, True).loss),
        "Lost in a year, wet": Near(lambda w, name: in_that_condition(w, name, True), share=PROPORTION),
        "Cords for that, wet": Near(lambda w, name: cords(w, in_that_condition(w, name, True)), share=PROPORTION),
        "Wet over dry": lambda w, name: lying(w, name, True).loss / lying(w, name, False).loss,
    },
    "The upgraded line": {
        "Upgraded insulation": typed("run", "upgraded insulation"),
        "Insulation, better or the same": better_material,
        "Conductivity, table": lambda w, name: DRY[better_material(w, name)] / US,
        "Conductivity of the upgraded line": better_conductivity,
        "Outer diameter of the upgraded line": better_jacket,
        "Spacing apart, a larger jacket": moved_apart,
        "Spacing of the upgraded line": better_spacing,
        "Lost in a year, upgraded line": better_year,
        # Differences of two years, each within half a per cent.
        "Heat saved in a year": Near(saved, share=0.01),
        "Cords saved in a year": Near(over(saved, cords), share=0.01),
        "Worth of those cords": Near(worth, share=0.01),
        "Line cost": typed("run", "line cost"),
        "Upgraded line cost": typed("run", "upgraded line cost"),
        "Extra cost": extra,
        "Payback of the upgraded line": Near(payback, share=0.01),
    },
    "Depth": {
        "Saved by another foot (0.3 m) of depth": Near(deeper, share=SLOPE),
        # It falls as the depth grows.
        "Depth beyond which that is less than 1 %": Near(lambda w, name: deeper(w, name) * w.number(part(name), "depth"), share=SLOPE),
    },
    "Power failure: hours until standing water freezes": {
        "Water in a stretch of one tube": stretch,
        "Conductance of that stretch, bare in the air": bare,
        "Bare tube in the outdoor air": lambda w, name: freezes(w, name, bare(w, name), w.number("site", "outdoor design temperature")),
        "Conductance of that stretch, buried": per_metre,
        "Buried line (100,000 h: never)": lambda w, name: freezes(w, name, per_metre(w, name), ground(w, name)),
    },
}
TABLE: Table = TUBES | LINES


def test_every_row_has_its_line() -> None:
    assert not lacking("Lines", TABLE)


@pytest.mark.slow
def test_every_row_shows_something() -> None:
    assert not blank("Lines")


@pytest.mark.parametrize("job", but_first(JOBS))
def test_what_the_rows_show(job: str) -> None:
    wrong = differences(job, "Lines", TABLE)
    assert not wrong, wrong
