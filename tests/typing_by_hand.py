"""What a hand can type into a book: every input at the ends of what its cell takes, and many at once; no cell becomes an error.

``fill`` looks at a whole table and refuses what does not go together; a hand that changes a cell of a book is asked by
nobody but the formulas.  ``python tests/typing_by_hand.py`` is the long run, in IronCalc: ``--random`` times several inputs
of a sample at once, as often a blank book typed full of anything, and every input of the sample alone.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

import books
import engines
import ironcalc

from hydrocalc.measures import System
from workbook_builder.build import Built, build, save
from workbook_builder.model.input_line import InputLine
from workbook_builder.model.typed_value import rounded
from workbook_builder.table.job import blank_job
from workbook_builder.table.vocabulary import BOILER

AT_ONCE = 6  # inputs that are changed together, at most
MOST, ODD = 1e5, 0.15  # the largest number where none is given; the part of a blank book's inputs that may be anything
LONGEST = 1500  # characters of a case that are shown


class Typist:
    """A written book open in IronCalc, in which inputs are typed over and put back."""

    def __init__(self, built: Built, path: Path, system: System) -> None:
        self.system = system
        self.job, self.lines = built.job, built.context.inputs.lines
        self.model: Any = ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")
        self.sheets = engines.sheet_numbers(self.model)

    def typed(self, line: InputLine, text: str) -> None:
        self.model.set_user_input(self.sheets[line.sheet], line.row, line.column + 1, text)

    def errors_with(self, typed: list[tuple[InputLine, str]]) -> list[str]:
        """The cells that show an error while these inputs are typed over."""
        for line, text in typed:
            self.typed(line, text)
        self.model.evaluate()
        found = engines.errors(engines.values_of_model(self.model))
        for line, _ in typed:
            self.typed(line, as_typed(line))
        return found

    def likely(self, line: InputLine, chance: random.Random) -> str:
        """What might well stand there: about the default, or anything allowed; a part of the job where one is named; a name stays."""
        job, item = self.job, line.item
        parts = {"run": job.runs, "starts at": (BOILER, *job.runs), "parallel with": ("", *job.loads), "fuel today": job.fuels}
        if item.measure is None:
            return chance.choice(parts.get(item.name) or item.choices or (as_typed(line),))
        unit = item.measure.unit(self.system)
        low, high = (float(unit.from_coherent(end)) for end in (item.limits.low, item.limits.high))
        if isinstance(line.default, float) and line.default:
            return repr(min(max(line.default * chance.uniform(0.5, 2.0), low), high))
        low = max(low, 0.0)
        return repr(low + (min(high, MOST) - low) * chance.random() ** 3)

    def possible(self, line: InputLine) -> list[str]:
        """What a hand might type for an input: nothing, each choice, the ends of what is allowed and just within, far off."""
        texts = [""]
        if line.item.measure is not None:
            unit = line.item.measure.unit(self.system)
            low, high = (rounded(float(unit.from_coherent(end))) for end in (line.item.limits.low, line.item.limits.high))
            numbers = [end for end in (low, high) if abs(end) != float("inf")]
            numbers += [end + step for end, step in ((low, abs(low) / 1e4 or 1e-6), (high, -abs(high) / 1e4)) if abs(end) != float("inf")]
            numbers += [1e6] if high == float("inf") else []
            numbers += [line.used / 3, line.used * 3] if isinstance(line.used, float) else []
            texts += [repr(number) for number in numbers] + ["-1e9", "some"]
        elif line.item.choices:
            texts += list(line.item.choices)
        elif line.item.type == "date":
            texts += ["2023-11-20", "2024-02-29", "45250", "45250.5", "11/20/2023", "2023-02-30", "0", "1e9", "-5", "soon"]
        return [text for text in dict.fromkeys(texts) if text != as_typed(line)]


def as_typed(line: InputLine) -> str:
    return "" if line.typed is None else str(line.typed)


def alone(typist: Typist) -> Iterator[list[tuple[InputLine, str]]]:
    """Every input with each of its texts, all else as it was."""
    for line in typist.lines:
        yield from ([(line, text)] for text in typist.possible(line))


def together(typist: Typist, seeds: range) -> Iterator[list[tuple[InputLine, str]]]:
    """Several inputs at once, made from the number of the case alone."""
    for seed in seeds:
        chance = random.Random(seed)
        lines = chance.sample(typist.lines, chance.randint(1, AT_ONCE))
        yield [(line, chance.choice(texts)) for line in lines if (texts := typist.possible(line))]


def from_blank(typist: Typist, seeds: range) -> Iterator[list[tuple[InputLine, str]]]:
    """A blank book of which some or all is typed: mostly what is likely, now and then anything."""
    for seed in seeds:
        chance = random.Random(seed)
        part = chance.choice((0.3, 0.6, 0.9, 1.0))
        lines = [line for line in typist.lines if chance.random() < part]
        yield [
            (line, chance.choice(typist.possible(line) or [""]) if chance.random() < ODD else typist.likely(line, chance)) for line in lines
        ]


def sample_typist(sample: Path, system: System) -> Typist:
    written = books.written(sample, system)
    return Typist(written.built, written.path, system)


def blank_typist(system: System, folder: Path) -> Typist:
    blank, path = build(blank_job(2, 4, 1), system), folder / "blank.xlsx"
    save(blank, path)
    return Typist(blank, path, system)


def run(typist: Typist, cases: Iterator[list[tuple[InputLine, str]]]) -> tuple[int, list[str]]:
    """How many cases there were, and a line for each that left an error in the book."""
    count, failed = 0, []
    for case in cases:
        count += 1
        if found := typist.errors_with(case):
            what = "; ".join(f"{line.key} = {text or 'nothing'}" for line, text in case)
            failed.append(f"{what[:LONGEST]}: {len(found)} cells, {', '.join(found[:3])}")
            print(failed[-1], flush=True)
    return count, failed


def command() -> int:
    """The long run; 1 where a cell became an error."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sample", nargs="?", type=Path, default=books.FULL)
    parser.add_argument("--units", choices=("us", "metric"), default="us")
    parser.add_argument("--random", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    options = parser.parse_args()
    began = time.perf_counter()
    seeds = range(options.first, options.first + options.random)
    with tempfile.TemporaryDirectory() as folder:
        typist = blank_typist(options.units, Path(folder))
        blank, worst = run(typist, from_blank(typist, seeds))
    typist = sample_typist(options.sample, options.units)
    counted, bad = run(typist, together(typist, seeds))
    singly, worse = run(typist, alone(typist))
    took, failed = time.perf_counter() - began, len(worst) + len(bad) + len(worse)
    print(f"{blank} blank books typed full, {counted} changes at once, {singly} alone, {took:.0f} s: {failed} left errors")
    return int(bool(failed))


if __name__ == "__main__":
    sys.exit(command())
