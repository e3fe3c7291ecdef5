"""Books of random jobs in two engines: stored = IronCalc = LibreOffice, within Excel's limits, without a validator's finding.

``python tests/agreement.py 500`` is the long run.  Each book is recalculated from a twin that holds -1 in every formula
cell.  Every fifth is a blank book with room for such a job; US and metric take turns.  ``--validate 10`` has every tenth
validated, since the validator takes longer than everything else together.
"""

from __future__ import annotations

import argparse
import re
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

import books
import engines
import limits
import office
from jobs import random_job
from openpyxl.utils import get_column_letter

from hydrocalc.measures import Measure
from workbook_builder.build import Built, build, write_book
from workbook_builder.model.rows import column_letters
from workbook_builder.model.worksheet import BuildError
from workbook_builder.table.job import blank_job
from workbook_builder.table.rows import InputError

BLANK = 5  # one book in so many is blank
REFUSED = "refused, as it should be"
TOGETHER = 25  # books that one start of the office program opens
ROUNDINGS = 1e-12  # of the largest figure of a measure: what engines may make of differences of such figures
_ELSEWHERE = re.compile(r"=(\w+)!\$?([A-Z]+)\$?(\d+)")


def built(seed: int) -> Built:
    """The book of that number."""
    job, system = random_job(seed), books.SYSTEMS[seed % 2]
    return build(blank_job(len(job.runs), len(job.loads), len(job.fuels) or 1) if seed % BLANK == BLANK - 1 else job, system)


def least_differences(worked: Built, path: Path) -> dict[tuple[str, str], float]:
    """The difference that says nothing, of each cell of the sizing sheets and of those that only show such a cell."""
    book = worked.book
    largest = books.largest_by_measure(book)
    least: dict[tuple[str, str], float] = {}
    for row in book.order:
        if isinstance(row.kind, Measure):
            difference = max(ROUNDINGS * largest[row.kind.name] / float(row.kind.unit(book.system).scale), engines.ROUNDING)
            for index in range(len(book.values[row])):
                least[row.sheet.name, f"{column_letters(row.first_column + index)}{row.number}"] = difference
    for place, formula in engines.formulas(path).items():
        shown = _ELSEWHERE.fullmatch(formula)
        if shown and (shown[1], shown[2] + shown[3]) in least:
            least[place] = least[shown[1], shown[2] + shown[3]]
    return least


def office_cells(paths: Iterable[Path], folder: Path) -> list[engines.Cells]:
    """Every cell of every book after one start of the office program has recalculated it; errors as texts."""
    steps = [{"do": "document", "open": str(p)} for p in paths]
    return [as_cells(seen) for seen in office.Profile(folder).session(steps)]


def as_cells(seen: dict[str, Any]) -> engines.Cells:
    """What a session saw of a document, by sheet and place."""
    cells: engines.Cells = {}
    for sheet, content in seen["sheets"].items():
        for r, row in enumerate(content["rows"], 1):
            for c, value in enumerate(row, 1):
                if value not in ("", None):
                    cells[sheet, f"{get_column_letter(c)}{r}"] = value
        for place, code in content["errors"].items():
            r, c = map(int, place.split(","))
            cells[sheet, f"{get_column_letter(c + 1)}{r + 1}"] = f"#ERR{code}"
    return cells


def disagreements(seeds: Iterable[int], folder: Path, validate: int = 1, with_office: bool = True) -> Iterator[str]:
    """Every finding over the books of these numbers, in words."""
    pairs = []
    for seed in seeds:
        try:
            worked, path = built(seed), folder / f"{seed}.xlsx"
        except (InputError, BuildError) as error:
            # Chance may give a job a jacket without room for the tube that the book then chooses.
            told = REFUSED if "the tube that was chosen takes" in str(error) else "cannot be built"
            yield f"{seed}: {told}: {error}"
            continue
        write_book(worked, path)
        least, stored = least_differences(worked, path), engines.stored_values(path)
        false = books.twin(path, folder / f"{seed}-twin.xlsx")
        if set(engines.stored_values(false).values()) - {books.FALSE}:
            yield f"{seed}: the twin holds a value that is not false"
        found = engines.ironcalc_values(false)
        yield from (f"{seed}: IronCalc, {d}" for d in engines.compare(stored, found, least=least))
        yield from (f"{seed}: error, {e}" for e in (*engines.errors(stored), *engines.errors(found)))
        yield from (f"{seed}: limits, {f}" for f in limits.findings(path))
        if seed % validate == 0:
            yield from (f"{seed}: validator, {f}" for f in engines.validate(path))
        pairs.append((seed, stored, least, false))
    if with_office:
        seen = office_cells([false for *_, false in pairs], folder / "office")
        for (seed, stored, least, _), found in zip(pairs, seen, strict=True):
            yield from (f"{seed}: LibreOffice, {d}" for d in engines.compare(stored, found, least=least))
            yield from (f"{seed}: error in LibreOffice, {e}" for e in engines.errors(found))


def command() -> int:
    """The long run; 1 where something was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", type=int)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--validate", type=int, default=1)
    options = parser.parse_args()
    began, total, cells = time.perf_counter(), 0, 0
    last = options.first + options.count
    for start in range(options.first, last, TOGETHER):
        seeds = range(start, min(start + TOGETHER, last))
        with tempfile.TemporaryDirectory() as name:
            for finding in disagreements(seeds, Path(name), options.validate):
                total += f": {REFUSED}: " not in finding  # such a job is no disagreement, and is shown all the same
                print(finding, flush=True)
            cells += sum(len(engines.formulas(p)) for p in Path(name).glob("*.xlsx") if p.stem.isdigit())
        print(f"books {seeds[0]} to {seeds[-1]}: {time.perf_counter() - began:.0f} s, {cells} formula cells, {total} findings", flush=True)
    return int(total > 0)


if __name__ == "__main__":
    sys.exit(command())
