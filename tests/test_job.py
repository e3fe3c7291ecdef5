"""A job read from a table: values in coherent units, defaults, names, claims and the rules between items."""

from __future__ import annotations

from pathlib import Path

import pytest
from broken_tables import SOUND

from workbook_builder.table.job import Job
from workbook_builder.table.reader import read_job
from workbook_builder.table.rows import InputError

SAMPLES = Path(__file__).parents[1] / "samples"


def job(tmp_path: Path, rows: str = "", table: str = SOUND) -> Job:
    path = tmp_path / "job.csv"
    path.write_text(table + rows, encoding="utf-8")
    return read_job(path)


def problems(tmp_path: Path, rows: str, table: str = SOUND) -> list[str]:
    with pytest.raises(InputError) as caught:
        job(tmp_path, rows, table)
    return [str(p) for p in caught.value.problems]


def test_values_are_coherent(tmp_path: Path) -> None:
    j = job(tmp_path)
    assert j.value("run yard", "length") == pytest.approx(88 * 0.3048, rel=1e-15)
    assert j.value("site", "outdoor design temperature") == pytest.approx((4 - 32) / 1.8, rel=1e-14)
    assert j.value("site", "annual degree days") == pytest.approx(6100 / 1.8, rel=1e-14)
    assert j.value("boiler", "rated output") == pytest.approx(98000 * 1055.05585262 / 3600, rel=1e-14)
    assert j.value("load cottage", "kind") == "baseboard" and j.kind_of("load cottage") == "baseboard"
    assert (j.runs, j.loads, j.fuels) == (["yard"], ["cottage"], [])
    assert j.number("boiler", "water content") == pytest.approx(150 * 231 * 0.0254**3, rel=1e-14)
    assert j.text("load cottage", "run") == "yard"


def test_what_is_typed_is_kept(tmp_path: Path) -> None:
    j = job(tmp_path, "run yard,depth,1.2,m,=looks like a formula and is a note\n")
    entry = j.entry("run yard", "depth")
    assert (entry.text, entry.unit, entry.row, entry.given, entry.value) == ("1.2", "m", 15, True, 1.2)
    assert entry.note == "=looks like a formula and is a note"


def test_defaults_stand_in_and_say_so(tmp_path: Path) -> None:
    j = job(tmp_path)
    assert j.value("boiler", "overshoot") == pytest.approx(5 / 1.8) and not j.given("boiler", "overshoot")
    assert j.entry("boiler", "overshoot").text == "5" and j.entry("boiler", "overshoot").item.source
    assert j.value("run yard", "size") == "chosen" and j.value("run yard", "starts at") == "boiler"
    assert j.value("run yard", "flow") is None
    assert j.value("limits", "highest tub temperature") == pytest.approx(40.0)
    # An item of another kind of load is nothing here, not a default.
    assert j.value("load cottage", "stored temperature") is None
    with pytest.raises(KeyError):
        j.value("run yard", "lenght")
    with pytest.raises(TypeError):
        j.number("run yard", "size")
    with pytest.raises(TypeError):
        j.text("run yard", "length")


def test_words_are_taken_in_any_case_and_spacing(tmp_path: Path) -> None:
    table = SOUND.replace("run yard,length", "Run  Yard,LENGTH").replace("load cottage,run,yard", "load Cottage,run, YARD ")
    j = job(tmp_path, "boiler,first month lit,sept,,\n", table)
    assert j.runs == ["Yard"] and j.loads == ["Cottage"]
    assert j.value("load Cottage", "run") == "Yard" and j.value("run Yard", "tube family") == "PEX SDR-9"
    assert j.value("boiler", "first month lit") == "September"


def test_text_that_looks_like_a_formula_stays_text(tmp_path: Path) -> None:
    assert job(tmp_path, table=SOUND.replace("Plain cottage", "=SUM(A1)")).value("job", "title") == "=SUM(A1)"


def test_byte_order_mark_comments_blank_rows_and_blank_values(tmp_path: Path) -> None:
    j = job(tmp_path, "# a remark,,,,\n\n,,,,\nrun yard,depth,,ft,left for later\nrun spare,length,,ft,not used\n", "\ufeff" + SOUND)
    assert not j.given("run yard", "depth") and j.runs == ["yard"]


