"""Reads the input table out of a workbook.  The only module that imports openpyxl, and only when a workbook is met.

A workbook comes from anywhere: its parts are weighed in the archive's directory before any of them is unpacked,
entity declarations are refused, macros are not run, links are not followed, and no formula is worked out: what its
spreadsheet program stored for it is taken, and told.
"""

from __future__ import annotations

import re
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import IO, Any

from .grid_reader import SHEETS, grid_rows, is_grid
from .rows import COLUMNS, MAX_ROWS, Cell, CellFormula, InputError, Table, as_number, headings, refuse, table_rows

INPUTS = "Inputs"
MAX_PARTS = 5_000
MAX_UNPACKED = 300_000_000
# Beyond this a part is packed far tighter than any sheet of numbers and words.
MAX_PACKING = 500
MAX_SHEETS = 60_000_000  # read cell by cell and kept
# What openpyxl makes objects of, however small it is in the file; counted by what it is, since a part may have any name.
MAX_CELLS = 2_000_000
MAX_TAGS = 8_000_000
MAX_OTHER_TAGS = 400_000  # formats, names and the like; a spreadsheet allows 65,490 formats of cells
NO_RESULT = "holds no result: open the workbook in an office program, recalculate and save it, or type the value itself"
ERRORS = ("#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A")
_STALE = re.compile(rb"""fullCalcOnLoad\s*=\s*["'](?:1|true)["']""")
_HEADING_ROWS = 200
_LAST_ROW = 200_000
_LAST_COLUMN = 60
_CHUNK = 1 << 20
_OVERLAP = 64  # longer than anything that is looked for
_CELL_TAG = re.compile(rb"<(?:\w{1,40}:)?c[\s/>]")
_OTHER_TAG = re.compile(rb"<(?![/?!])(?!(?:\w{1,40}:)?(?:c|v|f|is|t|si|r|row)[\s/>])")


def workbook_table(path: Path) -> Table:
    """The input table in an XLSX file: what is typed in a book of ours, the sheet named Inputs, or the first with the five headings."""
    check_archive(path)
    file = path.name
    if is_grid(sheet_titles(path)):
        return _typed(path)
    try:
        with _opened(path) as book:
            title, records = _records(file, book)
        if formulas := _formulas(file, records):
            _look_up(path, title, formulas, dict(records))
        return table_rows(file, records)
    except InputError:
        raise
    except Exception as error:  # a spoiled file raises nearly anything inside openpyxl
        raise _damaged(file, error) from None


def _typed(path: Path) -> Table:
    """What is typed on the three sheets of a book of ours; of a formula that was typed there, what the file stores for it."""
    from openpyxl.utils import get_column_letter

    book, _ = open_book(path, formulas=True)
    results: Any = None

    def content(cell: Any) -> Cell:
        nonlocal results
        found = _cell(cell)
        if not isinstance(found, CellFormula):
            return "" if found is None else found
        if results is None:
            results = {} if _is_stale(path) else open_book(path, formulas=False)[0]
        sheet = cell.parent.title
        there = results[sheet]._cells.get((cell.row, cell.column)) if results else None
        result = _cell(there) if there is not None else None
        failed = isinstance(result, str) and result in ERRORS
        address = f"{sheet}!{get_column_letter(cell.column)}{cell.row}"
        return CellFormula(str(found), address, None if failed else result, f"shows the error {result}" if failed else NO_RESULT)

    return Table(path.name, grid_rows(path.name, {name: book[name]._cells for name in SHEETS}, content))


def _is_stale(path: Path) -> bool:
    """True for a file that asks to be worked out when it is opened: what it stores is no result of a spreadsheet program."""
    with zipfile.ZipFile(path) as archive:
        return bool(_STALE.search(archive.read("xl/workbook.xml")))


@contextmanager
def _opened(path: Path, *, results: bool = False) -> Iterator[Any]:
    """The workbook, read row by row, with its formulas or with what it stored for them."""
    import openpyxl

    # Opened here: openpyxl leaves a file open that it fails to read.
    with path.open("rb") as stream, warnings.catch_warnings():
        warnings.simplefilter("ignore")  # openpyxl warns of extensions that it does not keep; nothing is written here
        book = openpyxl.load_workbook(stream, read_only=True, keep_links=False, data_only=results)
        try:
            yield book
        finally:
            book.close()


def _formulas(file: str, records: list[tuple[int, list[Cell]]]) -> list[tuple[int, int]]:
    """The row and the place in it of every formula in a column of the table."""
    columns = set(headings(file, *records[0]).values())
    return [(number, i) for number, cells in records for i, cell in enumerate(cells) if i in columns and isinstance(cell, CellFormula)]


