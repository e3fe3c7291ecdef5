"""Runs inside a Python that has ``uno``: starts LibreOffice without a screen, does the steps of a JSON file, prints what it saw.

Usage: python office_session.py PROGRAM PROFILE_URL STEPS.json
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.connection import NoConnectException

_ERRORS = 4  # com.sun.star.sheet.FormulaResult.ERROR
_ANYTHING = 1023  # com.sun.star.sheet.CellFlags, all of them
_SECONDS = 90
_FREE = 701  # a column, counted from 0, far from all that is typed

ATTEMPTS = 5


def main(program: str, profile: str, steps: Path) -> None:
    pipe = f"hydrocalc{os.getpid()}"
    command = [
        program,
        f"-env:UserInstallation={profile}",
        "--headless",
        "--norestore",
        "--nologo",
        "--nolockcheck",
        f"--accept=pipe,name={pipe};urp;",
    ]
    office = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        context = _connected(pipe)
        seen = [_step(context, step) for step in json.loads(steps.read_text(encoding="utf-8"))]
        print(json.dumps(seen))
    finally:
        try:
            desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
            desktop.terminate()
        except Exception:
            office.terminate()
        office.wait(timeout=_SECONDS)


def _connected(pipe: str) -> Any:
    resolver = uno.getComponentContext().ServiceManager.createInstance("com.sun.star.bridge.UnoUrlResolver")
    until = time.monotonic() + _SECONDS
    while True:
        try:
            return resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except NoConnectException:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)


def _step(context: Any, step: dict[str, Any]) -> Any:
    if step["do"] == "wizard":
        return _wizard(context, step["prefix"])
    return _document(context, step)


def _wizard(context: Any, prefix: str) -> list[dict[str, Any]]:
    """What the function wizard shows of every function whose name begins so.

    Asked too early after a start, or on a busy machine, the program's list of functions has holes (seen in 7.4: an
    std::bad_alloc, a function without arguments); it is asked again until it can describe each of ours.
    """
    for attempt in range(ATTEMPTS):
        found, whole = _described(context, prefix)
        if whole:
            break
        time.sleep(1 + attempt)
    return found  # still with holes: the test that counts the functions names those that are missing


def _described(context: Any, prefix: str) -> tuple[list[dict[str, Any]], bool]:
    """The descriptions that can be read, and whether all could."""
    described = context.ServiceManager.createInstanceWithContext("com.sun.star.sheet.FunctionDescriptions", context)
    found, whole = [], True
    for index in range(described.getCount()):
        try:
            properties = {p.Name: p.Value for p in described.getByIndex(index)}
        except Exception:
            whole = False
            continue
        if properties["Name"].startswith(prefix):
            if properties["Arguments"] is None:
                whole = False
                continue
            arguments = [{"name": a.Name, "description": a.Description, "optional": a.IsOptional} for a in properties["Arguments"]]
            found.append({k.lower(): properties[k] for k in ("Name", "Description", "Category")} | {"arguments": arguments})
    return found, whole


def _document(context: Any, step: dict[str, Any]) -> dict[str, Any]:
    """Open a file, or a new document; type into it; recalculate (so many times, timed; 0 is never); save; and read everything.

    What a cell shows, and not only its value, is read where the step asks for it ("shown": sheets and their cells); the
    cells as they are before anything is done, where it says "as_opened".
    """
    desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
    url = Path(step["open"]).as_uri() if step.get("open") else "private:factory/scalc"
    document = desktop.loadComponentFromURL(url, "_blank", 0, (PropertyValue("Hidden", 0, True, 0),))
    wanted = step.get("sheets", document.Sheets.ElementNames)
    opened = {name: _cells(document.Sheets.getByName(name), False) for name in wanted} if step.get("as_opened") else {}
    if any(step.get(what) for what in ("typed", "copy_column", "enforced", "judge")):
        document.enableAutomaticCalculation(False)  # once for all that is typed, below
    first = document.Sheets.getByIndex(0)
    for address, text in step.get("cells", {}).items():
        first.getCellRangeByName(address).setFormula(text)
    for address, text in step.get("arrays", {}).items():
        first.getCellRangeByName(address).setArrayFormula(text)
    if step.get("copy_column"):
        for name in document.Sheets.ElementNames:
            document.Sheets.getByName(name).unprotect("")  # as somebody does by a menu: there is no password
    for name, cells in step.get("typed", {}).items():  # on sheets as they are, protected
        for address, value in cells.items():
            _type(document.Sheets.getByName(name).getCellRangeByName(address), value)
    refused = {name: _enforced(document, name, cells) for name, cells in step.get("enforced", {}).items()}
    for other in set(document.Sheets.ElementNames) - set(step.get("judge", {}).get("keep", document.Sheets.ElementNames)):
        document.Sheets.removeByName(other)  # what no rule reads would be worked out with every trial
    trials = [_judged(document, trial["sheet"], trial["cells"]) for trial in step.get("judge", {}).get("trials", ())]
    # The room first, on every sheet: a column that is put in later would push what a copy refers to.
    for column in step.get("copy_column", ()):
        document.Sheets.getByName(column["sheet"]).Columns.insertByIndex(column["at"], 1)
    for column in step.get("copy_column", ()):
        _copy_column(document.Sheets.getByName(column["sheet"]), column["at"])
    for column in step.get("copy_column", ()):
        for row, value in column["typed"].items():
            _type(document.Sheets.getByName(column["sheet"]).getCellByPosition(column["at"], int(row) - 1), value)
    edits = [_edited(document, edit) for edit in step.get("edits", ())]
    seconds = []
    for _ in range(step.get("times", 1)):
        start = time.perf_counter()
        document.calculateAll()
        seconds.append(time.perf_counter() - start)
    document.enableAutomaticCalculation(True)
    for path, kind in step.get("save", {}).items():
        document.storeToURL(Path(path).as_uri(), (PropertyValue("FilterName", 0, kind, 0),))
    sheets = {name: _cells(document.Sheets.getByName(name), step.get("formulas", False)) for name in wanted}
    shown = {name: _shown(document.Sheets.getByName(name), cells) for name, cells in step.get("shown", {}).items()}
    names = [n for n in document.NamedRanges.ElementNames if n.startswith("HYDRO")]
    document.close(True)
    told = {"refused": refused, "trials": trials, "edits": edits}
    return {"opened": opened, "sheets": sheets, "seconds": seconds, "names": names, "shown": shown, **told}


def _edited(document: Any, edit: dict[str, Any]) -> dict[str, float]:
    """A number typed into one cell, and how long it takes until another cell shows what follows from it."""
    cell = document.Sheets.getByName(edit["sheet"]).getCellRangeByName(edit["cell"])
    result = document.Sheets.getByName(edit["result"][0]).getCellRangeByName(edit["result"][1])
    before, start = result.getValue(), time.perf_counter()
    cell.setValue(edit["value"])
    after = result.getValue()
    return {"seconds": time.perf_counter() - start, "before": before, "after": after}


def _enforced(document: Any, name: str, cells: dict[str, str | float]) -> list[str]:
    """Type into the cells of a sheet as a person does: what a cell's rule refuses is not taken.  Those that were refused."""
    sheet = document.Sheets.getByName(name)
    taken = _judged(document, name, cells)
    refused = [address for address in cells if not taken[address]]
    for address in refused:
        sheet.getCellRangeByName(address).setString("")
    return refused


