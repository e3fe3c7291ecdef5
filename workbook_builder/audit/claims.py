"""The claims of a table checked against its worked lines: claimed, computed, difference, tolerance, verdict."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from hydrocalc.measures import Measure, Unit
from workbook_builder.build import Built
from workbook_builder.table import units, vocabulary
from workbook_builder.table.job import UNSTATED, Claim, Job
from workbook_builder.table.number_marks import typed_number
from workbook_builder.table.rows import InputError, Problem

from .evidence import Evidence, TheirBook
from .mistakes import Explanation, Search
from .naming import Names, NamingError, Place
from .scenarios import Scenarios
from .tolerances import Tolerance, ToleranceError, tolerance_of

HOLDS, ROUNDED, DIFFERS, UNCHECKED = "holds", "holds as rounded", "does not hold", "cannot be checked"


@dataclass(frozen=True)
class Need:
    """Something that has to be given before a claim can be checked: in words, and where a formula finds it if it is one item."""

    words: str
    place: str = ""


@dataclass
class Checked:
    """One claim with what it was compared with; numbers are in the book's unit."""

    claim: Claim
    place: Place
    claimed: float | str | None
    computed: float | str | None
    unit: str
    tolerance: Tolerance
    verdict: str
    text: str = ""
    needs: list[Need] = field(default_factory=list)
    explanations: list[Explanation] = field(default_factory=list)
    evidence: Evidence | None = None
    pairs_tried: bool = True  # False where so many claims fail that pairs of mistakes were not looked for any more
    in_book: float | str | None = field(init=False)  # what the book shows, though it may be known in part only

    def __post_init__(self) -> None:
        self.in_book = self.computed

    @property
    def difference(self) -> float | None:
        if isinstance(self.claimed, str | None) or isinstance(self.computed, str | None):
            return None
        return self.claimed - self.computed

    @property
    def share(self) -> float | None:
        """The difference as a share of what is computed."""
        difference = self.difference
        return difference / abs(self.computed) if difference is not None and isinstance(self.computed, float) and self.computed else None

    @property
    def why(self) -> str:
        """What would give the claim, or what is missing."""
        if self.needs:
            return "needs " + "; ".join(n.words for n in self.needs)
        return "\n".join(f"{e.words}: {figures(e.value)} {self.unit}".rstrip() for e in self.explanations)

    @property
    def fails(self) -> bool:
        return self.verdict == DIFFERS


def figures(value: float | str | None) -> str:
    """A number in four figures, as people write them."""
    if value is None:
        return "–"
    if isinstance(value, str):
        return value
    if value == 0 or not math.isfinite(value):
        return f"{value:g}"
    places = max(0, 3 - math.floor(math.log10(abs(value))))
    return f"{value:,.{min(places, 6)}f}"


def check_claims(built: Built, book: TheirBook | None = None) -> list[Checked]:
    """Every claim of the job checked; InputError with all problems if some cannot be understood."""
    names, problems, understood = Names(built), list[Problem](), list[Checked]()
    for claim in built.job.claims:
        try:
            understood.append(_understood(built, names, claim, book))
        except _ClaimError as error:
            problems.append(Problem(built.job.file, claim.row, f"claim {claim.part}, {claim.item}", str(error)))
    if problems:
        raise InputError(problems)
    scenarios = Scenarios(built)
    lacking = Lacking(scenarios)
    search: Search | None = None
    for one in understood:
        one.needs = lacking.of(one.place)
        if one.claimed is None:
            one.verdict = UNCHECKED
        elif one.needs or one.computed is None:
            one.verdict, one.computed = UNCHECKED, None
        else:
            one.verdict = _verdict(one)
        if one.fails and isinstance(one.claimed, float) and isinstance(one.computed, float):
            search = search or Search(scenarios)
            one.pairs_tried = search.left > 0
            one.explanations = search.explain(one.place, one.claimed, one.computed, one.tolerance)
    return understood


class _ClaimError(ValueError):
    """A claim cannot be understood."""


def _understood(built: Built, names: Names, claim: Claim, book: TheirBook | None) -> Checked:
    try:
        place = names.place(claim.part, claim.item)
    except NamingError as error:
        raise _ClaimError(str(error)) from None
    value, evidence = claim.value, None
    if isinstance(value, str) and value.startswith("="):
        if book is None:
            raise _ClaimError(f"the value is a cell of another book, {value}; name that book with --book")
        evidence = book.cell(value)
        value = evidence.value if evidence.value is not None else ""
    kind = place.row.kind
    computed = _computed(built, place)
    if not isinstance(kind, Measure):
        if claim.unit:
            raise _ClaimError(f"unit {claim.unit!r} is given, but {place.row.label.lower()} is a word")
        text = value if isinstance(value, str) else f"{value:g}"
        claimed: float | str | None = text or None
        return Checked(claim, place, claimed, computed, "", tolerance_of(claim, kind, None, None, text), "", text, evidence=evidence)
    unit = _unit(built, place, kind, claim)
    try:
        number = None if evidence is not None and evidence.value in (None, "") else typed_number(value)
    except ValueError as error:
        if evidence is None:
            raise _ClaimError(str(error)) from None
        number = None
    own = kind.unit(built.book.system)
    text = value if isinstance(value, str) else repr(float(value)).removesuffix(".0")
    if evidence is not None:  # what a formula gives is not rounded as it stands there
        text = evidence.typed
    try:
        tolerance = tolerance_of(claim, kind, unit, own, text)
    except ToleranceError as error:
        raise _ClaimError(str(error)) from None
    claimed = None if number is None else float(own.from_coherent(unit.to_coherent(number)))
    return Checked(claim, place, claimed, computed, _symbol(built, place), tolerance, "", text, evidence=evidence)


