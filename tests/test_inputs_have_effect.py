"""Every item of the vocabulary does something: changed, it changes a worked line of a book, or it is marked as informational.

A line that only fetches an input does not count, nor does one that stands in for another when nothing is given.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

import books
import numpy as np
import pytest
from oracle_jobs import random_job

from hydrocalc.named import RangeError
from workbook_builder.build import Built, build
from workbook_builder.model.input_line import InputLine
from workbook_builder.model.input_references import Input, JobInput, MonthInput
from workbook_builder.model.references import FirstGiven, SameColumn
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import BuildError
from workbook_builder.table import vocabulary
from workbook_builder.table.job import Job
from workbook_builder.table.reader import job_from_rows, read_job
from workbook_builder.table.rows import TableRow
from workbook_builder.table.vocabulary import KINDS, Item

# What no sample gives, each with what it goes together with.  Invented.
FURTHER = """
boiler,second rated output,60000,BTU/h
boiler,second firebox volume,12,ft³
boiler,second water content,90,gal
boiler,backup output,20000,BTU/h
site,soil conductivity,0.9,BTU/(h ft °F)
site,mean ground temperature,48,°F
site,ground amplitude,20,°F
wood,heating value,8600,BTU/lb
wood,specific gravity,0.6,–
wood,moisture,22,%
wood,hours a cord,6,h
run house,length,120,ft
run house,tube family,PEX SDR-9
run house,size,1
run house,jacket outer diameter,6,in
run house,jacket condition,wet
run house,wet insulation conductivity,0.2,BTU/(h ft °F)
run house,spacing,1.6,in
run house,line cost,12,$/ft
run house,upgraded line cost,19,$/ft
run house,upgraded insulation,polyurethane foam
run house,upgraded jacket outer diameter,7,in
run house,circulator shutoff head,18,ft
run house,circulator middle flow,6,gpm
run house,circulator middle head,14,ft
run house,circulator high flow,11,gpm
run house,circulator high head,5,ft
run house,other head,3,ft
run house,other head flow,6,gpm
liquid,kind,propylene glycol
liquid,antifreeze by volume,30,%
run house,liquid,propylene glycol
run house,antifreeze by volume,30,%
run shed,length,90,ft
run shed,tube family,PEX SDR-9
run shed,jacket outer diameter,6,in
run shed,stated loss,14,BTU/(h ft)
run shed,stated loss difference,120,°F
run shed,liquid,propylene glycol
run shed,antifreeze by volume,30,%
run shed,flow,5,gpm
load rooms,run,house
load rooms,kind,baseboard
load rooms,share of fuel,60,%
load rooms,rated output,70000,BTU/h
load rooms,gains,1500,BTU/h
load rooms,behind an exchanger,yes
load rooms,exchanger rated load,60000,BTU/h
load rooms,exchanger rated hot inlet,180,°F
load rooms,exchanger rated hot outlet,160,°F
load rooms,exchanger rated cold inlet,140,°F
load rooms,exchanger rated cold outlet,160,°F
load rooms,second side flow,6,gpm
load rooms,second side liquid,propylene glycol
load rooms,second side antifreeze by volume,25,%
load annex,run,house
load annex,kind,floor
load annex,conductance,260,BTU/(h °F)
load annex,floor area,700,ft²
load annex,behind an exchanger,yes
load annex,exchanger rated load,30000,BTU/h
load annex,exchanger rated hot inlet,180,°F
load annex,exchanger rated hot outlet,160,°F
load annex,exchanger rated cold inlet,100,°F
load annex,exchanger rated cold outlet,120,°F
load annex,second side liquid,propylene glycol
load annex,second side antifreeze by mass,25,%
load shop,run,shed
load shop,kind,fan heater
load shop,heated area,900,ft²
load shop,loss per area,30,BTU/(h ft²)
load shop,rated output,60000,BTU/h
load shop,rated water flow,6,gpm
load shop,rated air flow,900,cfm
load shop,behind an exchanger,yes
load shop,exchanger rated load,40000,BTU/h
load shop,exchanger rated hot inlet,180,°F
load shop,exchanger rated hot outlet,160,°F
load shop,exchanger rated cold inlet,140,°F
load shop,exchanger rated cold outlet,160,°F
load shop,second side liquid,ethylene glycol
load shop,second side antifreeze by volume,25,%
load loft,run,shed
load loft,kind,baseboard
load loft,heated area,600,ft²
load loft,loss per area,25,BTU/(h ft²)
load loft,rated output,30000,BTU/h
load taps,run,shed
load taps,kind,hot water
load taps,use a day,60,gal
load taps,heated by,coil in tank
load taps,tank volume,50,gal
load taps,parallel with,loft
load taps,exchanger rated load,30000,BTU/h
load taps,exchanger rated hot inlet,180,°F
load taps,exchanger rated hot outlet,160,°F
load taps,exchanger rated cold inlet,60,°F
load taps,exchanger rated cold outlet,120,°F
load tub,run,shed
load tub,kind,tub
load tub,volume,300,gal
load tub,surface,40,ft²
load tub,exchanger rated load,20000,BTU/h
load tub,exchanger rated hot inlet,180,°F
load tub,exchanger rated hot outlet,160,°F
load tub,exchanger rated cold inlet,80,°F
load tub,exchanger rated cold outlet,100,°F
load kiln,run,shed
load kiln,kind,known
load kiln,heat,8000,BTU/h
fuel today oil,fuel,heating oil
fuel today oil,price,3.5,$/gal
fuel today oil,use,700,gal
fuel today oil,first date,2023-10-12
fuel today oil,last date,2024-03-20
fuel today oil,share for hot water,15,%
fuel today gas,fuel,propane
fuel today gas,price,2.5,$/gal
fuel today gas,use,300,gal
fuel today gas,degree days of the use,4000,°F day
"""
BASE = """
job,title,Everything
site,outdoor design temperature,0,°F
site,annual degree days,7000,°F day
boiler,rated output,150000,BTU/h
boiler,water content,250,gal
"""


def _rows(text: str) -> list[tuple[str, ...]]:
    return [(*line.split(","), "", "")[:4] for line in text.strip().splitlines()]


def _everything(**boiler: str) -> Job:
    rows = [*_rows(BASE), *(("boiler", item.replace("_", " "), *value.split(",")) for item, value in boiler.items()), *_rows(FURTHER)]
    return job_from_rows("table.csv", [TableRow(n, *(*row, "", "")[:4], "") for n, row in enumerate(rows, 2)])


JOBS = {
    "a batch boiler, closed": lambda: _everything(
        kind="batch", system="closed", buffer_tank_volume="500,gal", jacket_conductance="15,BTU/(h °F)", firebox_volume="30,ft³"
    ),
    "no firebox": lambda: _everything(rated_output_basis="average over a charge", seasonal_efficiency="55,%"),
    "the sample": lambda: read_job(books.FULL),
    **{s.stem: (lambda s=s: read_job(s)) for s in books.SAMPLES if s != books.FULL},
    **{f"random {n}": (lambda n=n: random_job(n)) for n in range(6)},
}


@cache
def built(name: str) -> Built:
    return build(JOBS[name]())


def fetches(row: Row) -> bool:
    """True of a line that shows an input, or the first given of some, and works nothing out."""

    def plain(reference: Any) -> bool:
        if isinstance(reference, FirstGiven):
            return all(map(plain, reference.rows))
        if isinstance(reference, SameColumn):
            return fetches(reference.row)
        return isinstance(reference, Input | JobInput | MonthInput) or (isinstance(reference, Row) and fetches(reference))

    return len(row.uses) == 1 and not row.function and plain(row.uses[0]) and not isinstance(row.uses[0], Row)


def changed(book: Built, key: str, value: Any) -> bool:
    """True where a worked line is another with that value."""
    try:
        values = book.book.worked_with({key: value})
    except (BuildError, RangeError, ValueError):
        return False
    for row in book.book.order:
        old, new = book.book.values[row], values[row]
        if old is not new and not fetches(row) and not _same(old, new):
            return True
    return False


def _same(old: Any, new: Any) -> bool:
    old, new = np.broadcast_arrays(old, new)
    return bool((old == new).all()) if old.dtype == object else bool(np.array_equal(old, new, equal_nan=True))


def other_values(book: Built, line: InputLine) -> Iterator[Any]:
    """Some values that the item may have and has not."""
    item, job = line.item, book.job
    if item.type in ("run", "load", "fuel"):
        names = {"run": job.runs, "load": job.loads, "fuel": job.fuels}[item.type]
        yield from (n for n in (*names, *(["boiler"] if item.name == "starts at" else [])) if n != line.used)
    elif item.type == "date":
        if line.used:
            yield f"{str(line.used)[:8]}{'05' if str(line.used)[8:] != '05' else '06'}"
    elif item.measure is None:
        yield from (c for c in item.choices if c != line.used)
    else:
        unit = item.measure.unit("us")
        low, high = (float(unit.from_coherent(end)) for end in (item.limits.low, item.limits.high))
        used = line.used if isinstance(line.used, float) else None
        for value in (*((used * 0.9, used * 1.1) if used else ()), low + 0.3 * (high - low), low + 0.02 * (high - low), low, high):
            if value != used and np.isfinite(value) and item.limits.holds(float(unit.to_coherent(value))):
                yield float(f"{value:.9g}")


def has_effect(item: Item, kind: str | None) -> bool:
    for name in JOBS:
        book = built(name)
        for line in book.context.inputs.lines:
            asked = line.item is item and (kind is None or book.job.kind_of(line.part) == kind)
            if asked and any(changed(book, line.key, value) for value in other_values(book, line)):
                return True
    return False


ITEMS = [
    (item, kind)
    for items in vocabulary.vocabulary().values()
    for item in items.values()
    if not item.informational
    for kind in ((item.kinds or KINDS) if item.part == "load" else (None,))
]


@pytest.mark.slow
@pytest.mark.parametrize(("item", "kind"), ITEMS, ids=[f"{i.part}|{i.name}{f' of a {k}' if k else ''}" for i, k in ITEMS])
def test_an_input_changes_something(item: Item, kind: str | None) -> None:
    assert has_effect(item, kind), "nothing in any of the books follows from it"


def test_few_items_are_informational() -> None:
    found = {f"{i.part}|{i.name}" for items in vocabulary.vocabulary().values() for i in items.values() if i.informational}
    about = {"title", "client", "place", "date", "prepared by", "currency"}
    assert found == {f"job|{item}" for item in about} | {f"{part}|name" for part in vocabulary.NAMED}
