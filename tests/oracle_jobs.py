"""Random jobs of moderate sizes for the comparison with the independent solver, each the same for the same seed."""

from __future__ import annotations

import random
from datetime import date, timedelta

from workbook_builder.table.job import Job
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

Line = tuple[str, str, str | float, str]
SOILS = ("clay or silt", "sand or gravel", "silt, low", "clay, high")
SPECIES = ("white ash", "red maple", "sugar maple")
FAMILIES = ("PEX SDR-9", "copper L")


class _Maker:
    def __init__(self, seed: int) -> None:
        self.random, self.lines = random.Random(seed), list[Line]()
        self.lying = random.Random(f"lying {seed}")  # of its own, so that the rest stays as it is

    def put(self, part: str, item: str, value: str | float, unit: str = "") -> None:
        self.lines.append((part, item, value, unit))

    def between(self, low: float, high: float, digits: int = 1) -> float:
        return round(self.random.uniform(low, high), digits)

    def chance(self, share: float) -> bool:
        return self.random.random() < share

    def job(self) -> None:
        self.put("job", "title", "Random")
        self.put("site", "outdoor design temperature", self.between(-20, 20), "°F")
        self.put("site", "annual degree days", self.between(4500, 9500, 0), "°F day")
        self.put("site", "elevation", self.between(0, 5000, 0), "ft")
        self.put("site", "soil", self.random.choice(SOILS))
        if self.chance(0.25):
            self.put("liquid", "kind", self.random.choice(("propylene glycol", "ethylene glycol")))
            # By mass: tables of glycol by volume differ among themselves by 0.008 of mass, which is 2 % of the head.
            self.put("liquid", "antifreeze by mass", self.between(20, 50, 0), "%")
        on = self.between(155, 180)
        self.put("boiler", "lower setpoint", on, "°F")
        self.put("boiler", "upper setpoint", on + self.between(8, 18), "°F")
        self.put("boiler", "water content", self.between(80, 400, 0), "gal")
        self.put("wood", "species", self.random.choice(SPECIES))
        self.put("wood", "condition", self.random.choice(("seasoned", "half-seasoned", "green")))
        self.put("wood", "price of a cord", self.between(120, 300, 0), "$/cord")
        if self.chance(0.3):
            self.put("boiler", "seasonal efficiency", self.between(40, 60), "%")
        if self.chance(0.5):
            self.put("boiler", "first month lit", "October")
            self.put("boiler", "last month lit", self.random.choice(("April", "May")))
        self.put("money", "installed cost", self.between(9000, 25000, 0), "$")
        self.put("fuel today oil", "fuel", self.random.choice(("heating oil", "propane")))
        self.put("fuel today oil", "price", self.between(2, 5, 2), "$/gal")
        self.put("fuel today oil", "use", self.between(700, 1800, 0), "gal")
        names = ["east", "west", "north"][: self.random.choice((1, 1, 2, 3))]
        total = 0.0
        for i, name in enumerate(names):
            total += self.run(name, names[i - 1] if i == 2 or (i == 1 and self.chance(0.3)) else None)
        self.put("boiler", "rated output", round(total * self.between(0.8, 2.2, 2), -2), "BTU/h")
        if self.chance(0.6):
            self.put("boiler", "firebox volume", round(total / 3000 * self.between(0.8, 2.0), 1), "ft³")

    def use(self, chosen: random.Random) -> None:
        """When the fuel was used and for what, and what the rated output is: of choices of its own, so that the rest stays as it is."""
        if chosen.random() < 0.6:
            first = date(2023, 9, 1) + timedelta(days=chosen.randrange(75))
            self.put("fuel today oil", "first date", first.isoformat())
            self.put("fuel today oil", "last date", (first + timedelta(days=chosen.randrange(150, 365))).isoformat())
        if chosen.random() < 0.5:
            self.put("fuel today oil", "share for hot water", chosen.randrange(5, 25), "%")
        self.put("boiler", "rated output basis", chosen.choice(("peak", "average over a charge", "not said")))

    def topology(self, chosen: random.Random) -> None:
        """The flow of the last run goes on into another behind its last load, as through a house to a garage."""
        given = {(part, item): value for part, item, value, _ in self.lines}
        last_run = next(part for part, *_ in reversed(self.lines) if part.startswith("run "))
        # Where the last is a branch, its run would be left with a trickle: a small difference of two flows.
        if chosen.random() > 0.5 or (last_run, "starts at") in given:
            return
        last = next(part for part, *_ in reversed(self.lines) if part.startswith("load "))
        drawn, self.random = self.random, chosen
        self.put("run beyond", "starts after", last.removeprefix("load "))
        self.run("beyond", None, circulator=False)
        self.random = drawn

    def beside(self, chosen: random.Random) -> None:
        """A second boiler, and a backup for the coldest nights."""
        output = next(float(value) for part, item, value, _ in self.lines if (part, item) == ("boiler", "rated output"))
        if chosen.random() < 0.25:
            self.put("boiler", "second rated output", max(round(output * chosen.uniform(0.3, 1.0), -2), 5000), "BTU/h")
            if chosen.random() < 0.5:
                self.put("boiler", "second firebox volume", round(chosen.uniform(8, 30), 1), "ft³")
                self.put("boiler", "second water content", chosen.randrange(80, 300), "gal")
        if chosen.random() < 0.25:
            self.put("boiler", "backup output", round(output * chosen.uniform(0.2, 0.8), -2), "BTU/h")

    def parting(self, chosen: random.Random) -> None:
        """A run with a liquid of its own behind an exchanger at its start; what starts on it holds the same."""
        runs = [part for part in dict.fromkeys(part for part, *_ in self.lines) if part.startswith("run ")]
        free = [part for part in runs if not any(p == part and i == "starts after" for p, i, *_ in self.lines)]
        if chosen.random() > 0.3:
            return
        part = chosen.choice(free)
        self.put(part, "liquid", chosen.choice(("propylene glycol", "ethylene glycol", "water")))
        if self.lines[-1][2] != "water":
            self.put(part, "antifreeze by mass", chosen.randrange(20, 50), "%")
        if chosen.random() < 0.5:
            self.put(part, "exchanger conductance", chosen.randrange(1000, 9000, 100), "BTU/(h °F)")
        if chosen.random() < 0.3:
            self.put(part, "flow before the exchanger", round(chosen.uniform(2, 15), 1), "gpm")

    def run(self, name: str, parent: str | None, *, circulator: bool = True) -> float:
        part = f"run {name}"
        if parent:
            self.put(part, "starts at", parent)
        self.put(part, "length", self.between(40, 250, 0), "ft")
        self.put(part, "tube family", self.random.choice(FAMILIES))
        arrangement, insulation = (
            self.random.choice(("one jacket", "apart")),
            self.random.choice(("polyurethane foam", "polyethylene foam")),
        )
        jacket = self.between(6, 8) if arrangement == "one jacket" else self.between(3.5, 5)
        depth = self.between(2.5, 5)
        if self.lying.random() < 0.2:
            self.put(part, "arrangement", "indoors")
        else:
            self.put(part, "arrangement", arrangement)
            self.put(part, "insulation", insulation)
            self.put(part, "jacket outer diameter", jacket, "in")
            self.put(part, "depth", depth, "ft")
        self.put(part, "temperature drop", self.between(12, 25), "°F")
        self.line(part)
        total, beside = 0.0, None
        for i in range(self.random.choice((1, 2, 2, 3))):
            total += self.load(f"{name} {i + 1}", name)
            # The first of those that stand side by side is named by each of the others.
            beside = (beside or f"{name} {i}") if i and self.chance(0.3) else None
            if beside:
                self.put(f"load {name} {i + 1}", "parallel with", beside)
        if circulator and not parent and self.chance(0.4):
            flow = total / 9000
            shutoff = self.between(12, 35)
            for item, value, unit in (
                ("shutoff head", shutoff, "ft"),
                ("middle flow", round(flow, 2), "gpm"),
                ("middle head", round(0.7 * shutoff, 2), "ft"),
                ("high flow", round(2 * flow, 2), "gpm"),
                ("high head", round(0.1 * shutoff, 2), "ft"),
            ):
                self.put(part, f"circulator {item}", value, unit)
        return total

    def line(self, part: str) -> None:
        """What is out of the ordinary: water in the jacket, or the maker's word for the loss."""
        if self.chance(0.2):
            self.put(part, "jacket condition", "wet")
        elif self.chance(0.2):
            self.put(part, "stated loss", self.between(8, 25), "BTU/(h ft)")
            self.put(part, "stated loss difference", self.between(90, 140, 0), "°F")

    def load(self, name: str, run: str) -> float:
        part, kind = f"load {name}", self.random.choice(("baseboard", "baseboard", "fan heater", "floor", "hot water", "tub", "known"))
        self.put(part, "run", run)
        self.put(part, "kind", kind)
        loss = self.between(12000, 60000, 0)
        if kind in ("baseboard", "fan heater", "floor"):
            self.building(part, kind, loss)
            return loss
        if kind == "hot water":
            self.put(part, "use a day", self.between(30, 90, 0), "gal")
            self.put(part, "heated by", by := self.random.choice(("plate", "plate then tank", "coil in tank", "side-arm")))
            if by != "plate":
                self.put(part, "tank volume", self.between(30, 80, 0), "gal")
            if self.chance(0.6):
                self.put(part, "exchanger conductance", self.between(400, 2500, 0), "BTU/(h °F)")
            return 3000.0
        if kind == "tub":
            self.put(part, "volume", self.between(250, 500, 0), "gal")
            self.put(part, "surface", self.between(25, 60), "ft²")
            self.put(part, "second side flow", self.between(4, 12), "gpm")
            if self.chance(0.6):
                self.put(part, "exchanger conductance", self.between(200, 900, 0), "BTU/(h °F)")
            return 5000.0
        self.put(part, "heat", self.between(3000, 15000, 0), "BTU/h")
        self.put(part, "hours a day", self.between(2, 24), "h")
        return 10000.0

    def building(self, part: str, kind: str, loss: float) -> None:
        if self.chance(0.2):
            self.put(part, "share of fuel", self.between(20, 50, 0), "%")
        else:
            self.put(part, "design loss", loss, "BTU/h")
        if self.chance(0.5):
            self.put(part, "gains", self.between(500, 2500, 0), "BTU/h")
        if self.chance(0.3):
            self.put(part, "idle loss of the existing boiler", self.between(300, 1500, 0), "BTU/h")
        if kind == "floor":
            self.put(part, "floor area", round(loss / 22), "ft²")
            self.put(part, "slab resistance", self.between(0.2, 0.8, 2), "h ft² °F/BTU")
        else:
            self.put(part, "rated output", round(loss * self.between(0.9, 2.2, 2)), "BTU/h")
        rated = kind == "fan heater" and self.chance(0.5)
        if rated:
            self.put(part, "rated water flow", round(loss / 8000, 2), "gpm")
            self.put(part, "rated air flow", round(loss / 30), "cfm")
        if self.chance(0.4):
            self.put(part, "behind an exchanger", "yes")
            self.put(part, "second side flow", round(loss / 8000, 2), "gpm")
            if self.chance(0.3):
                self.put(part, "second side liquid", self.random.choice(("propylene glycol", "ethylene glycol")))
                self.put(part, "second side antifreeze by mass", self.between(20, 50, 0), "%")
            if self.chance(0.6):
                self.put(part, "exchanger conductance", round(loss / 12), "BTU/(h °F)")


def random_job(seed: int) -> Job:
    """The job of a seed."""
    maker = _Maker(seed)
    maker.job()
    maker.use(random.Random(f"use {seed}"))
    maker.topology(random.Random(f"topology {seed}"))
    maker.beside(random.Random(f"beside {seed}"))
    maker.parting(random.Random(f"parting {seed}"))
    return job_from_rows(f"random-{seed}", [TableRow(n, *line, "") for n, line in enumerate(maker.lines, 2)])
