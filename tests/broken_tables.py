"""Input tables with one fault each (some with several), and what must be said of them.

Used by the tests of the reader and of the command line: each gives exit status 2, a message and no file.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

# A sound table, as small as one can be.  Row 1 holds the headings, so the rows below are numbered from 2.
SOUND = """part,item,value,unit,note
job,title,Plain cottage,,
site,outdoor design temperature,4,°F,
site,annual degree days,6100,°F day,
boiler,rated output,98000,BTU/h,
boiler,water content,150,gal,
wood,species,white oak,,
run yard,length,88,ft,
run yard,tube family,PEX SDR-9,,
run yard,jacket outer diameter,5,in,
load cottage,run,yard,,
load cottage,kind,baseboard,,
load cottage,design loss,39000,BTU/h,
load cottage,rated output,61000,BTU/h,
"""


@dataclass(frozen=True)
class Broken:
    """A table as bytes, and for each problem the row (None: of the whole file), the item and words of the message."""

    name: str
    data: bytes
    problems: tuple[tuple[int | None, str, str], ...]
    ending: str = ".csv"

    def write(self, folder: Path) -> Path:
        path = folder / f"{self.name}{self.ending}"
        path.write_bytes(self.data)
        return path


def _with(name: str, old: str, new: str, *problems: tuple[int | None, str, str]) -> Broken:
    assert SOUND.count(old) == 1, old
    return Broken(name, SOUND.replace(old, new).encode(), problems)


def _and(name: str, rows: str, *problems: tuple[int | None, str, str]) -> Broken:
    """The sound table with rows after it; the first of them is row 15."""
    return Broken(name, (SOUND + rows).encode(), problems)


_MONTHS = "".join(f"site,{m} mean temperature,{t},°F,\n" for m, t in (("january", 20), ("february", 25)))


def _uncertain(cells: str) -> bytes:
    """The sound table with columns for low and high, and these cells in them in the row of the run's length."""
    text = SOUND.replace("unit,note", "unit,note,low,high")
    return text.replace("88,ft,", f"88,ft,,{cells}").encode()