def _look_up(path: Path, title: str, formulas: list[tuple[int, int]], rows: dict[int, list[Cell]]) -> None:
    """Give the formulas their stored results, or the reason why there is none.

    A file that was not written by a spreadsheet program has none, or zeros, and asks to be worked out when it is opened.
    """
    from openpyxl.utils import get_column_letter

    results: dict[int, list[Cell | None]] = {}
    if not _is_stale(path):
        with _opened(path, results=True) as book:
            wanted = {number for number, _ in formulas}
            results = {number: cells for number, cells in _raw(book[title]) if number in wanted}
    for number, index in formulas:
        result = next(iter(results.get(number, [])[index : index + 1]), None)
        failed = isinstance(result, str) and result in ERRORS
        fault = f"shows the error {result}" if failed else NO_RESULT
        address = f"{get_column_letter(index + 1)}{number}"
        rows[number][index] = CellFormula(str(rows[number][index]), address, None if failed else result, fault)


def check_archive(path: Path) -> None:
    """InputError unless the file is an XLSX archive of sound size, without encryption or entity declarations."""
    file = path.name
    with path.open("rb") as stream:
        magic = stream.read(8)
    if magic.startswith(b"\xd0\xcf\x11\xe0"):
        raise refuse(file, "the workbook is protected by a password or in the old .xls format; save it as .xlsx without a password")
    if not magic.startswith(b"PK"):
        what = "the file is empty" if not magic else "the file is not a workbook, whatever its ending says"
        raise refuse(file, f"{what}; a CSV file wants the ending .csv")
    try:
        with zipfile.ZipFile(path) as archive:
            parts = archive.infolist()
            _weigh(file, parts)
            if "xl/workbook.xml" not in archive.namelist():
                odf = "content.xml" in archive.namelist()
                raise refuse(
                    file, "the file is an OpenDocument file; save it as .xlsx" if odf else "the file is an archive, but no .xlsx workbook"
                )
            counts = _Counts()
            for part in parts:
                if not part.filename.startswith("xl/media/"):
                    with archive.open(part) as content:
                        _look_through(file, part.filename, content, counts)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError, zlib.error) as error:
        raise refuse(file, f"the file is damaged: {error}") from None


@dataclass
class _Counts:
    """Tags of a workbook so far: of cells, of all kinds, and of what is neither a cell nor what stands in one."""

    cells: int = 0
    tags: int = 0
    others: int = 0


def _look_through(file: str, part: str, content: IO[bytes], counts: _Counts) -> None:
    """Count what is in a part, a chunk at a time; InputError where it holds what no workbook does."""
    kept = b""
    while chunk := content.read(_CHUNK):
        # Without NULs, so that UTF-16 hides nothing.  A declaration may stand behind a comment of any length.
        fresh = chunk.replace(b"\0", b"")
        text = kept + fresh
        if b"<!DOCTYPE" in text or b"<!ENTITY" in text:
            raise refuse(file, f"the part {part} declares entities, which no workbook does; it is not opened")
        counts.tags += fresh.count(b"<")
        if counts.tags <= MAX_TAGS:
            counts.cells += sum(m.end() > len(kept) for m in _CELL_TAG.finditer(text))
            counts.others += sum(m.end() > len(kept) for m in _OTHER_TAG.finditer(text))
        if counts.tags > MAX_TAGS or counts.cells > MAX_CELLS or counts.others > MAX_OTHER_TAGS:
            raise refuse(file, f"with the part {part} the workbook holds more cells or formats than can be looked into; it is not opened")
        kept = text[-_OVERLAP:]


def sheet_titles(path: Path) -> set[str]:
    """The names of the sheets of a workbook; none where they cannot be read."""
    try:
        with zipfile.ZipFile(path) as archive:
            text = archive.read("xl/workbook.xml").decode("utf-8", "replace")
    except (zipfile.BadZipFile, KeyError, OSError):
        return set()
    return set(re.findall(r'<(?:\w{1,40}:)?sheet [^<>]*?name="([^"<]*)"', text))


def _weigh(file: str, parts: list[zipfile.ZipInfo]) -> None:
    if any(p.flag_bits & 1 for p in parts):
        raise refuse(file, "the archive is encrypted; save the workbook without a password")
    unpacked = sum(p.file_size for p in parts)
    if len(parts) > MAX_PARTS or unpacked > MAX_UNPACKED:
        raise refuse(file, f"the workbook unpacks to {len(parts)} parts of {unpacked // 1_000_000} MB; it is not opened")
    for part in parts:
        # A small part may be packed tightly; a bomb is large.
        if part.file_size > 10_000_000 and part.file_size > MAX_PACKING * max(part.compress_size, 1):
            times = part.file_size // max(part.compress_size, 1)
            raise refuse(file, f"the part {part.filename} unpacks to {times} times its size; it is not opened")


