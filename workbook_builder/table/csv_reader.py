"""Reads the input table out of a CSV file as any office program saves it: its letters, what parts the columns, its marks."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path

from .rows import COLUMNS, Problem, Table, refuse, table_rows

MAX_BYTES = 20_000_000
SAVE_AS = 'save it with Save As, "CSV UTF-8 (comma delimited)" (in LibreOffice: Text CSV, character set UTF-8)'
_UTF_16 = (b"\xff\xfe", b"\xfe\xff")
_DELIMITERS = ",;\t|"
# What some programs put above the headings for one another.
_STATED = re.compile(r'"?sep=(.)"?[,;\t ]*[\r\n]*', re.IGNORECASE)
WINDOWS = "cp1252"


def csv_table(path: Path) -> Table:
    """The rows of a CSV file that have something in them."""
    file = path.name
    if path.stat().st_size > MAX_BYTES:
        raise refuse(file, f"the file is larger than {MAX_BYTES // 1_000_000} MB, which no input table is")
    raw = path.read_bytes()
    if raw.startswith(b"PK\x03\x04"):
        raise refuse(file, "this is a workbook or an archive under the name of a CSV file; give it the ending .xlsx")
    text, remarks = _decoded(raw, file)
    if not text.strip():
        raise refuse(file, f"the file is empty; its first row is {', '.join(COLUMNS)}")
    stream = io.StringIO(text, newline="")
    begins, head = _first_line(stream)
    stated = _STATED.fullmatch(head)
    if stated:
        delimiter = stated[1]
        if delimiter not in _DELIMITERS:
            raise refuse(file, f"the first line parts the columns by {delimiter!r}; part them by commas", begins)
        begins += 1
    else:
        delimiter = _delimiter(head)
        stream.seek(0)
        begins = 1
    found = table_rows(file, _records(stream, file, delimiter, begins), delimiter)
    found.remarks += remarks
    return found


def _decoded(raw: bytes, file: str) -> tuple[str, list[Problem]]:
    """The text of the file, and what is to be told of its letters."""
    remarks = []
    if raw.startswith(_UTF_16):
        try:
            text = raw.decode("utf-16")
        except UnicodeDecodeError:
            raise refuse(file, f"the file begins as UTF-16 and is not; {SAVE_AS}") from None
    elif raw[:200].count(0) > 20:
        raise refuse(file, f"the file is encoded as UTF-16 and does not say so at its beginning; {SAVE_AS}")
    else:
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            text = _of_windows(raw, file, raw[: error.start].count(b"\n") + 1)
            told = (
                f"the file is not UTF-8 and was read as code page 1252 of Windows; if a letter is another one than it was typed, {SAVE_AS}"
            )
            remarks.append(Problem(file, None, "", told))
    if "\0" in text:
        raise refuse(file, "the file holds NUL bytes and is no text", text[: text.index("\0")].count("\n") + 1)
    return text, remarks


def _of_windows(raw: bytes, file: str, line: int) -> str:
    """The text in the letters of Windows; ``line`` is the first that is not UTF-8."""
    if any(ord(c) > 0x7F and not 0xDC80 <= ord(c) <= 0xDCFF for c in raw.decode("utf-8-sig", "surrogateescape")):
        raise refuse(file, f"from here on the file is not UTF-8, and other letters of it are: it was put together of two; {SAVE_AS}", line)
    try:
        return raw.decode(WINDOWS)
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise refuse(file, f"the file is neither UTF-8 nor code page 1252 of Windows; {SAVE_AS}", line) from None


def _first_line(stream: io.StringIO) -> tuple[int, str]:
    """The first line that is not blank, and its number."""
    return next((number, line) for number, line in enumerate(stream, 1) if line.strip())


def _delimiter(head: str) -> str:
    """What parts the columns: that by which the most of the headings stand apart; a comma where none does."""

    def headings(delimiter: str) -> int:
        cells = next(csv.reader([head], delimiter=delimiter), [])
        return len({c.strip().casefold() for c in cells} & set(COLUMNS))

    return max(_DELIMITERS, key=headings)


def _records(stream: io.StringIO, file: str, delimiter: str, begins: int) -> Iterator[tuple[int, list[str]]]:
    """Records with the line on which each begins."""
    reader = csv.reader(stream, delimiter=delimiter, strict=True)
    before = begins - 1
    try:
        for record in reader:
            yield begins, record
            begins = before + reader.line_num + 1
    except csv.Error as error:
        raise refuse(file, f"the file cannot be read as CSV from here on ({error}); is a quotation mark left open?", begins) from None