def test_columns_in_another_order(tmp_path: Path) -> None:
    rows = [line.split(",") for line in SOUND.splitlines()]
    table = "\n".join(",".join([r[2], r[4], "x", r[0], r[3], r[1]]) for r in rows)
    assert job(tmp_path, table=table).value("run yard", "length") == pytest.approx(26.8224)


def test_claims_are_kept_apart_as_typed(tmp_path: Path) -> None:
    table = (
        SOUND.replace("value,unit,note", "value,unit,note,tolerance").replace(",\n", ",,\n").replace("note,tolerance,", "note,tolerance")
    )
    j = job(
        tmp_path,
        "claim run yard,flow,8.5,gpm,their page 2,3\nclaim run yard,size,=Sizing!C14,,,\nCLAIM boiler,output to load,1.3,,,\n",
        table,
    )
    first, second, third = j.claims
    assert (first.part, first.item, first.value, first.unit, first.note, first.row) == (
        "run yard",
        "flow",
        "8.5",
        "gpm",
        "their page 2",
        15,
    )
    assert first.further == {"tolerance": "3"} and second.value == "=Sizing!C14" and third.part == "boiler"
    assert not j.given("run yard", "flow")


def test_uncertain_inputs_keep_their_range(tmp_path: Path) -> None:
    table = SOUND.replace("value,unit,note", "value,unit,note,low,high").replace("88,ft,", "88,ft,,80,100")
    entry = job(tmp_path, table=table).entry("run yard", "length")
    assert entry.low == pytest.approx(80 * 0.3048) and entry.high == pytest.approx(100 * 0.3048)
    assert "low, 100, is above high, 80" in problems(tmp_path, "", table.replace("80,100", "100,80"))[0]
    assert "only a number" in problems(tmp_path, "", table.replace("kind,baseboard,,", "kind,baseboard,,,floor,floor"))[0]


def test_money_is_in_the_jobs_currency(tmp_path: Path) -> None:
    j = job(tmp_path, "job,currency,€,,\nmoney,installed cost,9000,EUR,\nrun yard,line cost,40,€/m,\n")
    assert j.value("money", "installed cost") == 9000.0 and j.value("run yard", "line cost") == 40.0


def test_a_fuels_units_are_those_of_its_sale(tmp_path: Path) -> None:
    rows = "fuel today Gas,price,0.04,$/kWh,\nfuel today gas,use,10000,kWh,\nfuel today gas,fuel,natural gas,,\n"
    j = job(tmp_path, rows)
    # A therm is 100,000 BTU.
    therm = 1e5 * 1055.05585262 / 3.6e6
    assert j.value("fuel today Gas", "price") == pytest.approx(0.04 * therm, rel=1e-5)  # pint's therm is the US one, 1.2e-5 away
    assert j.value("fuel today Gas", "use") == pytest.approx(10000 / therm, rel=1e-5)