def _judged(document: Any, name: str, cells: dict[str, str | float]) -> dict[str, bool]:
    """Type into cells, whatever their rules; True for each whose rule, in a free column, takes what stands there.

    A program enforces a rule only where a person types, so the rule is asked instead, when all is typed.
    """
    sheet = document.Sheets.getByName(name)
    columns: dict[str, dict[int, str]] = {}
    for address in cells:
        letters = address.rstrip("0123456789")
        columns.setdefault(letters, {})[int(address[len(letters) :])] = address
    asked = []
    for letters, rows in columns.items():
        for first, last in _stretches(sorted(rows)):
            values = tuple((cells[rows[row]],) for row in range(first, last + 1))
            sheet.getCellRangeByName(f"{letters}{first}:{letters}{last}").setDataArray(values)
    for place, rows in enumerate(columns.values(), _FREE):
        first, last = min(rows), max(rows)
        formulas = {row: _rule(sheet.getCellRangeByName(address).Validation, address) for row, address in rows.items()}
        beside = sheet.getCellRangeByPosition(place, first - 1, place, last - 1)
        beside.setFormulaArray(tuple((formulas.get(row, ""),) for row in range(first, last + 1)))
        asked.append((beside, rows))
    document.calculateAll()
    taken = {}
    for beside, rows in asked:
        found, first = beside.getDataArray(), min(rows)
        taken |= {address: found[row - first][0] == 1.0 for row, address in rows.items()}
        beside.clearContents(_ANYTHING)
    return taken


