"""Another party's workbook as evidence: what a cited cell is, and what is odd about the book."""

from __future__ import annotations

import pytest
import xlsxwriter
from audit_cases import JOBS

from workbook_builder.audit.claims import Checked, check_claims
from workbook_builder.audit.evidence import TheirBook, their_book
from workbook_builder.audit.report import report
from workbook_builder.build import Built, build
from workbook_builder.table.job import Claim
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

PAGE = 100  # characters across


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> TheirBook:
    """A sizing sheet with its faults; 62,000 BTU/h at a drop of 20 °F is 6.35 gpm of water at 170 °F, 6.2 by the 500 rule."""
    path = tmp_path_factory.mktemp("theirs") / "theirs.xlsx"
    made = xlsxwriter.Workbook(path)
    sizing, hidden, deep = made.add_worksheet("Sizing"), made.add_worksheet("Rates of heat"), made.add_worksheet("Deep")
    sizing.write_formula("B2", "=62000/500/20", None, 6.2)
    sizing.write_formula("B3", "='Rates of heat'!A1", None, 6.35)
    sizing.write_number("B4", 6.2)
    sizing.write_string("B5", "6.35 ")
    sizing.write_formula("B6", "=1/0", None, "#DIV/0!")
    sizing.write_string("B7", "ask the maker")
    sizing.write_formula("B8", "=6", None, 6)
    sizing.write_number("B9", 6)
    sizing.set_row(8, None, None, {"hidden": True})
    hidden.write_number("A1", 6.35)
    hidden.hide()
    deep.very_hidden()
    made.close()
    return their_book(path)


@pytest.fixture(scope="module")
def job() -> Built:
    return build(job_from_rows("t.csv", [TableRow(n, *r, "") for n, r in enumerate(JOBS["one inch"], 2)]))


def cited(job: Built, book: TheirBook, *cells: str) -> list[Checked]:
    job.job.claims = [Claim("run house", "flow", f"={cell}", "gpm", "", n) for n, cell in enumerate(cells)]
    return check_claims(job, book)


@pytest.mark.parametrize(
    ("cell", "verdict", "words"),
    [
        ("Sizing!B2", "does not hold", "Sizing!B2 is a formula, =62000/500/20, with typed numbers in it: 62000, 500, 20"),
        ("Sizing!$B$3", "holds", "Sizing!B3 is a formula, ='Rates of heat'!A1, with no typed number in it"),
        ("sizing!b4", "does not hold", "sizing!B4 is a typed number"),
        ("Sizing!B5", "holds", "Sizing!B5 is a typed number; the number is stored as text"),
        ("Sizing!B6", "cannot be checked", "Sizing!B6 is a formula, =1/0, with typed numbers in it: 1, 0; it shows the error #DIV/0!"),
        ("Sizing!B7", "cannot be checked", "Sizing!B7 is a text, 'ask the maker'"),
        ("Sizing!B8", "does not hold", "Sizing!B8 is a formula, =6, with typed numbers in it: 6"),  # worked out, so not rounded
        ("Sizing!B9", "holds as rounded", "Sizing!B9 is a typed number; its row or column is hidden"),
        ("'Rates of heat'!A1", "holds", "Rates of heat!A1 is a typed number; its sheet is hidden"),
        ("Nowhere!A1", "cannot be checked", "Nowhere!A1: there is no sheet 'Nowhere' in theirs.xlsx"),
        ("Sizing!Z99", "cannot be checked", "Sizing!Z99 is empty"),
    ],
)
def test_what_a_cited_cell_is(job: Built, book: TheirBook, cell: str, verdict: str, words: str) -> None:
    [one] = cited(job, book, cell)
    assert one.evidence is not None
    assert (one.verdict, one.evidence.words) == (verdict, words)


def test_the_rule_of_500_is_told_from_their_own_formula(job: Built, book: TheirBook) -> None:
    [one] = cited(job, book, "Sizing!B2")
    assert one.explanations[0].keys == ("500 rule",)


def test_what_is_odd_about_the_book_is_told_below_the_claims(job: Built, book: TheirBook) -> None:
    assert book.remarks == [
        "sheet 'Rates of heat' is hidden",
        "sheet 'Deep' is hidden and cannot be shown from the menu",
        "1 error value: Sizing!B6 (#DIV/0!)",
        "1 number stored as text: Sizing!B5",
    ]
    printed = report("A quote", cited(job, book, "Sizing!B2", "Sizing!B3"), book).splitlines()
    assert printed[-5:] == ["theirs.xlsx:", *(f"  {r}" for r in book.remarks)]


@pytest.mark.slow
def test_the_report_keeps_to_a_page_whatever_it_names(job: Built, book: TheirBook) -> None:
    claims = (
        ("run house", "Head of line and fittings", "=Sizing!B2", "ft"),
        ("boiler", "return temperature", "151.25", "°F"),
        ("cords", "heat of a cord", "27.05", "million BTU/cord"),
        ("run house", "insulation", "a foam that is put in place by hand in the trench", ""),
        ("load rooms", "need", "61234567", "BTU/h"),
    )
    job.job.claims = [Claim(*c, "", n) for n, c in enumerate(claims)]
    lines = report("A title that goes on and on, " * 6, check_claims(job, book), book).splitlines()
    assert max(map(len, lines)) <= PAGE
    assert "  fittings" in "\n".join(lines)  # the whole name, on a line more
