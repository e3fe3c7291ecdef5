"""Input tables and books spoiled at random, each the same again for the same number: what ``fuzz.py`` feeds to the commands."""

from __future__ import annotations

import csv
import datetime
import io
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random
from typing import Any

import xlsxwriter
from broken_tables import SOUND
from jobs import random_table

from workbook_builder.table import vocabulary

Rows = list[list[Any]]
HEADINGS = ["part", "item", "value", "unit", "note"]

# What a cell may hold that somebody never meant: the ends of numbers, other scripts, other tongues, formulas, what breaks XML.
_ODD_WORDS = """0 -0 -1 1e-300 1e308 1e999 -1e-9 1e5 999999999 0.1 12. .5 1e +-1 0x10 1_000 1,234 1.234,5 12,5 1'000 −5 ½ ٣ ５ nan inf
    -inf True true none null boiler =1+1 +1 @x =Sizing!C14 ='ab'!$C$14 {1} ={1} =cmd|'/C!A0
    '=1 http://localhost/ _x0041_ &amp; ]]> <a/> " ""
    ' ; | \\ % %s {0} * ? ~ #REF! #N/A # İ ß ﬁ Ǆ ft**9 °F K delta_degF $/gal €"""
_ODD_SIGNS = "\t\n\r\x0b\x0c\x01\x1f\x7f\ufffe\ufeff\u00a0\u2028\u202e\U0001f525"
_LONG = ("x" * 300, "x" * 33_000, "é" * 256, "9" * 400, "1." + "0" * 500, "(" * 200)
ODD = (*_ODD_WORDS.split(), *_ODD_SIGNS, "", " ", "a\nb", "1 234", "e\u0301", *_LONG)
_UNITS = "ft m in °F °C K BTU/h kW W gpm L/s gal L lb kg % $ $/gal $/cord h day psi"
UNITS = (*_UNITS.split(), "")
_NAMES = "a É O'Neal's A1 R1C1 true L1 run house m² ab-c Ω N/A"
NAMES = (*_NAMES.split(), "x & y", "of run", "no. 1", "c" * 40, "d" * 41)


# --- rows -------------------------------------------------------------------------------------------------------------


def _any_row(random: Random, rows: Rows) -> int:
    return random.randrange(1, len(rows)) if len(rows) > 1 else 0


def _odd_cell(random: Random, rows: Rows) -> None:
    row = rows[_any_row(random, rows)]
    row[random.randrange(len(row))] = random.choice(ODD)


def _odd_number(random: Random, rows: Rows) -> None:
    """A number near an end of what the item allows, or far beyond."""
    numbers = [r for r in rows[1:] if len(r) > 3 and _item(r) is not None and _item(r).measure is not None]  # type: ignore[union-attr]
    if not numbers:
        return
    row = random.choice(numbers)
    item = _item(row)
    assert item is not None and item.measure is not None
    row[3] = random.choice((item.measure.us.symbol, item.measure.metric.symbol, row[3]))
    unit = item.measure.us if row[3] == item.measure.us.symbol else item.measure.metric
    ends = [float(unit.from_coherent(e)) for e in (item.limits.low, item.limits.high) if abs(e) < 1e300]
    near = random.choice(ends or [0.0])
    row[2] = repr(
        random.choice((near, near * (1 + 1e-9), near * (1 - 1e-9), near / 2, near * 1.01, near + 1e-6, -near, random.uniform(-10, 1000)))
    )


def _item(row: Sequence[Any]) -> vocabulary.Item | None:
    try:
        return vocabulary.item(str(row[0]), str(row[1]))
    except (KeyError, IndexError):
        return None


def _another_item(random: Random, rows: Rows) -> None:
    """A row for any item of a part that is there: allowed words, numbers within and around the range."""
    parts = sorted({str(r[0]) for r in rows[1:] if r and str(r[0]) and not str(r[0]).startswith("claim")})
    part = random.choice([*parts, *vocabulary.SINGLE])
    family = next((n for n in vocabulary.NAMED if part.startswith(n + " ")), part)
    if family not in vocabulary.vocabulary():
        return
    there = {str(r[1]): str(r[2]) for r in rows if len(r) > 2 and r[0] == part}
    free = [i for i in vocabulary.items(family, there.get("kind")) if i.name not in there]
    if not free:
        return
    item = random.choice(free)
    rows.insert(random.randrange(1, len(rows) + 1), [part, item.name, *_likely(random, item, rows), ""])