OIL = "fuel today oil,fuel,heating oil,,\nfuel today oil,price,3,$/gal,\nfuel today oil,use,300,gal,\n"
RULES = {
    "curve falls": (
        "run yard,circulator shutoff head,9,ft,\nrun yard,circulator middle flow,8,gpm,\nrun yard,circulator middle head,12,ft,\n"
        "run yard,circulator high flow,15,gpm,\nrun yard,circulator high head,3,ft,\n",
        "circulator shutoff head is 9 ft; it must be above circulator middle head, 12 ft",
    ),
    "rating": (
        "load cottage,behind an exchanger,yes,,\nload cottage,exchanger rated load,5,kW,\nload cottage,exchanger rated hot inlet,160,°F,\n"
        "load cottage,exchanger rated hot outlet,140,°F,\nload cottage,exchanger rated cold inlet,120,°F,\n"
        "load cottage,exchanger rated cold outlet,165,°F,\n",
        "exchanger rated hot inlet is 160 °F; it must be above exchanger rated cold outlet, 165 °F",
    ),
    "tank": (
        "load taps,run,yard,,\nload taps,kind,hot water,,\nload taps,use a day,40,gal,\nload taps,heated by,side-arm,,\n",
        "give its volume",
    ),
    "guess": ("load cottage,loss per area,20,BTU/(h ft²),\n", "goes only together with: heated area"),
    "share without fuel": ("load cottage,share of fuel,50,%,\n", "give the use of the fuel that heats this load"),
    "share without use": (
        "fuel today oil,fuel,heating oil,,\nfuel today oil,price,3,$/gal,\nload cottage,share of fuel,50,%,\n",
        "give the use of the fuel that heats this load",
    ),
    "dates": (
        "fuel today oil,fuel,heating oil,,\nfuel today oil,price,3,$/gal,\n"
        "fuel today oil,use,30,gal,\nfuel today oil,degree days of the use,600,°F day,\n"
        "fuel today oil,first date,2024-03-01,,\nfuel today oil,last date,2024-01-01,,\n",
        "must be after the first date",
    ),
    "dates without use": (
        "fuel today oil,fuel,heating oil,,\nfuel today oil,price,3,$/gal,\n"
        "fuel today oil,first date,2024-01-01,,\nfuel today oil,last date,2024-03-01,,\n",
        "degree days or dates of a use go only together with: use",
    ),
    "first date alone": (
        f"{OIL}fuel today oil,first date,2024-01-01,,\n",
        "oil, last date",
    ),
    "last date alone": (
        f"{OIL}fuel today oil,last date,2024-01-01,,\n",
        "oil, first date",
    ),
    "dates too far apart": (
        f"{OIL}fuel today oil,first date,2023-10-15,,\nfuel today oil,last date,2024-10-16,,\n",
        "fuel today oil, last date: is 2024-10-16; allowed: at most a year after the first date, 2023-10-15",
    ),
    "date before spreadsheets": ("job,date,1850-01-01,,\n", "allowed: 1901-01-01 or later"),
    "relief": ("boiler,system,closed,,\nboiler,fill pressure,35,psi,\n", "must be above fill pressure"),
    "two antifreezes": (
        "liquid,kind,propylene glycol,,\nliquid,antifreeze by mass,30,%,\nliquid,antifreeze by volume,30,%,\n",
        "give one of the two",
    ),
    "upgraded line": (
        "run yard,upgraded line cost,20,$/ft,\nrun yard,upgraded jacket outer diameter,7,in,\n",
        "goes only together with: line cost",
    ),
    "upgraded line unnamed": (
        "run yard,line cost,12,$/ft,\nrun yard,upgraded line cost,20,$/ft,\n",
        "an upgraded insulation or an upgraded jacket",
    ),
    "two jackets of the boiler": ("boiler,jacket conductance,9,BTU/(h °F),\nboiler,jacket surface,120,ft²,\n", "give one of the two"),
    "second side": (
        "load cottage,behind an exchanger,yes,,\nload cottage,second side antifreeze by volume,30,%,\n",
        "the liquid is water; name the glycol as second side liquid",
    ),
    "rating and conductance": (
        "load cottage,behind an exchanger,yes,,\nload cottage,exchanger rated load,5,kW,\nload cottage,exchanger rated hot inlet,160,°F,\n"
        "load cottage,exchanger rated hot outlet,140,°F,\nload cottage,exchanger rated cold inlet,120,°F,\n"
        "load cottage,exchanger rated cold outlet,130,°F,\nload cottage,exchanger conductance,900,BTU/(h °F),\n",
        "give one of the two",
    ),
    "wet without a figure": (
        "run yard,insulation,cellular glass,,\nrun yard,jacket condition,wet,,\n",
        "the table has no figure for this insulation when wet",
    ),
    "stated loss": ("run yard,stated loss,9,BTU/(h ft),\n", "these go only together: stated loss, stated loss difference"),
    "degree days without use": (
        "fuel today oil,fuel,heating oil,,\nfuel today oil,price,3,$/gal,\nfuel today oil,degree days of the use,600,°F day,\n",
        "go only together with: use",
    ),
    "half of own wood": ("wood,heating value,8700,BTU/lb,\n", "goes only together with: specific gravity"),
    "own wood": ("", "give a species"),
    "jacket": ("", "stated loss"),
    "taps": (
        "load taps,run,yard,,\nload taps,kind,hot water,,\nload taps,use a day,40,gal,\nload taps,hot water temperature,85,°F,\n"
        "load taps,cold water temperature,88,°F,\n",
        "must be above cold water temperature",
    ),
}