def _records(file: str, book: Any) -> tuple[str, list[tuple[int, list[Cell]]]]:
    """The sheet's name, and the heading row and the rows below it, each with its number on the sheet."""
    sheets = list(book.worksheets)
    sheets.sort(key=lambda s: s.title.casefold() != INPUTS.casefold())
    nearest: tuple[int, str, int, list[Cell]] | None = None
    for sheet in sheets:
        rows = _cells(sheet)
        for number, cells in rows:
            words = [str(c).strip().casefold() for c in cells]
            there = sum(c in words for c in COLUMNS)
            if there == len(COLUMNS):
                found = [(number, cells)]
                for below, record in rows:
                    if below > _LAST_ROW or len(found) > MAX_ROWS:
                        much = f"goes on beyond row {_LAST_ROW}" if below > _LAST_ROW else f"has more than {MAX_ROWS} rows"
                        raise refuse(file, f"sheet {sheet.title} {much}; is this an input table?", below)
                    found.append((below, record))
                return sheet.title, found
            if there > 2 and (nearest is None or there > nearest[0]):
                nearest = there, sheet.title, number, cells
            if number >= _HEADING_ROWS:
                break
    if nearest is not None:
        headings(f"{file}, sheet {nearest[1]}", nearest[2], nearest[3])
    raise refuse(file, f"no sheet has a row with the headings {', '.join(COLUMNS)}")


def _cells(sheet: Any) -> Iterator[tuple[int, list[Cell]]]:
    """The rows that are not empty."""
    for number, cells in _raw(sheet):
        if any(c is not None for c in cells):
            yield number, ["" if c is None else c for c in cells]


def _raw(sheet: Any) -> Iterator[tuple[int, list[Cell | None]]]:
    # The size that a file states for a sheet is not to be relied on.
    sheet.reset_dimensions()
    for number, row in enumerate(sheet.iter_rows(max_col=_LAST_COLUMN, max_row=_LAST_ROW + 1), 1):
        yield number, [_cell(c) for c in row]


def _cell(cell: Any) -> Cell | None:
    value = cell.value
    if value is None:
        return "" if cell.data_type == "str" else None  # the result of a formula may be no text at all
    if cell.data_type == "f":
        return CellFormula(value if isinstance(value, str) else "=…")
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, datetime):
        return value.date().isoformat() if not (value.hour or value.minute or value.second) else value.isoformat(" ")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, int | float) and isinstance(as_number(value), float):
        return value * 100.0 if str(cell.number_format).endswith("%") else value
    return str(value)


@contextmanager
def _unmerged() -> Iterator[None]:
    """Keeps openpyxl from making a cell of every place in a merged range, which may be the whole sheet."""
    from openpyxl.worksheet._reader import WorksheetReader

    kept = WorksheetReader.bind_merged_cells
    WorksheetReader.bind_merged_cells = lambda self: None
    try:
        yield
    finally:
        WorksheetReader.bind_merged_cells = kept


def open_book(path: Path, *, formulas: bool) -> tuple[Any, list[str]]:
    """A workbook for reading cell by cell, with its formulas or with what it stored for them, and what is odd about the file.

    Macros are not kept, links to other files are not followed.
    """
    check_archive(path)
    import openpyxl

    with zipfile.ZipFile(path) as archive:
        names = archive.namelist()
        size = sum(p.file_size for p in archive.infolist() if p.filename.startswith("xl/worksheets/"))
    if size > MAX_SHEETS:
        allowed = f"a book to be looked into may have {MAX_SHEETS // 1_000_000} MB"
        raise refuse(path.name, f"its sheets unpack to {size // 1_000_000} MB; {allowed}")
    remarks = ["the book holds macros; they were not run"] if any(n.endswith("vbaProject.bin") for n in names) else []
    if any(n.startswith("xl/externalLinks/") for n in names):
        remarks.append("the book has links to other files; they were not followed")
    try:
        with path.open("rb") as stream, _unmerged(), warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return openpyxl.load_workbook(stream, data_only=not formulas, keep_links=False), remarks
    except Exception as error:  # as above
        raise _damaged(path.name, error) from None


def _damaged(file: str, error: Exception) -> InputError:
    return refuse(file, f"the file cannot be read as a workbook; it is damaged ({type(error).__name__}: {str(error)[:120]})")


def numbers_in(formula: str) -> list[str] | None:
    """The numbers typed inside a formula, as written; None where it cannot be taken apart."""
    from openpyxl.formula import Tokenizer
    from openpyxl.formula.tokenizer import Token

    try:
        items = Tokenizer(formula).items
    except Exception:  # a formula that no office program would take
        return None
    return list(dict.fromkeys(t.value for t in items if t.type == Token.OPERAND and t.subtype == Token.NUMBER))
