"""Job, Runs and Loads: the inputs as grids, a run, a load or a fuel a column, and what they still need.

An empty cell takes the default in grey.  A value that is not possible is marked and counted, and counts as blank on every other sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from hydrocalc.measures import Measure
from workbook_builder.formula.printing import COLUMN, column_name
from workbook_builder.model.input_line import InputLine
from workbook_builder.model.input_references import input_name
from workbook_builder.model.inputs import Inputs
from workbook_builder.model.needs import AT_THE_FUELS, COMPLETE, NeededRow
from workbook_builder.model.rows import FIRST_COLUMN, HEADING_ROW, column_letters
from workbook_builder.model.typed_sheets import (
    DEFAULT,
    FAMILIES,
    ITEM,
    JOB,
    LOADS,
    MORE,
    RUNS,
    SOLD_IN,
    STATUS_ROW,
    TYPED_SHEETS,
    UNIT,
    USED,
    TypedRow,
    last_row,
    name_row,
    row_of,
    typed_rows,
)
from workbook_builder.model.typed_value import limits_in, used_text
from workbook_builder.output.page_layout import page
from workbook_builder.output.writer import GREY, PALE, RUST, SLATE, STRAW, Writer, input_format
from workbook_builder.table import vocabulary
from workbook_builder.table.vocabulary import BOILER, NAME, Item

from .typed_rules import LARGEST, LEAST_ABOVE_NOTHING, goes_on_here, kinds_here, starts_row, validation, word_test

TITLES = {
    JOB: "Job: what is asked of the whole",
    RUNS: "Runs: one column for each line in the ground",
    LOADS: "Loads: a column for each, in the order in which the water meets them",
}
HINT = "Type in the framed cells; an empty one takes the default in grey."
WIDTHS = {ITEM: 34, UNIT: 12, DEFAULT: 16}
LINE_POINTS = 13
TYPED_WIDTH, JOB_WIDTH, GAP, LIMIT_WIDTH, HINT_WIDTH, SOURCE_WIDTH = 15, 24, 1.5, 10, 70, 60
MISSING = "inputs_missing"
CHECKS = "What is still needed"
RANGES, FREE_RANGES = "Uncertain inputs", 6
RANGE_HINT = (
    "Part and item (run house, length), the lowest and the highest that it may be, in the item's unit; the ranges on Summary are "
    "worked out when the book is filled anew."
)
NEEDED = "#FFDF80"  # a darker straw: this cell is waited for


def write_typed(writer: Writer, inputs: Inputs, name: str) -> None:
    """One of the three sheets."""
    _Page(writer, inputs, name).write()


@dataclass
class _Page:
    writer: Writer
    inputs: Inputs
    name: str
    out: Any = None

    def write(self) -> None:
        # What is folded unfolds on an unlocked sheet alone.
        self.out = self.writer.add_sheet(self.name, STRAW, locked=False)
        self.out.outline_settings(symbols_below=False)
        self._columns()
        self._head()
        for row in typed_rows(self.name):
            if row.item is not None:
                self._item(row, row.item)
            elif row.heading == SOLD_IN:
                self._sold_in(row)
            else:
                self._heading(row)
        self._checks()
        self._marks()
        if self.name == JOB:
            self._ranges(self.inputs.ranges_row)
        self.out.freeze_panes(STATUS_ROW, FIRST_COLUMN)
        self.out.print_area(0, 0, last_row(self.name) - 1, self.spacer - 1)
        self.out.repeat_columns(0, FIRST_COLUMN - 1)
        page(self.writer, self.out, repeat=HEADING_ROW)

    # -- the grid

    @property
    def family(self) -> str:
        """The family whose parts are the columns; on Job that of the fuels."""
        return {JOB: "fuel today", RUNS: "run", LOADS: "load"}[self.name]

    @property
    def count(self) -> int:
        return len(self.inputs.names[self.family])

    @property
    def spacer(self) -> int:
        """The empty column behind the typed ones."""
        return FIRST_COLUMN + (max(self.count, 2) if self.name == JOB else self.count)

    def _columns(self) -> None:
        for column, width in WIDTHS.items():
            self.out.set_column(column, column, width)
        self.out.set_column(FIRST_COLUMN, self.spacer - 1, JOB_WIDTH if self.name == JOB else TYPED_WIDTH)
        self.out.set_column(self.spacer, self.spacer, GAP)
        self.out.set_column(self.spacer + 1, self.spacer + 2, LIMIT_WIDTH)
        self.out.set_column(self.spacer + 3, self.spacer + 3, HINT_WIDTH)
        self.out.set_column(self.spacer + 4, self.spacer + 4, SOURCE_WIDTH)

    def _head(self) -> None:
        out, writer, top = self.out, self.writer, HEADING_ROW - 1
        out.set_row(0, 22)
        writer.title(out, TITLES[self.name])
        out.write_string(1, 0, writer.job_title, writer.format(font_color=GREY))
        out.write_string(1, DEFAULT, HINT, writer.format(italic=True, font_color=GREY))
        head = {"bold": True, "font_color": "#FFFFFF", "bg_color": SLATE, "text_wrap": True}
        words = [(ITEM, "Item"), (UNIT, "Unit"), (DEFAULT, "Default")]
        words += [(self.spacer + n, text) for n, text in enumerate(("Lowest", "Highest", "What it is", "Where the default comes from"), 1)]
        if self.name == JOB:
            words += [(FIRST_COLUMN, "Value"), (USED, "In use")]
        for column, text in words:
            out.write_string(top, column, text, writer.format(**head))
        out.write_blank(top, self.spacer, None, writer.format(bg_color=PALE))
        if self.name == JOB:
            return
        known = vocabulary.item(self.family, NAME)
        for index, line in enumerate(self._lines(self.family, NAME)):
            style = writer.format(bold=True, bg_color=STRAW, border=1, border_color=SLATE, align="right", text_wrap=True, num_format="@")
            out.write_string(top, FIRST_COLUMN + index, str(line.typed), style)
        self._validate(HEADING_ROW, known, self.count, f"name of the {self.family}")

    def _lines(self, family: str, item: str) -> list[InputLine]:
        return [self.inputs.by_key[f"{part}|{item}"] for part in self.inputs.needs.columns(family)]

    def _heading(self, row: TypedRow) -> None:
        more = row.heading == MORE
        style = {"italic": True, "font_color": GREY} if more else {"bold": True, "font_color": SLATE, "bottom": 1, "bottom_color": SLATE}
        if not more:
            for column in range(self.spacer + 5):
                self.out.write_blank(row.number - 1, column, None, self.writer.format(bottom=1, bottom_color=SLATE))
        self.out.write_string(row.number - 1, ITEM, row.heading, self.writer.format(**style))
        if more:
            self.out.set_row(row.number - 1, None, None, {"collapsed": True})

    def _item(self, row: TypedRow, item: Item) -> None:
        writer, out, at = self.writer, self.out, row.number - 1
        lines = self._lines(row.family, item.name)
        quiet = writer.format(font_color=GREY)
        out.write_string(at, ITEM, item.name, writer.format(bold=item.required))
        out.write_string(at, UNIT, self.inputs.symbol(item.measure), quiet)
        default = self.inputs.default(item)
        if isinstance(default, float):
            out.write_number(at, DEFAULT, default, writer.format(font_color=GREY, align="right", num_format=input_format(default)))
        elif default is not None:
            out.write_string(at, DEFAULT, default, writer.format(font_color=GREY, align="right"))
        for line in lines:
            self._typed(line)
        if lines:
            self._validate(row.number, item, len(lines), item.name)
        if row.family in vocabulary.SINGLE:
            self._used(lines[0])
        out.write_blank(at, self.spacer, None, writer.format(bg_color=PALE))
        if item.measure is not None:
            low, high = limits_in(item.limits, item.measure, self.inputs.system)
            least = LEAST_ABOVE_NOTHING if item.limits.low_open else -LARGEST if low is None else low
            most = LARGEST if high is None else high
            self._limit(at, self.spacer + 1, least, '"above 0"' if item.limits.low_open else None)
            self._limit(at, self.spacer + 2, most, None)
        out.write_string(at, self.spacer + 3, item.hint + self._only_here(item), quiet)
        out.write_string(at, self.spacer + 4, item.source or item.otherwise, quiet)
        longest = max((len(line.typed) for line in lines if isinstance(line.typed, str)), default=0)
        tall = LINE_POINTS * -(-longest // (JOB_WIDTH if self.name == JOB else TYPED_WIDTH)) if longest else 0
        if not row.folded and tall > LINE_POINTS:
            out.set_row(at, tall)
        if row.folded:
            out.set_row(at, None, None, {"level": 1, "hidden": True})

    def _only_here(self, item: Item) -> str:
        if item.name == "starts after" and not goes_on_here(self.inputs):
            return "; this book has no rows for that, and `fill` makes one with them from a table that has such a run"
        kinds = kinds_here(self.inputs) if item.type == "kind" else ()
        return f"; this book has rows for {', '.join(kinds)}, and `fill` makes one with those of another" if kinds else ""

    def _limit(self, row: int, column: int, value: float, shown: str | None) -> None:
        num_format = shown or ('"any"' if abs(value) == LARGEST else input_format(value))
        self.out.write_number(row, column, value, self.writer.format(font_color=GREY, align="right", num_format=num_format))

    def _typed(self, line: InputLine) -> None:
        box = {"bg_color": STRAW, "border": 1, "border_color": GREY, "align": "right"}
        at = (line.row - 1, line.column)
        if isinstance(line.typed, float):
            self.out.write_number(*at, line.typed, self.writer.format(**box, num_format=input_format(line.typed)))
        elif line.typed is None:
            self.out.write_blank(*at, None, self.writer.format(**box, **_as_text(line.item)))
        else:
            self.out.write_string(*at, line.typed, self.writer.format(**box, text_wrap=True, **_as_text(line.item)))
        if line.note:
            self.out.write_comment(*at, line.note, {"author": "", "x_scale": 2})

    def _used(self, line: InputLine) -> None:
        default = '""' if line.default is None else line.default_cell
        text = used_text(line.item, line.cell, default, self.inputs.system)
        used = "" if line.used is None else line.used
        style = self.writer.format(align="right", num_format=input_format(line.used), text_wrap=True)
        self.writer.formula(self.out, line.row - 1, USED, f"={text}", used, style)
        self.writer.workbook.define_name(input_name(line.part, line.item.name), f"={JOB}!${column_letters(USED)}${line.row}")

    def _sold_in(self, row: TypedRow) -> None:
        from hydrocalc.tables import table

        fuels, chosen = table("fuels"), row_of("fuel today", "fuel")
        unit, fuel = (column_name("fuels", column) for column in ("unit", "fuel"))
        self.out.write_string(row.number - 1, ITEM, SOLD_IN, self.writer.format(font_color=GREY))
        for index, line in enumerate(self._lines("fuel today", "fuel")):
            letters = column_letters(FIRST_COLUMN + index)
            text = f'=IFERROR(INDEX({unit},MATCH({letters}{chosen},{fuel},0)),"")'
            value = fuels.texts("unit")[fuels.row(str(line.typed))] if line.typed is not None else ""
            style = self.writer.format(font_color=GREY, align="right")
            self.writer.formula(self.out, row.number - 1, FIRST_COLUMN + index, text, value, style)

    def _validate(self, row: int, item: Item, count: int, title: str) -> None:
        letters = column_letters(FIRST_COLUMN)
        rule = validation(item, f"{letters}{row}", self.inputs, title)
        self.out.data_validation(row - 1, FIRST_COLUMN, row - 1, FIRST_COLUMN + count - 1, rule)

    # -- what is still needed

    def _checks(self) -> None:
        """The rows that say what is needed, folded at the foot, and what is gathered from them."""
        out, writer, rows = self.out, self.writer, self.inputs.needs.rows[self.name]
        top = last_row(self.name) + 1
        out.write_string(top - 1, ITEM, CHECKS, writer.format(bold=True, font_color=SLATE))
        out.set_row(top - 1, None, None, {"collapsed": True})
        quiet = writer.format(font_color=GREY, font_size=8)
        for needed in rows:
            out.write_string(needed.number - 1, ITEM, needed.item, quiet)
            out.write_string(needed.number - 1, self.spacer + 3, needed.remedy, quiet)
            for index, text in enumerate(needed.texts):
                formula = "=" + needed.formula.replace(COLUMN, column_letters(FIRST_COLUMN + index))
                writer.formula(out, needed.number - 1, FIRST_COLUMN + index, formula, text, quiet)
        count, which = rows[-1].number + 1, rows[-1].number + 2
        for number, label in ((count, "values that are not possible"), (which, "the last of them")):
            out.write_string(number - 1, ITEM, label, quiet)
        for index in range(self.spacer - FIRST_COLUMN):
            if self.name == JOB and FIRST_COLUMN + index == USED and self.count < 2:
                continue  # nothing is typed there
            letters = column_letters(FIRST_COLUMN + index)
            first, last = STATUS_ROW + 1, last_row(self.name)
            no_words = self._no_words(letters)
            counted = "+".join((f"SUMPRODUCT({self._impossible(letters)})", *no_words.values()))
            writer.formula(out, count - 1, FIRST_COLUMN + index, f"={counted}", 0.0, quiet)
            place = f"SUMPRODUCT(MAX({self._impossible(letters)}*(ROW($A${first}:$A${last})-{first - 1})))"
            if no_words:
                place = f"MAX({','.join((place, *(f'{row - first + 1}*{test}' for row, test in no_words.items())))})"
            formula = f'=IF({letters}{count}>0,INDEX($A${first}:$A${last},{place}),"")'
            writer.formula(out, which - 1, FIRST_COLUMN + index, formula, "", quiet)
        end = which
        if self.name == RUNS:
            end = starts_row(self.inputs)
            out.write_string(end - 1, ITEM, "where a run may start", quiet)
            out.write_string(end - 1, DEFAULT, BOILER, quiet)
            for index, line in enumerate(self._lines("run", NAME)):
                writer.formula(out, end - 1, FIRST_COLUMN + index, f"={line.cell}", line.typed, quiet)
        for number in range(top + 1, end + 1):
            out.set_row(number - 1, None, None, {"level": 1, "hidden": True})
        self._status(rows, count, which)
        self._gathered(rows, count)

    def _impossible(self, letters: str) -> str:
        """1 for each cell of a column with a number beyond its limits, or with something else where a number belongs."""
        first, last = STATUS_ROW + 1, last_row(self.name)
        cells = f"{letters}${first}:{letters}${last}"
        low, high = (f"${c}${first}:${c}${last}" for c in map(column_letters, (self.spacer + 1, self.spacer + 2)))
        used = f'*({letters}${first}:{letters}${last}<>"")*({low}<>"")'
        if self.name == JOB and letters == column_letters(USED):  # there, but for the fuels, stands what is used
            rows = [row.number for row in typed_rows(JOB) if row.family == "fuel today"]
            used += f"*(ROW({cells})>={rows[0]})*(ROW({cells})<={rows[-1]})"
        return f"(({cells}<{low})+({cells}>{high})>0){used}"

    def _no_words(self, letters: str) -> dict[int, str]:
        """1 for each cell of a column that holds something else where a date or a word of a list belongs, by its row."""
        rows = [row for row in typed_rows(self.name) if row.item is not None]
        if letters != column_letters(FIRST_COLUMN):
            rows = [row for row in rows if row.family not in vocabulary.SINGLE]
        if self.name == JOB and not self.count:
            rows = [row for row in rows if row.family in vocabulary.SINGLE]
        tests = {row.number: word_test(row.item, f"{letters}{row.number}", self.inputs) for row in rows if row.item is not None}
        return {number: test for number, test in tests.items() if test}

    def _status(self, rows: Sequence[NeededRow], count: int, which: int) -> None:
        """What is needed and what is not possible, by name: at the head of each run and load, above each fuel."""
        families = ("fuel today",) if self.name == JOB else FAMILIES[self.name]
        row = STATUS_ROW
        if self.name == JOB:
            row = next(r.number for r in typed_rows(JOB) if r.family == "fuel today")  # the heading of its block
        else:
            self.out.write_string(row - 1, ITEM, "still needed", self.writer.format(font_color=RUST))
        of_family = [r for r in rows if r.family in families]
        style = self.writer.format(font_color=RUST, font_size=8, text_wrap=True, valign="top")
        for index in range(self.count):
            letters = column_letters(FIRST_COLUMN + index)
            parts = [f"{letters}{r.number}" for r in of_family]
            if self.name != JOB:
                parts.append(f'IF({letters}{count}>0,"; not possible: "&{letters}{which},"")')
            text = "".join(r.texts[index] for r in of_family)[2:]
            self.writer.formula(self.out, row - 1, FIRST_COLUMN + index, f"=MID({'&'.join(parts)},3,250)", text, style)
        if self.name != JOB:
            self.out.set_row(row - 1, 34)

    def _gathered(self, rows: Sequence[NeededRow], count: int) -> None:
        """How much is missing on the sheet, in its third row."""
        first, last = column_letters(FIRST_COLUMN), column_letters(self.spacer)
        needed = f'SUMPRODUCT(--(${first}${rows[0].number}:${last}${rows[-1].number}<>""))'
        impossible = f"SUM(${first}${count}:${last}${count})"
        single = [row for row in rows if row.family in vocabulary.SINGLE]
        names = "&".join(f"${first}${r.number}" for r in single)
        which = f'", named in row {STATUS_ROW}"'
        if self.name == JOB:
            which = f'IF({names}="","{AT_THE_FUELS}",": "&MID({names},3,300))'
        text = f'IF({needed}>0,{needed}&" needed"&{which},"")'
        columns = (column_letters(FIRST_COLUMN + index) for index in range(self.spacer - FIRST_COLUMN))
        places = "&".join(f'IF({letters}{count + 1}="",""," "&{letters}{count + 1})' for letters in columns)
        named = f'&":"&{places}' if self.name == JOB else f'&", named in row {STATUS_ROW}"'
        bad = f'IF({impossible}>0," "&{impossible}&" not possible"{named},"")'
        style = self.writer.format(bold=True, font_color=RUST)
        formula = f'=IF({needed}+{impossible}=0,"{COMPLETE}",TRIM({text}&{bad}))'
        self.writer.formula(self.out, 2, 0, formula, self.inputs.needs.told(self.name), style)
        self.writer.workbook.define_name(f"needed_{self.name.lower()}", f"={self.name}!$C${count}")
        quiet, missing = self.writer.format(font_color=GREY, font_size=8), float(self.inputs.needs.number_missing(self.name))
        self.writer.formula(self.out, count - 1, DEFAULT, f"={needed}+{impossible}", missing, quiet)

    def _marks(self) -> None:
        """What is waited for, what is not possible and what is not for this kind of load, told by colour and said in words above."""
        out, writer, first = self.out, self.writer, FIRST_COLUMN
        letters = column_letters(first)
        last = self.spacer - 1
        low, high = column_letters(self.spacer + 1), column_letters(self.spacer + 2)
        rows = [row for row in typed_rows(self.name) if row.item is not None]
        for row in rows:
            assert row.item is not None
            if row.item.kinds:
                kind = f"{letters}${row_of('load', 'kind')}"
                other = ",".join(f'{kind}<>"{k}"' for k in row.item.kinds)
                rule = {"type": "formula", "criteria": f'=AND({kind}<>"",{other})', "stop_if_true": True}
                out.conditional_format(row.number - 1, first, row.number - 1, last, rule | {"format": writer.mark(PALE, GREY)})
        for needed in self.inputs.needs.rows[self.name]:
            row_number = name_row(needed.family) if needed.item == NAME else row_of(needed.family, needed.item)
            rule = {"type": "formula", "criteria": f'={letters}{needed.number}<>""', "format": writer.mark(NEEDED, RUST)}
            columns = len(needed.texts)
            out.conditional_format(row_number - 1, first, row_number - 1, first + columns - 1, rule)
        top, bottom = rows[0].number, rows[-1].number
        test = f'=AND({letters}{top}<>"",${low}{top}<>"",OR({letters}{top}<${low}{top},{letters}{top}>${high}{top}))'
        rule = {"type": "formula", "criteria": test, "format": writer.mark(None, "#B00020", bold=True)}
        out.conditional_format(top - 1, first, bottom - 1, last, rule)
        for number, test in self._no_words(letters).items():
            only = next(row for row in rows if row.number == number).family in vocabulary.SINGLE
            if "!" in test:
                continue  # a mark may not look at another sheet in every program; it is counted, and named at the head
            word = {"type": "formula", "criteria": f"={test}=1", "format": rule["format"]}
            out.conditional_format(number - 1, first, number - 1, first if only else last, word)

    # -- ranges

    def _ranges(self, top: int) -> None:
        out, writer = self.out, self.writer
        out.write_string(top - 1, ITEM, RANGES, writer.format(bold=True, font_color=SLATE, bottom=1, bottom_color=SLATE))
        out.write_string(top - 1, self.spacer + 3, RANGE_HINT, writer.format(font_color=GREY))
        for column, text in ((FIRST_COLUMN, "low"), (USED, "high")):
            out.write_string(top - 1, column, text, writer.format(font_color=GREY, align="right"))
        box = {"bg_color": STRAW, "border": 1, "border_color": GREY}
        ranged = [line for line in self.inputs.lines if line.low is not None or line.high is not None]
        for index in range(len(ranged) + FREE_RANGES):
            line = ranged[index] if index < len(ranged) else None
            label = f"{line.part}, {line.item.name}" if line else ""
            out.write_string(top + index, ITEM, label, writer.format(**box, num_format="@"))
            for column, end in ((FIRST_COLUMN, line.low if line else None), (USED, line.high if line else None)):
                style = writer.format(**box, align="right", num_format=input_format(end))
                out.write_blank(top + index, column, None, style) if end is None else out.write_number(top + index, column, end, style)


def missing_formula() -> str:
    """How many inputs are missing, by sheet."""
    names = [f"needed_{name.lower()}" for name in TYPED_SHEETS]
    total = "+".join(names)
    each = "&".join(f'IF({name}>0,", {sheet} "&{name},"")' for name, sheet in zip(names, TYPED_SHEETS, strict=True))
    many = f'IF({total}=1," input is"," inputs are")'
    return f'IF({total}=0,"{COMPLETE}",{total}&{many}&" missing or not possible: "&MID({each},3,99))'


def missing_text(inputs: Inputs) -> str:
    """The same as the book is written."""
    counts = {sheet: inputs.needs.number_missing(sheet) for sheet in TYPED_SHEETS}
    total = sum(counts.values())
    if not total:
        return COMPLETE
    each = ", ".join(f"{sheet} {count}" for sheet, count in counts.items() if count)
    return f"{total} {'input is' if total == 1 else 'inputs are'} missing or not possible: {each}"


def _as_text(item: Item) -> dict[str, str]:
    """A size such as 3/4 or 1 stays the word that it is, and is not taken for a day or a number; a date becomes a date."""
    if item.type == "date":
        return {"num_format": "yyyy-mm-dd"}
    return {} if isinstance(item.measure, Measure) else {"num_format": "@"}