BROKEN: tuple[Broken, ...] = (
    # The file
    Broken("empty", b"", ((None, "", "empty"),)),
    Broken("blank_lines", b"\n\n  \n", ((None, "", "empty"),)),
    Broken(
        "headings_only",
        b"part,item,value,unit,note\n",
        ((None, "site, outdoor design temperature", "missing"), (None, "run NAME", "no run")),
    ),
    Broken("utf_16_unmarked", SOUND.encode("utf-16-le"), ((None, "", 'Save As, "CSV UTF-8 (comma delimited)"'),)),
    Broken("utf_16_cut", SOUND.encode("utf-16")[:-1], ((None, "", 'Save As, "CSV UTF-8 (comma delimited)"'),)),
    Broken("too_large", b"x" * 20_000_001, ((None, "", "larger than 20 MB"),)),
    Broken("two_kinds_of_letters", SOUND.encode().replace("6100,°F".encode(), b"6100,\xb0F"), ((4, "", "put together of two"),)),
    Broken("another_code_page", SOUND.encode("cp1252").replace(b"4,\xb0F", b"4,\x81F"), ((3, "", "neither UTF-8 nor code page 1252"),)),
    Broken("nul_bytes", SOUND.replace("cottage", "cot\0tage", 1).encode(), ((2, "", "NUL"),)),
    Broken("stated_delimiter", b"sep=_\n" + SOUND.replace(",", "_").encode(), ((1, "", "parts the columns by '_'"),)),
    Broken("open_quotation", SOUND.replace("Plain", '"Plain').encode(), ((2, "", "quotation mark"),)),
    Broken("renamed_workbook", b"PK\x03\x04rest", ((None, "", "workbook"),)),
    Broken("unknown_ending", SOUND.encode(), ((None, "", "ending"),), ".ods"),
    # The headings
    _with("missing_column", "part,item,value,unit,note", "part,item,value,note,remark", (1, "column unit", "missing")),
    _with("column_twice", "part,item,value,unit,note", "part,item,value,unit,note,unit", (1, "column unit", "twice")),
    # Words
    _and("unknown_part", "sight,elevation,300,ft,\n", (15, "sight, elevation", "did you mean site?")),
    Broken(
        "no_part",
        SOUND.replace("job,title", ",title").encode(),
        ((2, "(no part), title", "the part is empty"), (None, "job, title", "missing")),
    ),
    _and("no_part_below_a_remark", "# run yard,depth,3,ft,\n,elbows,6,,\n", (16, "(no part), elbows", "the part is empty")),
    _and("part_without_name", "run,length,30,ft,\n", (15, "run, length", "which run?")),
    _and("unknown_item", "run yard,lenght of trench,30,ft,\n", (15, "run yard, lenght of trench", "not an item")),
    _and("misspelt_item", "run yard,dept,3,ft,\n", (15, "run yard, dept", "did you mean 'depth'?")),
    _with("unknown_kind", "kind,baseboard", "kind,basebord", (12, "load cottage, kind", "did you mean baseboard?")),
    _with("unknown_tube", "PEX SDR-9", "PEX SDR-90", (9, "run yard, tube family", "did you mean PEX SDR-9?")),
    _and("unknown_month", "boiler,first month lit,Jäner,,\n", (15, "boiler, first month lit", "January")),
    _and("no_such_date", "job,date,12/24/2024,,\n", (15, "job, date", "year-month-day")),
    _and("not_for_this_kind", "load cottage,use a day,40,gal,\n", (15, "load cottage, use a day", "hot water")),
    _and("wildcard_in_name", "run y*,length,30,ft,\n", (15, "run y*, length", "cannot be a name")),
    _and("reserved_name", "run Boiler,length,30,ft,\n", (15, "run Boiler, length", "cannot be a name")),
    _and("formula_as_part", "=A1,length,30,ft,\n", (15, "=A1, length", "formula")),
    # Units
    _with("unknown_unit", "88,ft", "88,fathomes", (8, "run yard, length", "'fathomes' is not known")),
    _with("wrong_dimension", "88,ft", "88,gpm", (8, "run yard, length", "measures volume flow, not length")),
    _with("wrong_dimension_by_pint", "88,ft", "88,acre", (8, "run yard, length", "something else than length")),
    _with("missing_unit", "88,ft", "88,", (8, "run yard, length", "the unit is missing")),
    _with("difference_for_temperature", "4,°F", "4,delta_degF", (3, "site, outdoor design temperature", "is a difference")),
    _and("unit_of_a_word", "wood,condition,green,%,\n", (15, "wood, condition", "takes no unit")),
    _and("other_currency", "money,installed cost,9000,€,\n", (15, "money, installed cost", "currency")),
    _and(
        "fuel_by_another_measure",
        "fuel today oil,fuel,heating oil,,\nfuel today oil,price,3,$/kWh,\n",
        (16, "fuel today oil, price", "sold by the gal"),
    ),
    _with("tower_of_powers", "88,ft", "88,ft**9**9**9**9", (8, "run yard, length", "is not known")),
    # Numbers
    _with("text_for_number", "88,ft", "long,ft", (8, "run yard, length", "a number is wanted")),
    _with("nan", "88,ft", "NaN,ft", (8, "run yard, length", "not a finite number")),
    _with("infinite", "88,ft", "inf,ft", (8, "run yard, length", "not a finite number")),
    _with("overflowing", "88,ft", "1e999,ft", (8, "run yard, length", "1e999 is larger than any number that a spreadsheet holds")),
    _with("negative_length", "88,ft", "-88,ft", (8, "run yard, length", "allowed: 0 ft to 5000 ft")),
    *(
        _with(f"ambiguous_{n}", "88,ft", f'"{text}",ft', (8, "run yard, length", "write a decimal with a point, and thousands without"))
        for n, text in enumerate(("1,088", "1'08,5", "1.08,5", "88,", "1,08,5", "01,088.5"))
    ),
    _with("decimal_comma_unquoted", "88,ft,", "88,5,ft", (8, "run yard, length", "decimal comma")),
    _and("decimal_comma_without_unit", "load cottage,exponent,1,3,,\n", (15, "load cottage, exponent", "decimal comma")),
    _and("decimal_comma_as_one_and_one", "load cottage,exponent,1,1,,\n", (15, "load cottage, exponent", "decimal comma")),
    *(
        Broken(f"decimal_comma_in_{name}", _uncertain(cells), ((8, "run yard, length", "8 cells where the headings are 7"),))
        for name, cells in (("low", "80,5,95"), ("low_alone", "8,9,"), ("high", "80,95,5"), ("high_alone", ",95,5"))
    ),
    Broken("range_above_value", _uncertain("89,95"), ((8, "run yard, length", "low, 89, is above the value, 88"),)),
    Broken("range_below_value", _uncertain(",87"), ((8, "run yard, length", "the value, 88, is above high, 87"),)),
    Broken("range_upside_down", _uncertain("95,80"), ((8, "run yard, length", "low, 95, is above high, 80"),)),
    Broken(
        "range_without_value",
        _uncertain("80,95") + b"run yard,depth,,ft,,3,4\n",
        ((15, "run yard, depth", "type the most likely one"),),
    ),
    Broken("semicolons_below", SOUND.replace("88,ft,", "88;ft;").encode(), ((8, "run yard, length", "is not a number"),)),
    _with("money_in_value", "39000", '"$39,000.00"', (13, "load cottage, design loss", "goes into the column of units")),
    _with("vulgar_fraction", "88,ft", "88½,ft", (8, "run yard, length", "write the fraction as a decimal")),
    _with("formula_of_two_lines", "88,ft", '"=80\n+8",ft', (8, "run yard, length", "formula")),
    _with("unit_in_value", "88,ft", "88 ft,ft", (8, "run yard, length", "its own column")),
    _with("formula_for_number", "88,ft", "=80+8,ft", (8, "run yard, length", "formula")),
    _with("unquoted_comma", "88,ft,", "88,ft,from door,to door", (8, "run yard, length", "6 cells")),
    _with("beyond_range", "4,°F", "400,°F", (3, "site, outdoor design temperature", "-70 °F to 65 °F")),
    # What is missing, and what does not fit together
    _with("missing_item", "boiler,water content,150,gal,\n", "", (5, "boiler, water content", "missing")),
    _with("missing_climate", "site,annual degree days,6100,°F day,\n", "", (3, "site, annual degree days", "twelve monthly mean")),
    _and("two_months", _MONTHS, (3, "site, march mean temperature", "missing as well: april")),
    _with("missing_loss", "load cottage,design loss,39000,BTU/h,\n", "", (11, "load cottage, design loss", "share of fuel")),
    _with("no_load", SOUND[SOUND.index("load cottage,run") :], "", (None, "load NAME", "no load")),
    _and("repeated_item", "boiler,rated output,90000,BTU/h,\n", (15, "boiler, rated output", "already in row 5")),
    _and("repeated_run", "run Yard,length,60,ft,\n", (15, "run yard, length", "already in row 8")),
    _with("no_such_run", "run,yard", "run,orchard", (11, "load cottage, run", "no run 'orchard'; allowed: yard")),
    _and("no_such_start", "run yard,starts at,barn,,\n", (15, "run yard, starts at", "allowed: boiler, yard")),
    _and("circle_of_runs", "run yard,starts at,yard,,\n", (15, "run yard, starts at", "circle")),
    _and(
        "branch_of_a_branch_of_a_branch",
        "".join(
            f"run {name},starts at,{at},,\nrun {name},length,60,ft,\nrun {name},tube family,PEX SDR-9,,\n"
            f"run {name},jacket outer diameter,5,in,\nload {name} barn,run,{name},,\nload {name} barn,kind,known,,\n"
            f"load {name} barn,heat,9000,BTU/h,\n"
            for name, at in (("first", "yard"), ("second", "first"), ("third", "second"))
        ),
        (29, "run third, starts at", "third from second from first from yard from the boiler"),
    ),
    _and("parallel_with_itself", "load cottage,parallel with,cottage,,\n", (15, "load cottage, parallel with", "itself")),
    _and("no_such_size", "run yard,size,63,,\n", (15, "run yard, size", "not made in")),
    _with("cold_water_tube", "PEX SDR-9", "PE100 SDR-11", (9, "run yard, tube family", "not made for heating")),
    _and("band_upside_down", "boiler,lower setpoint,190,°F,\n", (15, "boiler, lower setpoint", "must be above lower setpoint")),
    _with(
        "jacket_too_small",
        "diameter,5,in",
        "diameter,0.9,in",
        (10, "run yard, jacket outer diameter", "two tubes (PEX SDR-9, the smallest)"),
    ),
    _with(
        "no_colder_outdoors",
        "design temperature,4,°F",
        "design temperature,64,°F,\nsite,indoor temperature,60,°F",
        (14, "load cottage, design loss", "is given for the design night, and indoors (60 °F) it is no warmer than outdoors (64 °F)"),
    ),
    _and(
        "jacket_in_the_air",
        "run yard,depth,0.3,m,\nrun yard,upgraded jacket outer diameter,24,in,\n",
        (16, "run yard, upgraded jacket outer diameter", "out of the ground"),
    ),
    _and(
        "jackets_in_one_another",
        "run yard,arrangement,apart,,\nrun yard,spacing,4,in,\n",
        (16, "run yard, spacing", "allowed: 5 in or more"),
    ),
    _and("tubes_in_one_another", "run yard,size,1,,\nrun yard,spacing,1,in,\n", (16, "run yard, spacing", "in one another")),
    _and("no_sign_of_money", "job,currency,money ahead,,\n", (15, "job, currency", "no sign of money")),
    _and("currency_like_a_reference", "job,currency,=Sizing!C14,,\n", (15, "job, currency", "no sign of money")),
    _and(
        "half_a_curve",
        "run yard,circulator shutoff head,20,ft,\n",
        (8, "run yard, circulator middle flow", "these go only together: circulator shutoff head"),
    ),
    _and("glycol_in_water", "liquid,antifreeze by mass,30,%,\n", (15, "liquid, antifreeze by mass", "the liquid is water")),
    _and("wet_beyond_reason", "wood,moisture,90,%,\n", (15, "wood, moisture", "wet basis")),
    _and(
        "exchanger_not_there",
        "load cottage,exchanger conductance,900,BTU/(h °F),\n",
        (15, "load cottage, exchanger conductance", "behind an exchanger is no"),
    ),
    _and("claim_without_result", "claim run yard,,3,gpm,\n", (15, "claim run yard", "a claim names")),
    _and("claim_without_value", "claim run yard,flow,,gpm,\n", (15, "claim run yard, flow", "no value")),
    # Several at once
    Broken(
        "many",
        SOUND.replace("88,ft", "-88,ft").replace("39000,BTU/h", "lots,BTU/h").replace("150,gal", "150,lb").encode(),
        ((6, "boiler, water content", "mass, not volume"), (8, "run yard, length", "-88 ft"), (13, "load cottage, design loss", "'lots'")),
    ),
)