@pytest.mark.parametrize("name", RULES)
def test_items_that_do_not_fit_together(name: str, tmp_path: Path) -> None:
    rows, words = RULES[name]
    table = SOUND
    if name == "half of own wood":
        table = SOUND.replace("wood,species,white oak,,\n", "")
    if name == "own wood":
        table = SOUND.replace("wood,species,white oak,,\n", "wood,condition,green,,\n")
    if name == "jacket":
        table = SOUND.replace("run yard,jacket outer diameter,5,in,\n", "")
    found = problems(tmp_path, rows, table)
    assert len(found) == 1 and words in found[0], found


def test_wet_insulation_that_the_table_does_not_know(tmp_path: Path) -> None:
    wet, known = RULES["wet without a figure"][0], "run yard,wet insulation conductivity,0.2,BTU/(h ft °F),\n"
    assert job(tmp_path, wet + known).number("run yard", "wet insulation conductivity") == pytest.approx(0.2 * 1.730735, rel=1e-6)
    stated = "run yard,stated loss,9,BTU/(h ft),\nrun yard,stated loss difference,90,°F,\n"
    assert job(tmp_path, wet + stated).number("run yard", "wet insulation conductivity") is None
    assert job(tmp_path, wet.replace("cellular glass", "XPS")).value("run yard", "jacket condition") == "wet"


SIDE = "load {n},run,yard,,\nload {n},kind,known,,\nload {n},heat,2,kW,\n"


def test_loads_side_by_side(tmp_path: Path) -> None:
    rows = (
        SIDE.format(n="one")
        + SIDE.format(n="two")
        + "load two,parallel with,one,,\nload two,share of flow,40,%,\nload one,share of flow,60,%,\n"
    )
    assert job(tmp_path, rows).loads_on("yard") == ["cottage", "one", "two"]
    assert "at most 100 %" in problems(tmp_path, rows.replace("60,%", "70,%"))[0]
    apart = problems(
        tmp_path, rows.replace("load two,parallel with,one", "load two,parallel with,cottage").replace("load one,share of flow,60,%,\n", "")
    )
    assert "next to one another" in apart[0]
    other = (
        rows.replace("load two,run,yard", "load two,run,lane")
        + "run lane,length,9,ft,\nrun lane,tube family,copper L,,\nrun lane,jacket outer diameter,4,in,\n"
    )
    assert "hangs on another run" in problems(tmp_path, other)[0]


def test_circle_of_two_runs_is_reported_once(tmp_path: Path) -> None:
    lane = "run lane,length,9,ft,\nrun lane,tube family,copper L,,\nrun lane,jacket outer diameter,4,in,\n"
    found = problems(tmp_path, lane + "run lane,starts at,yard,,\nrun yard,starts at,lane,,\n")
    assert len(found) == 1 and "yard from lane from yard" in found[0]
    assert job(tmp_path, lane + "run lane,starts at,yard,,\n").value("run lane", "starts at") == "yard"


def test_wood_of_ones_own(tmp_path: Path) -> None:
    table = SOUND.replace("wood,species,white oak,,\n", "wood,heating value,8700,BTU/lb,\nwood,specific gravity,0.61,,\n")
    assert job(tmp_path, table=table).value("wood", "specific gravity") == 0.61


def test_parts_in_the_order_of_an_inputs_sheet(tmp_path: Path) -> None:
    assert job(tmp_path).parts() == ["job", "site", "liquid", "boiler", "wood", "money", "run yard", "load cottage", "limits"]


@pytest.mark.parametrize("sample", sorted(SAMPLES.glob("*.csv")), ids=lambda p: p.stem)
def test_samples_are_sound(sample: Path) -> None:
    assert read_job(sample).runs


def test_the_large_sample_has_loads_of_every_kind() -> None:
    from workbook_builder.table.vocabulary import KINDS

    j = read_job(SAMPLES / "ridge-orchard.csv")
    assert {j.kind_of(f"load {n}") for n in j.loads} == set(KINDS) and len(j.runs) >= 2