def _stretches(rows: list[int]) -> list[tuple[int, int]]:
    """The first and the last of each stretch of rows without a gap."""
    found: list[tuple[int, int]] = []
    for row in rows:
        if found and row == found[-1][1] + 1:
            found[-1] = found[-1][0], row
        else:
            found.append((row, row))
    return found


def _rule(validation: Any, address: str) -> str:
    """A cell's rule as a formula about that cell: 1 if it takes what stands there."""
    kind, first, second = validation.Type.value, validation.getFormula1(), validation.getFormula2()
    place = validation.getSourcePosition()  # the first of the cells for which the rule stands: the formula is seen from there
    own = f"{_letters(place.Column)}{place.Row + 1}"
    first = re.sub(rf"(?<![$.\w]){own}\b", address, first)
    tests = {
        "ANY": "TRUE",
        "DECIMAL": f"IF(ISNUMBER({address});AND({address}>={first};{address}<={second});FALSE)",
        "CUSTOM": first,
        "LIST": f"SUMPRODUCT(--({first}={address}))>0",
    }
    blank = f'{address}=""' if validation.IgnoreBlankCells else "FALSE"
    return f"=IF({blank};1;IF({tests[kind]};1;0))"


def _letters(column: int) -> str:
    """Of a column counted from 0."""
    return (_letters(column // 26 - 1) if column > 25 else "") + chr(ord("A") + column % 26)


def _shown(sheet: Any, addresses: list[str]) -> dict[str, str]:
    return {a: sheet.getCellRangeByName(a).String for a in addresses}


def _type(cell: Any, value: str | float) -> None:
    if isinstance(value, str):
        cell.setString(value)
    else:
        cell.setValue(value)


def _copy_column(sheet: Any, at: int) -> None:
    """Fill a column with a copy of the one to its left; columns are counted from 0."""
    cursor = sheet.createCursor()
    cursor.gotoEndOfUsedArea(False)
    source = sheet.getCellRangeByPosition(at - 1, 0, at - 1, cursor.RangeAddress.EndRow)
    sheet.copyRange(sheet.getCellByPosition(at, 0).getCellAddress(), source.RangeAddress)


def _cells(sheet: Any, formulas: bool) -> dict[str, Any]:
    """The rows of a sheet from A1 on, and the code of every cell that shows an error."""
    cursor = sheet.createCursor()
    cursor.gotoEndOfUsedArea(False)
    last = cursor.RangeAddress
    area = sheet.getCellRangeByPosition(0, 0, last.EndColumn, last.EndRow)
    codes = {}
    for block in area.queryFormulaCells(_ERRORS).RangeAddresses:
        for row in range(block.StartRow, block.EndRow + 1):
            for column in range(block.StartColumn, block.EndColumn + 1):
                codes[f"{row},{column}"] = sheet.getCellByPosition(column, row).getError()
    return {"rows": area.getDataArray(), "errors": codes, **({"formulas": area.getFormulaArray()} if formulas else {})}


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], Path(sys.argv[3]))