def _likely(random: Random, item: vocabulary.Item, rows: Rows) -> tuple[str, str]:
    if item.measure is not None:
        unit = random.choice((item.measure.us, item.measure.metric))
        low, high = (float(unit.from_coherent(e)) for e in (item.limits.low, item.limits.high))
        low, high = (low if abs(low) < 1e9 else 0.0), (high if abs(high) < 1e9 else 1000.0)
        return f"{random.choice((random.uniform(low, high), low, high, random.uniform(low, low + (high - low) / 50))):.6g}", unit.symbol
    if item.choices:
        return random.choice(item.choices), ""
    if item.type in ("run", "load", "fuel"):
        family = {"fuel": "fuel today"}.get(item.type, item.type)
        names = [str(r[0])[len(family) + 1 :] for r in rows if r and str(r[0]).startswith(family + " ")]
        return random.choice([*names, "boiler", "nowhere"]), ""
    return random.choice(("2024-02-29", "2023-02-29", *ODD)), ""


def _claim(random: Random, rows: Rows) -> None:
    part = str(rows[_any_row(random, rows)][0])
    result = random.choice(("flow", "head", "loss", "cords a year", "load", "burn time", "arrives", "rated output", *ODD))
    rows.append([f"claim {part}", result, random.choice(("3", "1e9", "-4", *ODD)), random.choice(UNITS), random.choice(("", *ODD))])


def _range(random: Random, rows: Rows) -> None:
    width = len(rows[0])
    rows[0] += [random.choice(("low", "high", "tolerance", "Low", "value")), "high"][: random.randrange(1, 3)]
    for row in rows[1:]:
        row += [""] * (width - len(row)) + [random.choice(("", "", "1", "20", "150", *ODD)) for _ in rows[0][width:]]


def _rename(random: Random, rows: Rows) -> None:
    """One name in place of another, wherever it stands."""
    named = sorted({str(r[0]).split(" ", 1)[1] for r in rows[1:] if r and " " in str(r[0])})
    if named:
        old, new = random.choice(named), random.choice((*NAMES, *ODD))
        for row in rows[1:]:
            row[:] = [new if c == old else f"{str(c).split(' ', 1)[0]} {new}" if str(c).endswith(f" {old}") else c for c in row]


def _delete(random: Random, rows: Rows) -> None:
    del rows[_any_row(random, rows)]
    if not rows:
        rows.append(list(HEADINGS))


def _double(random: Random, rows: Rows) -> None:
    rows.insert(random.randrange(len(rows) + 1), list(rows[_any_row(random, rows)]))


def _swap_rows(random: Random, rows: Rows) -> None:
    a, b = _any_row(random, rows), _any_row(random, rows)
    rows[a], rows[b] = rows[b], rows[a]


def _swap_cells(random: Random, rows: Rows) -> None:
    """What stands in one cell of two rows, exchanged."""
    a, b = rows[_any_row(random, rows)], rows[_any_row(random, rows)]
    column = random.randrange(min(len(a), len(b)) or 1)
    if column < min(len(a), len(b)):
        a[column], b[column] = b[column], a[column]


def _another_unit(random: Random, rows: Rows) -> None:
    row = rows[_any_row(random, rows)]
    if len(row) > 3:
        row[3] = random.choice(UNITS)


def _columns(random: Random, rows: Rows) -> None:
    order = list(range(len(rows[0])))
    random.choice((random.shuffle, lambda o: o.pop(), lambda o: o.append(0)))(order)
    rows[:] = [[row[c] if c < len(row) else "" for c in order] for row in rows]


def _ragged(random: Random, rows: Rows) -> None:
    row = rows[_any_row(random, rows)]
    row[:] = row[: random.randrange(len(row) + 1)] if random.random() < 0.5 else [*row, random.choice(ODD)]


ROW_MUTATIONS: tuple[Callable[[Random, Rows], None], ...] = (
    *(_odd_cell, _odd_number, _odd_number, _another_item, _another_item, _claim, _range, _rename, _delete, _double),
    *(_swap_rows, _swap_cells, _another_unit, _columns, _ragged),
)


# --- text and bytes ---------------------------------------------------------------------------------------------------


def flip(random: Random, data: bytes) -> bytes:
    changed = bytearray(data)
    for _ in range(random.choice((1, 1, 2, 8, 64))):
        if changed:
            changed[random.randrange(len(changed))] = random.randrange(256)
    return bytes(changed)


def cut(random: Random, data: bytes) -> bytes:
    a, b = sorted(random.randrange(len(data) + 1) for _ in range(2))
    return random.choice((data[:a], data[a:], data[:a] + data[b:], data[:b] + data[a:]))


