"""Random jobs: valid, of every kind of load, on runs that start at runs, with units mixed and items given or left out.

The figures are plausible rather than typical: a book has to hold for a poor job as well as for a good one.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
from books import TableRecord

from hydrocalc.tables import table
from workbook_builder.table import vocabulary
from workbook_builder.table.job import Job
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

RUN_NAMES = ("house", "barn", "Shop", "guest cottage", "mill no. 2", "end-house")
LOAD_NAMES = ("rooms", "taps", "tub", "drying", "O'Neal's", "bay (east)", "loft", "store", "sauna", "annex + hall", "pens", "cellar")
HEATING_TUBES = tuple(f for f in table("tube_limits").texts("family") if table("tube_limits").lookup("heating", f))
UNLISTED, SOAKED = "cellular glass", 0.2  # an insulation without a figure for wet in the table, and one for a job; BTU/(h ft °F)
TWO_TUBES, INCH = 2.5, 0.0254  # outside diameters that two tubes take in a jacket, with some to spare; m
DEEPEST = 2  # a run may start at a run that starts at a run from the boiler


class Maker:
    """Puts the rows of one job together."""

    def __init__(self, seed: int) -> None:
        self.random = np.random.default_rng(seed)
        # Each of its own, so that the jobs stay what they were.
        self.calendar, self.lying = (np.random.default_rng((seed, number)) for number in (1, 2))
        self.rows: list[TableRecord] = []
        self.depth: dict[str, int] = {}  # how many runs stand between a run and the boiler

    def chance(self, share: float) -> bool:
        return bool(self.random.random() < share)

    def one_of(self, words: Sequence[str]) -> str:
        return str(words[int(self.random.integers(len(words)))])

    def between(self, low: float, high: float) -> float:
        """A number as somebody would type it, of three figures."""
        return float(f"{self.random.uniform(low, high):.3g}")

    def word(self, part: str, item: str, value: str, share: float = 1.0) -> None:
        if self.chance(share):
            self.rows.append((part, item, value, "", ""))

    def any_word(self, part: str, item: str, share: float = 1.0) -> None:
        self.word(part, item, self.one_of(vocabulary.item(part, item).choices), share)

    def number(self, part: str, item: str, low: float, high: float, share: float = 1.0) -> float | None:
        """A number between bounds in the vocabulary's own unit, typed in that unit or in the metric one."""
        if not self.chance(share):
            return None
        value = self.between(low, high)
        self.put(part, item, value)
        return value

    def put(self, part: str, item: str, value: float) -> None:
        known = vocabulary.item(part, item)
        assert known.measure is not None
        unit = known.unit
        if unit == known.measure.us.symbol and self.chance(0.5) and "unit" not in unit and "$" not in unit:
            value = float(f"{float(known.measure.metric.from_coherent(known.measure.us.to_coherent(value))):.6g}")
            unit = known.measure.metric.symbol
        self.rows.append((part, item, value, unit, ""))

    # -- the parts

    def job(self) -> list[TableRecord]:
        self.word("job", "title", self.one_of(("Random job", "=1+1", "-3", "@home", "Grandma's place & barn")))
        self.site()
        self.liquid()
        self.boiler()
        self.wood()
        fuels = self.fuels()
        runs = RUN_NAMES[: int(self.random.integers(1, 7))]
        for index, name in enumerate(runs):
            self.run(f"run {name}", runs[:index])
        count = int(self.random.integers(len(runs), min(2 * len(runs) + 2, len(LOAD_NAMES)) + 1))
        # Now and then a run carries nothing of its own.
        for index, name in enumerate(LOAD_NAMES[:count]):
            run = runs[index] if index < len(runs) and self.chance(0.9) else self.one_of(runs)
            self.load(f"load {name}", run, fuels)
        return self.rows

    def site(self) -> None:
        self.number("site", "outdoor design temperature", -35, 30)
        if self.chance(0.5):
            mean, swing = self.between(35, 60), self.between(12, 30)
            for month, item in enumerate(vocabulary.MONTHLY_MEANS):
                self.put("site", item, round(mean - swing * np.cos(2 * np.pi * (month - 0.2) / 12) + self.between(-2, 2), 1))
        else:
            self.number("site", "annual degree days", 2500, 11000)
        self.number("site", "degree day base", 55, 68, 0.3)
        self.number("site", "indoor temperature", 60, 75, 0.5)
        self.number("site", "elevation", 0, 9000, 0.5)
        self.number("site", "mean ground temperature", 38, 60, 0.3)
        self.number("site", "ground amplitude", 5, 30, 0.3)
        self.number("site", "coldest day", 10, 60, 0.3)
        self.any_word("site", "soil", 0.6)
        self.number("site", "soil conductivity", 0.3, 1.8, 0.2)

    def liquid(self) -> None:
        self.glycol = self.chance(0.3)
        if self.glycol:
            self.kind_of_liquid = self.one_of(("propylene glycol", "ethylene glycol"))
            self.word("liquid", "kind", self.kind_of_liquid)
            self.number("liquid", self.one_of(("antifreeze by volume", "antifreeze by mass")), 15, 55, 0.9)

    def boiler(self) -> None:
        part = "boiler"
        self.any_word(part, "kind", 0.5)
        self.number(part, "rated output", 60_000, 600_000)
        self.any_word(part, "rated output basis", 0.5)
        self.number(part, "water content", 60, 900)
        if self.chance(0.5):
            on = self.between(140, 182)
            self.put(part, "lower setpoint", on)
            self.put(part, "upper setpoint", on + self.between(5, 20))
        self.number(part, "overshoot", 0, 10, 0.3)
        self.number(part, "hours between loadings", 6, 24, 0.5)
        if self.chance(0.5):
            self.any_word(part, "first month lit")
            self.any_word(part, "last month lit")
        self.number(part, "efficiency at full fire", 45, 88, 0.6)
        self.number(part, "idle fuel share", 0, 8, 0.3)
        self.number(part, "seasonal efficiency", 35, 75, 0.25)
        self.any_word(part, "efficiency basis", 0.3)
        if self.chance(0.7):
            self.number(part, "firebox volume", 8, 90)
            self.number(part, "charge fill", 50, 100, 0.5)
            self.number(part, "bulk density", 6, 18, 0.5)
        self.any_word(part, "system", 0.4)
        self.any_word(part, "return protection", 0.5)
        self.number(part, "lowest return temperature", 110, 150, 0.3)
        self.number(part, "fan power", 0, 250, 0.3)
        self.number(part, *self.one_of_numbers(("jacket conductance", 5, 40), ("jacket surface", 60, 260)), 0.5)
        self.number(part, "buffer tank volume", 100, 2000, 0.3)

    def one_of_numbers(self, *items: tuple[str, float, float]) -> tuple[str, float, float]:
        return items[int(self.random.integers(len(items)))]

    def wood(self) -> None:
        if self.chance(0.8):
            self.any_word("wood", "species")
        else:
            self.number("wood", "heating value", 8000, 9000)
            self.number("wood", "specific gravity", 0.35, 0.75)
        self.any_word("wood", "condition", 0.5)
        if self.chance(0.3):
            self.number("wood", "moisture", 12, 50)
            self.any_word("wood", "moisture basis", 0.5)
        self.number("wood", "solid volume of a cord", 65, 95, 0.3)
        self.number(
            "wood", *self.one_of_numbers(("price of a cord", 90, 350), ("price of a face cord", 40, 130), ("hours a cord", 2, 9)), 0.8
        )
        self.number("money", "installed cost", 6000, 40000, 0.7)
        self.number("money", "interest", 0, 9, 0.4)
        self.number("money", "life", 5, 30, 0.3)

    def fuels(self) -> tuple[str, ...]:
        names = ("oil", "gas", "current")[: int(self.random.integers(0, 4))]
        for name in names:
            part = f"fuel today {name}"
            fuel = self.one_of(vocabulary.item(part, "fuel").choices)
            self.word(part, "fuel", fuel)
            sold = table("fuels").texts("unit")[table("fuels").row(fuel)]
            self.rows.append((part, "price", self.between(0.1, 4), f"$/{sold}", ""))
            self.rows.append((part, "use", self.between(300, 3000), sold, ""))
            self.number(part, "seasonal efficiency", 55, 98, 0.4)
            self.number(part, "share for hot water", 0, 30, 0.4)
            if self.calendar.random() < 0.4:
                first = date(2021, 9, 1) + timedelta(days=int(self.calendar.integers(0, 900)))
                last = first + timedelta(days=int(self.calendar.integers(1, 366)))
                self.rows += [(part, "first date", first.isoformat(), "", ""), (part, "last date", last.isoformat(), "", "")]
        return names

    def run(self, part: str, others: Sequence[str]) -> None:
        # So deep as books add up: a run at a run that starts at the boiler.
        self.depth[part.removeprefix("run ")] = 0
        near = [o for o in others if self.depth[o] < DEEPEST]
        if near and self.chance(0.4):
            start = self.one_of(near)
            self.word(part, "starts at", start)
            self.depth[part.removeprefix("run ")] = self.depth[start] + 1
        self.number(part, "length", 20, 400)
        family, room = self.one_of(HEATING_TUBES), 0.0
        self.word(part, "tube family", family)
        if self.chance(0.4):
            tubes = table("tubes")
            sizes = [s for f, s in zip(tubes.texts("family"), tubes.texts("size"), strict=True) if f == family]
            size = self.one_of(sizes[len(sizes) // 4 :])
            self.rows.append((part, "size", size, "", ""))
            room = TWO_TUBES / INCH * (table("tubes").lookup("outside_diameter", family, size))
        buried, inside = self.one_of(("one jacket", "apart")), self.lying.random() < 0.2
        self.word(part, "arrangement", vocabulary.INDOORS if inside else buried, 0.6)
        self.any_word(part, "insulation", 0.7)
        self.any_word(part, "jacket condition", 0.3)
        if {(part, "insulation", UNLISTED, "", ""), (part, "jacket condition", "wet", "", "")} <= set(self.rows):
            self.rows.append((part, "wet insulation conductivity", SOAKED, "BTU/(h ft °F)", ""))
        jacket = max(self.between(8, 14), float(f"{room:.3g}"))
        if self.chance(0.8):
            self.put(part, "jacket outer diameter", jacket)
            if (part, "arrangement", vocabulary.INDOORS, "", "") in self.rows:
                self.rows.pop()
        else:
            self.number(part, "stated loss", 5, 30)
            self.number(part, "stated loss difference", 60, 150)
        self.put(part, "depth", self.between(2.5, 6))
        self.number(part, *self.one_of_numbers(("temperature drop", 8, 40), ("flow", 2, 30)), 0.7)
        if self.chance(0.4):
            shutoff, middle = self.between(12, 60), self.between(5, 20)
            for item, value in (
                ("shutoff head", shutoff),
                ("middle flow", middle),
                ("middle head", round(0.7 * shutoff, 1)),
                ("high flow", round(1.9 * middle, 1)),
                ("high head", round(0.2 * shutoff, 1)),
            ):
                self.put(part, f"circulator {item}", value)
        self.any_word(part, "circulator place", 0.4)
        self.number(part, "circulator height", -8, 8, 0.3)
        self.number(part, "highest point", -5, 25, 0.5)
        self.number(part, "circulator power", 30, 300, 0.4)
        self.number(part, "elbows", 0, 30, 0.4)
        self.number(part, "equivalent length of fittings", 0, 120, 0.3)
        if self.chance(0.3):
            self.number(part, "other head", 1, 12)
            self.number(part, "other head flow", 3, 15)
        if self.glycol and self.chance(0.3):  # said once more: another liquid than the boiler's would want an exchanger between
            self.word(part, "liquid", self.kind_of_liquid)
        if self.chance(0.5):
            self.number(part, "line cost", 6, 25)
            if self.chance(0.6):
                self.put(part, "upgraded jacket outer diameter", jacket + self.between(1, 4))
                self.number(part, "upgraded line cost", 20, 45)

    def load(self, part: str, run: str, fuels: Sequence[str]) -> None:
        kind = self.one_of(vocabulary.KINDS)
        self.word(part, "run", run)
        self.word(part, "kind", kind)
        self.number(part, "coincidence", 20, 100, 0.3)
        if self.chance(0.3):
            self.any_word(part, "first month in use")
            self.any_word(part, "last month in use")
        if kind in vocabulary.BUILDINGS:
            self.building(part, kind, fuels)
        elif kind == "hot water":
            self.hot_water(part)
        elif kind == "tub":
            self.number(part, "volume", 200, 9000)
            self.number(part, "surface", 20, 400)
            self.number(part, "set temperature", 78, 105, 0.6)
            self.number(part, "cover resistance", 0, 20, 0.5)
            self.number(part, "air temperature", 40, 80, 0.3)
            self.number(part, "wind", 0, 20, 0.4)
            self.number(part, "hours uncovered", 0, 24, 0.5)
            self.number(part, "exchanger conductance", 150, 3000, 0.5)
            self.number(part, "second side flow", 3, 30, 0.5)
        else:
            self.number(part, "heat", 2000, 40000)
            self.number(part, "hours a day", 0.5, 24, 0.6)

    def building(self, part: str, kind: str, fuels: Sequence[str]) -> None:
        way = self.one_of(("design loss", "conductance", "area", *(("share of fuel",) if fuels else ())))
        if way == "area":
            self.number(part, "heated area", 300, 3000)
            self.number(part, "loss per area", 12, 60)
        else:
            low, high = {"design loss": (8000, 90000), "conductance": (150, 1500), "share of fuel": (10, 90)}[way]
            self.number(part, way, low, high)
        self.number(part, "gains", 0, 5000, 0.4)
        self.number(part, "balance temperature", 50, 66, 0.3)
        self.number(part, "indoor temperature", 45, 74, 0.4)
        self.number(part, "idle loss of the existing boiler", 200, 2500, 0.3)
        if kind == "floor":
            self.number(part, "floor area", 250, 3000)
            self.number(part, "covering resistance", 0, 2, 0.5)
            self.number(part, "slab resistance", 0.1, 2, 0.5)
        else:
            self.number(part, "rated output", 15000, 140000)
        if kind == "baseboard":
            self.number(part, "rated mean water temperature", 140, 200, 0.5)
            self.number(part, "exponent", 1.1, 1.5, 0.4)
        if kind == "fan heater" and self.chance(0.5):
            self.number(part, "rated water flow", 2, 20)
            self.number(part, "rated air flow", 400, 2500)
        if self.chance(0.4):
            self.word(part, "behind an exchanger", "yes")
            self.exchanger(part)
            self.number(part, "second side flow", 3, 25, 0.5)
            if self.chance(0.3):
                self.word(part, "second side liquid", "propylene glycol")
                self.number(part, "second side antifreeze by volume", 20, 50)

    def exchanger(self, part: str) -> None:
        way = self.one_of(("chosen", "conductance", "rating"))
        if way == "conductance":
            self.number(part, "exchanger conductance", 400, 12000)
        if way == "rating":
            self.number(part, "exchanger rated load", 30000, 250000)
            for item, low, high in (("hot inlet", 175, 185), ("hot outlet", 150, 165), ("cold outlet", 120, 145), ("cold inlet", 45, 110)):
                self.number(part, f"exchanger rated {item}", low, high)

    def hot_water(self, part: str) -> None:
        self.number(part, "use a day", 15, 300)
        self.number(part, "cold water temperature", 38, 65, 0.5)
        self.number(part, "hot water temperature", 105, 135, 0.5)
        self.number(part, "peak draw", 1, 8, 0.5)
        way = self.one_of(vocabulary.item(part, "heated by").choices)
        self.word(part, "heated by", way, 1.0 if way != "plate" else 0.5)
        self.number(part, "tank volume", 30, 120, 1.0 if way != "plate" else 0.3)
        self.number(part, "tank loss", 1, 8, 0.3)
        self.number(part, "stored temperature", 120, 150, 0.3)
        self.any_word(part, "mixing valve", 0.4)
        self.exchanger(part)


def random_table(seed: int) -> list[TableRecord]:
    """The rows of the random job of that number."""
    return Maker(seed).job()


def random_job(seed: int) -> Job:
    return job_from_rows("random.csv", [TableRow(n, *record) for n, record in enumerate(random_table(seed), 2)])
