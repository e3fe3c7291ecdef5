"""Audits with one slip each, worked by hand: the slip is named first; a true claim is never called wrong."""

from __future__ import annotations

import functools
from typing import Any

import books
import pytest
from audit_cases import JOBS, PAIRS, SLIPS, TRUE, Case
from slow import but

from workbook_builder.audit.claims import Checked, check_claims
from workbook_builder.audit.mistakes import MOST_OF_A_CLAIM, Search
from workbook_builder.audit.naming import Names
from workbook_builder.audit.scenarios import Scenarios
from workbook_builder.audit.slips import SLIPS as KNOWN
from workbook_builder.audit.tolerances import Tolerance
from workbook_builder.build import build
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

LEAST_FIRST = 55
WANTED = (  # what has to be looked for at least, by key
    *("nominal bore", "one way", "500 rule", "500 rule with antifreeze", "water at 60 °F", "Hazen-Williams", "catalogue output"),
    *("supply for mean", "fan heater rating", "no line loss", "one line", "dry in wet", "arithmetic mean", "parallel water"),
    *("dry basis as wet", "wet basis as dry", "green as dry", "gross for net", "face cord", "efficiency twice", "efficiency left out"),
    *(
        "peak all season",
        "season as peak",
        "hot water in fuel",
        "imperial gallons",
        "thousand BTU",
        "kW and BTU/h",
        "°F and K",
        "factor 100",
    ),
)


def few(cases: tuple[Case, ...]) -> list[Any]:
    """All cases; a quick run audits one of the jobs."""
    return but([case for case in cases if case.job == "kiln"], cases)


@functools.cache
def audited(job: str) -> dict[Case, Checked]:
    """Every claim on one job, true or not, checked at once."""
    cases = [c for c in (*TRUE, *SLIPS, *PAIRS) if c.job == job]
    rows = [TableRow(n, part, item, value, unit, "") for n, (part, item, value, unit) in enumerate(JOBS[job], 2)]
    rows += [TableRow(1000 + n, f"claim {c.part}", c.item, c.value, c.unit, "") for n, c in enumerate(cases)]
    return dict(zip(cases, check_claims(build(job_from_rows("table.csv", rows))), strict=True))


def first_named(case: Case) -> str:
    explanations = audited(case.job)[case].explanations
    return "+".join(explanations[0].keys) if explanations else "nothing"


@pytest.mark.parametrize("case", few(TRUE), ids=lambda c: c.name)
def test_a_true_claim_holds(case: Case) -> None:
    found = audited(case.job)[case]
    assert found.verdict.startswith("holds"), (found.claimed, found.computed, found.needs)


@pytest.mark.parametrize("case", few(SLIPS), ids=lambda c: c.name)
def test_a_claim_with_a_slip_does_not_hold_and_the_slip_is_among_those_named(case: Case) -> None:
    found = audited(case.job)[case]
    assert found.fails, (found.verdict, found.claimed, found.computed, found.needs)
    assert any(e.keys == (case.slip,) for e in found.explanations), (found.claimed, found.computed, found.why)


@pytest.mark.slow
def test_the_slip_is_named_first() -> None:
    missed = [f"{c.name}: {first_named(c)}" for c in SLIPS if first_named(c) != c.slip]
    assert len(SLIPS) >= 60
    assert len(SLIPS) - len(missed) >= LEAST_FIRST
    # Of the cases above none is missed today: a change that names another first has to be looked at.
    assert not missed, "\n".join(missed)


@pytest.mark.parametrize("case", few(PAIRS), ids=lambda c: c.name)
def test_two_slips_at_once_are_named_together(case: Case) -> None:
    found = audited(case.job)[case]
    named = {frozenset(e.keys): e.value for e in found.explanations}
    assert found.fails and isinstance(found.claimed, float)
    assert frozenset(case.slip.split("+")) in named, (found.claimed, found.computed, named)
    assert named[frozenset(case.slip.split("+"))] == pytest.approx(found.claimed, rel=0.05)  # as below


@pytest.mark.slow
def test_two_slips_at_once_are_mostly_named_first() -> None:
    """Not always: where a single slip, or a pair more often met, comes as near by chance, that is named first."""
    first = [c.name for c in PAIRS if set(first_named(c).split("+")) == set(c.slip.split("+"))]
    assert len(first) >= len(PAIRS) - 2, first


@pytest.mark.slow
def test_pairs_are_tried_in_bounded_numbers() -> None:
    """Nine claims that nothing explains, each by another factor: pairs are worked out up to the bounds and no further."""
    job = job_from_rows("table.csv", [TableRow(n, *r, "") for n, r in enumerate(JOBS["lossy"], 2)])
    scenarios = Scenarios(build(job))
    place = Names(scenarios.built).place("boiler", "load")
    computed, search, told = float(scenarios.base[place.row][0]), Search(scenarios), []
    for factor in (1.37, 0.61, 2.9, 0.3, 5.0, 0.13, 1.7, 0.8, 12.0):
        before = search.left
        search.explain(place, computed * factor, computed, Tolerance(0.001, 0.0, ""))
        told.append(before - search.left)
    assert 0 < max(told) <= MOST_OF_A_CLAIM
    search.left = 0
    assert all(len(e.keys) == 1 for e in search.explain(place, computed * 1.37, computed, Tolerance(0.001, 0.0, "")))
    assert search.left == 0


@pytest.mark.slow
def test_every_mistake_changes_lines_that_are_there() -> None:
    """A line that was renamed would make a mistake silently one that changes nothing."""
    scenarios = Scenarios(books.written(books.FULL, "us").built)
    for slip in KNOWN:
        if slip.lines is not None:
            assert list(slip.lines(scenarios)), slip.words


@pytest.mark.slow
def test_the_number_that_a_mistake_gives_is_that_of_the_claim() -> None:
    for case in SLIPS:
        found = audited(case.job)[case]
        named = next(e for e in found.explanations if e.keys == (case.slip,))
        assert isinstance(found.claimed, float)
        # 5 %: the losses of lines by hand are those of two lines equally warm, at the mean of their water.
        assert named.value == pytest.approx(found.claimed, rel=0.05), case.name


def test_every_mistake_that_is_wanted_is_looked_for() -> None:
    assert set(WANTED) <= {s.key for s in KNOWN}
    assert {c.slip for c in SLIPS} <= {s.key for s in KNOWN}