def insert(random: Random, data: bytes) -> bytes:
    at = random.randrange(len(data) + 1)
    pieces = b'\0 \xff \xef\xbb\xbf \xfe\xff \r " , \n \x80 PK\x03\x04 ,,,,,,,,, \xed\xa0\x80 \x1a'.split(b" ")
    return data[:at] + random.choice((*pieces, random.randbytes(random.randrange(40)))) + data[at:]


def _recode(random: Random, data: bytes) -> bytes:
    text = data.decode("utf-8", "replace")
    return text.encode(
        random.choice(("utf-16", "utf-16-le", "utf-16-be", "utf-8-sig", "cp1252", "latin-1", "utf-32", "cp437", "utf-7")), "replace"
    )


def _marks(random: Random, data: bytes) -> bytes:
    marks = (
        (",", ";"),
        (",", "\t"),
        (".", ","),
        (",", "|"),
        ("\n", "\r"),
        ("\n", "\r\n"),
        ("\n", "\n\n"),
        ("\n", "\x0b"),
        (",", ", "),
        (",", '","'),
    )
    old, new = random.choice(marks)
    return data.replace(old.encode(), new.encode())


# What somebody may well type: mostly each allowed by itself, so that what is odd reaches the sheets.
POLITE_MUTATIONS: tuple[Callable[[Random, Rows], None], ...] = (
    _another_item,
    _another_item,
    _another_item,
    _odd_number,
    _swap_rows,
    _rename,
)
BYTE_MUTATIONS: tuple[Callable[[Random, bytes], bytes], ...] = (flip, cut, insert, _recode, _marks)


def mutated_table(seed: int, folder: Path) -> Path:
    """A spoiled input table as a CSV or an XLSX file."""
    random = Random(f"table {seed}")
    rows: Rows = [line.split(",") for line in SOUND.splitlines()]
    if random.random() < 0.3:
        rows = [list(HEADINGS), *(list(map(str, r)) for r in random_table(seed))]
    polite = random.random() < 0.4
    for _ in range(random.choice((1, 1, 1, 2, 3, 6))):
        random.choice(POLITE_MUTATIONS if polite else ROW_MUTATIONS)(random, rows)
    if random.random() < 0.25:
        path = folder / "table.xlsx"
        _as_workbook(random, rows, path)
        if not polite and random.random() < 0.3:
            path.write_bytes(random.choice(BYTE_MUTATIONS[:3])(random, path.read_bytes()))
        return path
    text = io.StringIO(newline="")
    try:
        csv.writer(text, lineterminator="\n").writerows(rows)
        data = text.getvalue().encode("utf-8", "surrogatepass")
    except csv.Error:
        data = "\n".join(",".join(map(str, row)) for row in rows).encode()
    if not polite and random.random() < 0.4:
        data = random.choice(BYTE_MUTATIONS)(random, data)
    path = folder / "table.csv"
    path.write_bytes(data)
    return path


def _as_workbook(random: Random, rows: Rows, path: Path) -> None:
    """The rows on a sheet somewhere, with cells of every type; xlsxwriter, since openpyxl refuses half of what is odd."""
    with xlsxwriter.Workbook(str(path), {"nan_inf_to_errors": True, "strings_to_urls": False}) as book:
        book.set_properties({"created": datetime.datetime(2000, 1, 1)})  # by default the time, and bytes to be spoiled would be others
        for _ in range(random.randrange(2)):
            book.add_worksheet().write_row(0, 0, ["other", random.random()])
        sheet = book.add_worksheet(random.choice((None, "Inputs", "Tab e")))
        top, left = random.choice(((0, 0), (0, 0), (5, 2)))
        formats = [book.add_format({"num_format": n}) for n in ("0%", "yyyy-mm-dd", "@", "General")]
        for r, row in enumerate(rows, top):
            for c, value in enumerate(row, left):
                _write_cell(random, sheet, r, c, str(value)[:32_767], formats)
        if random.random() < 0.1:
            sheet.merge_range(top + 1, left, top + 2, left + 1, "run yard")
        if random.random() < 0.05:
            sheet.write(1_048_575, 16_383, "far")


def _write_cell(random: Random, sheet: Any, r: int, c: int, value: str, formats: list[Any]) -> None:
    chance = random.random()
    if chance < 0.02:
        sheet.write_formula(r, c, "=" + value.lstrip("=")[:200], None, value)
    elif chance < 0.03:
        sheet.write_boolean(r, c, True)
    elif re.fullmatch(r"-?\d+\.?\d*(e[+-]?\d{1,2})?", value) and len(value) < 300 and chance < 0.95:
        sheet.write_number(r, c, float(value), random.choice((None, None, None, None, *formats)))
    else:
        sheet.write_string(r, c, value)