def _symbol(built: Built, place: Place) -> str:
    family = place.row.axis.name
    part = f"{family} {place.row.axis.labels[place.column]}" if family == "fuel today" else ""
    try:
        return built.context.inputs.symbol(place.row.kind, part)
    except KeyError:
        return built.context.inputs.symbol(place.row.kind)


def _unit(built: Built, place: Place, kind: Measure, claim: Claim) -> Unit:
    try:
        if place.row.axis.name == "fuel today":
            part = f"fuel today {place.row.axis.labels[place.column]}"
            return units.sold_unit(kind, claim.unit, built.job.value(part, "fuel"))
        return units.unit(kind, claim.unit)
    except units.UnitError as error:
        raise _ClaimError(str(error)) from None


def _computed(built: Built, place: Place) -> float | str | None:
    value = built.book.values[place.row][place.column]
    if place.row.is_text:
        return str(value) or None
    return None if math.isnan(value) else float(value)


def _verdict(one: Checked) -> str:
    if isinstance(one.claimed, str) or isinstance(one.computed, str):
        same = str(one.claimed).casefold().strip(' "″') == str(one.computed).casefold()
        return HOLDS if same else DIFFERS
    assert one.claimed is not None and one.computed is not None
    difference = one.claimed - one.computed
    if not one.tolerance.holds(difference, one.computed):
        return DIFFERS
    return ROUNDED if one.tolerance.holds_by_rounding_alone(difference, one.computed) else HOLDS


class Lacking:
    """Which of the items that a table does not give a result hangs on."""

    def __init__(self, scenarios: Scenarios) -> None:
        self.scenarios, self.job = scenarios, scenarios.built.job
        self.keys = {f"{lack.part}|{lack.item}": lack.message for lack in self.job.lacking}
        self.trials = [{key: _plausible(self.job, scenarios, key, scenario) for key in self.keys} for scenario in (0, 1)]

    def of(self, place: Place) -> list[Need]:
        """What has to be given before the result can be checked, in words."""
        inputs = self.scenarios.inputs_of(place.row)
        reached = [key for key in self.keys if key in inputs]
        own = list(self._own(place))
        blank = self._blank(place)
        needed = [key for key in reached if self._matters(place, key, reached, blank)] if reached else []
        found = [self._named(key) for key in (needed if needed or not blank else reached)]
        return [*own, *found] if blank or needed else []

    def _blank(self, place: Place) -> bool:
        value = self.scenarios.base[place.row][place.column]
        return bool(value == "") if place.row.is_text else math.isnan(value)

    def _matters(self, place: Place, key: str, reached: Sequence[str], blank: bool) -> bool:
        """True if another value of this item, all others being given, would change the result (or make it)."""
        given = {k: self.trials[0][k] for k in reached}
        first = self._result(place, given)
        other = self._result(place, {**given, key: self.trials[1][key]})
        return not _same(first, other)

    def _result(self, place: Place, inputs: dict[str, Any]) -> Any:
        return self.scenarios.worked(place.row, {}, inputs)[place.column]

    def _own(self, place: Place) -> Iterator[Need]:
        """A run without loads has no flow unless one is typed."""
        own_flow = self.scenarios.sizing.pipes.own_flow
        if place.row.axis.name != "run" or not self.scenarios.depends(place.row, own_flow):
            return
        run = place.row.axis.labels[place.column]
        flow = self.scenarios.base[own_flow][place.column]
        if (math.isnan(flow) or flow <= 0) and not any(self.job.value(f"load {n}", "run") == run for n in self.job.loads):
            yield Need(f"run {run}: its flow, or a load on it", self.scenarios.built.context.inputs.used_address(f"run {run}|flow"))

    def _named(self, key: str) -> Need:
        part, _, item = key.partition("|")
        message = self.keys[key]
        others = message.removeprefix("is missing: give ") if message.startswith("is missing: give ") else item
        return Need(f"{part.replace(f' {UNSTATED}', '')}: {others}", self.scenarios.built.context.inputs.used_address(key))


def _same(a: Any, b: Any) -> bool:
    if isinstance(a, str) or isinstance(b, str):
        return bool(a == b)
    return bool((math.isnan(a) and math.isnan(b)) or abs(a - b) <= 1e-9 * max(abs(a), abs(b)))


# What a missing item may be, twice over: a result that differs between the two hangs on it.  In the items' own units.
_TRIALS: dict[str, tuple[float, float]] = {
    "length": (120.0, 150.0),
    "outdoor design temperature": (0.0, -11.0),
    "annual degree days": (6500.0, 7300.0),
    "rated output": (70_000.0, 83_000.0),
    "water content": (150.0, 190.0),
    "design loss": (40_000.0, 47_000.0),
    "jacket outer diameter": (5.0, 6.0),
    "price": (3.0, 3.4),
}


def _plausible(job: Job, scenarios: Scenarios, key: str, scenario: int) -> float | str:
    part, _, name = key.partition("|")
    item = vocabulary.item(part, name)
    if item.measure is None:
        choices: Sequence[str] = job.runs if item.type == "run" else item.choices
        return choices[min(scenario, len(choices) - 1)] if choices else "x"
    low, high = item.limits.low, item.limits.high
    if name in _TRIALS:
        value = float(units.unit(item.measure, item.unit).to_coherent(_TRIALS[name][scenario]))
    elif math.isfinite(low) and math.isfinite(high):
        value = low + (high - low) * (0.3, 0.37)[scenario]
    else:
        value = max(low, 0.0) + (1.0, 1.3)[scenario]
    return float(item.measure.unit(scenarios.system).from_coherent(value))
