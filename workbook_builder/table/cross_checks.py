"""What the items of a job must hold among themselves, beyond the range of each alone."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Collection
from dataclasses import dataclass

from hydrocalc.measures import BORE
from hydrocalc.tables import table

from . import units, vocabulary
from .job import Job
from .needed import EXCHANGER_RATING, PUMP_POINTS, needs_of
from .ordering import EXCHANGED, above
from .vocabulary import BOILER, BRANCHING, BUILDINGS, CHOSEN, INDOORS, TWIN_SPACING

BEHIND_EXCHANGER = (
    "exchanger conductance",
    *EXCHANGER_RATING,
    "second side flow",
    "second side liquid",
    "second side antifreeze by volume",
    "second side antifreeze by mass",
)
LONGEST_SIGN = 5
ROUNDING = 1e-9  # of a measure that was typed in another unit than the one it is compared to
Report = Callable[[int | None, str, str, str], None]


def check_job(job: Job, seen: Collection[tuple[str, str]], report: Report, lacking: Report) -> None:
    """Report what does not fit together, and what is lacking.  ``seen`` are the items that stand in the table, sound or not."""
    checks = _Checks(job, seen, report, lacking)
    for part in job.parts():
        checks.needed(part)
    checks.currency()
    checks.boiler()
    checks.wood()
    for name in job.fuels:
        checks.fuel(f"fuel today {name}")
    for name in job.runs:
        checks.run(name)
    checks.loops()
    for name in job.loads:
        checks.load(name)
    for name in job.runs:
        checks.parallels(name)
        checks.goes_on(name)


def _bore(value: float) -> str:
    """A diameter in both trade units."""
    return " or ".join(f"{float(unit.from_coherent(value)):.3g} {unit.symbol}" for unit in (BORE.us, BORE.metric))


@dataclass(frozen=True)
class _Part:
    """One part of the job, as the rules of what is needed ask about it."""

    job: Job
    seen: Collection[tuple[str, str]]
    part: str

    def given(self, item: str) -> bool:
        return (self.part, item) in self.seen

    def word(self, item: str) -> str | None:
        value = self.job.value(self.part, item)
        return value if isinstance(value, str) else None

    def amount(self, item: str) -> float:
        return self.job.number(self.part, item) or 0.0

    def fuels_use_given(self) -> bool:
        fuel = self.job.value(self.part, "fuel today") or next(iter(self.job.fuels), None)
        return (f"fuel today {fuel}", "use") in self.seen


def _a_year_after(day: str) -> str:
    """The same day of the next year, of dates written as year-month-day."""
    return f"{int(day[:4]) + 1:04}{day[4:]}"


class _Checks:
    def __init__(self, job: Job, seen: Collection[tuple[str, str]], report: Report, lacking: Report) -> None:
        self.job, self.seen, self._report, self._lacking = job, seen, report, lacking

    def has(self, part: str, item: str) -> bool:
        return (part, item) in self.seen

    def wrong(self, part: str, item: str, message: str) -> None:
        entry = self.job.entries.get((part, item))
        self._report(entry.row if entry else self.job.first_row.get(part), part, item, message)

    def lacks(self, part: str, item: str, message: str) -> None:
        """Like ``wrong``, of something that is not there: a table that is only audited may do without it."""
        entry = self.job.entries.get((part, item))
        self._lacking(entry.row if entry else self.job.first_row.get(part), part, item, message)

    def shown(self, part: str, item: str) -> str:
        entry = self.job.entry(part, item)
        return f"{entry.text} {entry.unit}".strip() + ("" if entry.given else " by default")

    def above(self, part: str, upper: str, lower: str, or_equal: bool = False) -> None:
        """The first item's value exceeds the second's."""
        high, low = self.job.number(part, upper), self.job.number(part, lower)
        if high is None or low is None or high > low or (or_equal and high == low):
            return
        # The place is the one that was typed; where both were, the upper one.
        at = upper if self.job.given(part, upper) else lower
        self.wrong(part, at, f"{upper} is {self.shown(part, upper)}; it must be above {lower}, {self.shown(part, lower)}")

    def not_both(self, part: str, one: str, other: str) -> None:
        if self.has(part, one) and self.has(part, other):
            self.wrong(part, other, f"{one} is given as well; give one of the two")

    def currency(self) -> None:
        """A sign of money becomes part of units, headings and the names of axes, where a text may look like a reference."""
        sign = str(self.job.value("job", "currency"))
        if len(sign) > LONGEST_SIGN or not all(c.isalpha() or c == "." or unicodedata.category(c) == "Sc" for c in sign):
            self.wrong(
                "job", "currency", f"{sign!r} is no sign of money; allowed: at most {LONGEST_SIGN} letters or signs, such as $, €, CHF"
            )

    def needed(self, part: str) -> None:
        """What is wanted and not there: the same rules that a book asks of its own cells."""
        family = vocabulary.family(part)
        asked = _Part(self.job, self.seen, part)
        for name, item in vocabulary.vocabulary()[family].items():
            for need in needs_of(family, name):
                if need.when.holds(asked):
                    unit = f" ({units.expected(item.measure)})" if item.measure and need.required else ""
                    said = "is missing and has no default" if need.required else "is missing"
                    self.lacks(part, name, f"{said}: {need.words}{unit}")

    def boiler(self) -> None:
        self.antifreeze("liquid", "kind", "")
        self.above(BOILER, "upper setpoint", "lower setpoint")
        if self.job.value(BOILER, "system") == "closed":
            self.above(BOILER, "relief pressure", "fill pressure")
        self.not_both(BOILER, "jacket conductance", "jacket surface")

    def antifreeze(self, part: str, kind: str, before: str) -> None:
        volume, mass = f"{before}antifreeze by volume", f"{before}antifreeze by mass"
        self.not_both(part, volume, mass)
        # A run without a liquid of its own has that of the boiler.
        liquid = self.job.value(part, kind) or self.job.value("liquid", "kind")
        for item in (volume, mass):
            if liquid == "water" and (self.job.number(part, item) or 0.0) > 0.0:
                self.wrong(part, item, f"is {self.shown(part, item)}, but the liquid is water; name the glycol as {kind}")

    def wood(self) -> None:
        moisture = self.job.number("wood", "moisture")
        if moisture is not None and self.job.value("wood", "moisture basis") == "wet" and moisture > 0.7:
            self.wrong("wood", "moisture", f"is {self.shown('wood', 'moisture')} on the wet basis; allowed: 0 % to 70 %")

    def fuel(self, part: str) -> None:
        first, last = self.job.value(part, "first date"), self.job.value(part, "last date")
        if isinstance(first, str) and isinstance(last, str):
            if last <= first:
                self.wrong(part, "last date", f"is {last}; it must be after the first date, {first}")
            elif last > _a_year_after(first):
                self.wrong(part, "last date", f"is {last}; allowed: at most a year after the first date, {first}")

    def run(self, name: str) -> None:
        part, job = f"run {name}", self.job
        self.antifreeze(part, "liquid", "")
        family, size = job.value(part, "tube family"), job.value(part, "size")
        if isinstance(family, str) and not table("tube_limits").lookup("heating", family):
            self.wrong(part, "tube family", f"{family} is not made for heating water")
        if isinstance(family, str) and isinstance(size, str) and size != CHOSEN:
            tubes = table("tubes")
            sizes = [s for f, s in zip(tubes.texts("family"), tubes.texts("size"), strict=True) if f == family]
            if size not in sizes:
                self.wrong(part, "size", f"{family} is not made in {size!r}; allowed: {', '.join(sizes)} or {CHOSEN}")
        self.jackets(part)
        for pair in above("run"):
            self.above(part, pair.upper, pair.lower)

    def jackets(self, part: str) -> None:
        """The tubes lie in their jacket and the jacket in the ground; a tube still to be chosen takes the room of the smallest."""
        job, tubes = self.job, table("tubes")
        if job.value(part, "arrangement") == INDOORS:
            return
        family, size = job.value(part, "tube family"), job.value(part, "size")
        made = zip(tubes.texts("family"), tubes.texts("size"), tubes.columns["outside_diameter"].values, strict=True)
        outside = min((d for f, s, d in made if d is not None and f == family and size in (s, CHOSEN)), default=None)
        depth, spacing = job.number(part, "depth"), job.number(part, "spacing")
        if outside is None or depth is None:
            return
        together = job.value(part, "arrangement") == "one jacket"
        room = (spacing or TWIN_SPACING * outside) + outside if together else outside
        if together and spacing is not None and spacing <= outside:
            self.wrong(
                part, "spacing", f"is {self.shown(part, 'spacing')}; the tubes would lie in one another, allowed: above {_bore(outside)}"
            )
            return
        wide = job.number(part, "jacket outer diameter")
        if not together and spacing is not None and wide is not None and spacing < wide * (1 - ROUNDING):
            allowed = f"{self.shown(part, 'jacket outer diameter')} or more"
            self.wrong(part, "spacing", f"is {self.shown(part, 'spacing')}; the jackets would lie in one another, allowed: {allowed}")
        for item in ("jacket outer diameter", "upgraded jacket outer diameter"):
            jacket = job.number(part, item)
            if jacket is None:
                continue
            if jacket <= room:
                tube = f"{family}, {size if size != CHOSEN else 'the smallest'}"
                takes = f"{'two tubes' if together else 'a tube'} ({tube}) take{'' if together else 's'} {_bore(room)}"
                self.wrong(part, item, f"is {self.shown(part, item)}; {takes}")
            elif jacket >= 2.0 * depth:
                self.wrong(
                    part, item, f"is {self.shown(part, item)}; at a depth of {self.shown(part, 'depth')} it would stand out of the ground"
                )

    def loops(self) -> None:
        """A run starts at the boiler in the end."""
        reported: set[str] = set()
        for name in self.job.runs:
            path, at = [name], self.job.starts_on(name)
            while at != BOILER and at not in path:
                path.append(at)
                at = self.job.starts_on(at)
            if at in path and not reported & set(path):
                reported |= set(path)
                self.wrong(
                    f"run {name}", "starts at", f"the runs go in a circle: {' from '.join([*path, at])}; one must start at the boiler"
                )
            elif at == BOILER and len(path) == BRANCHING + 2:
                chain = " from ".join([*path, "the boiler"])
                self.wrong(
                    f"run {name}",
                    "starts at",
                    f"{chain}: a run may start at most {BRANCHING} runs away from the one at the boiler; start it nearer to it",
                )

    def goes_on(self, name: str) -> None:
        """The whole flow of a run goes on into this one after a load: the last of that run, and nothing else takes or gives flow."""
        part, job = f"run {name}", self.job
        after, before = job.value(part, "starts after"), job.goes_on_from(name)
        if before is None:
            return
        others = [run for run in job.runs if run != name]
        on_way = [run for run in others if job.text(f"run {run}", "starts after") is None and job.starts_on(run) in (before, name)]
        ordered, own = job.loads, job.loads_on(name)
        faults = {
            f"load {after} hangs on this run itself": before == name,
            f"load {after} is not the last of run {before}": job.loads_on(before)[-1:] != [after],
            f"the flow of run {before} has gone on already, and it goes on once": job.goes_on_from(before) is not None,
            f"the flow goes on after load {after} into another run": any(job.value(f"run {r}", "starts after") == after for r in others),
            f"run {', '.join(on_way)} starts on the way, and no flow may branch off there": bool(on_way),
            f"its loads have to stand in the table right after load {after}, the first of them next to it": bool(own)
            and ordered[ordered.index(str(after)) + 1 :][: len(own)] != own,
        }
        for fault in (words for words, is_so in faults.items() if is_so):
            self.wrong(part, "starts after", fault)
        for item in ("starts at", "flow", *PUMP_POINTS, "liquid"):
            if (part, item) in self.seen:
                self.wrong(part, item, f"this run has the flow, the circulator and the liquid of run {before}, which goes on into it")

    def load(self, name: str) -> None:
        part, job = f"load {name}", self.job
        kind = job.kind_of(part)
        if kind in BUILDINGS:
            self.building(part)
        for pair in above("load"):
            if kind in pair.kinds:
                self.above(part, pair.upper, pair.lower)
        if kind in EXCHANGED:
            self.exchanger(part)

    def building(self, part: str) -> None:
        if self.has(part, "design loss") or self.has(part, "loss per area"):
            self.colder_outdoors(part)
        if self.job.value(part, "behind an exchanger") == "no":
            for item in BEHIND_EXCHANGER:
                if self.has(part, item):
                    self.wrong(part, item, "is given, but behind an exchanger is no")
        else:
            self.antifreeze(part, "second side liquid", "second side ")

    def colder_outdoors(self, part: str) -> None:
        """A loss on the design night says what the building loses for a degree only if it is colder outdoors."""
        place = part if self.job.number(part, "indoor temperature") is not None else "site"
        outdoor, indoor = self.job.number("site", "outdoor design temperature"), self.job.number(place, "indoor temperature")
        if outdoor is not None and indoor is not None and indoor <= outdoor:
            at = "design loss" if self.has(part, "design loss") else "loss per area"
            here, there = self.shown(place, "indoor temperature"), self.shown("site", "outdoor design temperature")
            self.wrong(part, at, f"is given for the design night, and indoors ({here}) it is no warmer than outdoors ({there})")

    def exchanger(self, part: str) -> None:
        if all(self.has(part, item) for item in EXCHANGER_RATING):
            self.not_both(part, "exchanger conductance", "exchanger rated load")

    def parallels(self, run: str) -> None:
        """Loads side by side stand next to one another, each naming the first of them."""
        job, leader, sums = self.job, "", 0.0
        for name in job.loads_on(run):
            part = f"load {name}"
            beside = job.value(part, "parallel with")
            share = job.number(part, "share of flow") or 0.0
            if beside is None:
                leader, sums = name, share
                continue
            if beside == name:
                self.wrong(part, "parallel with", "a load cannot be parallel with itself")
            elif job.value(f"load {beside}", "run") != run:
                self.wrong(part, "parallel with", f"load {beside} hangs on another run")
            elif beside != leader:
                self.wrong(
                    part,
                    "parallel with",
                    f"loads side by side stand next to one another, and each names the first of them: here {leader or 'none'}",
                )
            sums += share
            if sums > 1.0 + 1e-9:
                self.wrong(
                    part, "share of flow", f"the shares of the loads side by side add up to {100 * sums:.6g} %; allowed: at most 100 %"
                )
