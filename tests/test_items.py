"""The command ``items``: the whole vocabulary as text, as CSV and as JSON, and a table that is taken once what is needed is typed."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path

import pytest

from hydrocalc.measures import SYSTEMS
from workbook_builder.cli import main
from workbook_builder.table import vocabulary
from workbook_builder.table.cell_values import holds
from workbook_builder.table.listing import ALWAYS, AT_TIMES, Asked, asked_parts, need_of
from workbook_builder.table.reader import read_job
from workbook_builder.table.rows import InputError
from workbook_builder.table.units import unit

VOCABULARY = vocabulary.vocabulary()
COUNT = sum(map(len, VOCABULARY.values()))


def printed(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(["items", *arguments]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    return said.out


def table(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_csv_has_every_item_with_all_that_is_known_of_it(capsys: pytest.CaptureFixture[str]) -> None:
    rows = table(printed(capsys, "--csv"))
    assert len(rows) == COUNT and all(None not in row for row in rows)
    for row in rows:
        item = VOCABULARY[row["part"]][row["item"]]
        assert (row["meaning"], row["source"], row["if empty"]) == (item.hint, item.source, item.otherwise)
        assert row["choices"].split(" | ") == (list(item.choices) or [""])
        if item.measure is None:
            assert row["unit us"] == row["range us"] == "" and row["default us"] == (item.default or "")
            continue
        for system in SYSTEMS:
            spelt = row[f"unit {system}"]
            scale = unit(item.measure, spelt) if spelt or system == "us" else item.measure.unit(system)
            ends = [
                float(n)
                for n in re.findall(r"(?<![\w/ ])-?[\d.]+(?= |$)|(?<= )-?[\d.]+(?= |$)", row[f"range {system}"].replace(" per 100", ""))
            ]
            limits = [n for n in (item.limits.low, item.limits.high) if abs(n) != float("inf")]
            assert [float(scale.to_coherent(n)) for n in ends] == pytest.approx(limits, rel=1e-8, abs=1e-9), row
            if item.default is not None:
                own = system == "metric" and item.metric_default is not None  # the metric trade's own round figure
                expected = item.measure.metric.to_coherent(item.metric_default) if own else item.default
                assert float(scale.to_coherent(float(row[f"default {system}"]))) == pytest.approx(float(expected), rel=1e-8, abs=1e-9)
                assert holds(item.limits, float(scale.to_coherent(float(row[f"default {system}"]))))


def test_json_says_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    rows = table(printed(capsys, "--csv"))
    items = json.loads(printed(capsys, "--json"))["items"]
    assert [{k: " | ".join(v) if isinstance(v, list) else v for k, v in item.items()} for item in items] == rows
    assert next(i for i in items if i["item"] == "system")["choices"] == ["open", "closed"]


def test_text_names_every_item_of_every_part(capsys: pytest.CaptureFixture[str]) -> None:
    text = printed(capsys)
    for part, items in VOCABULARY.items():
        page = text[text.index(f"\n{part}" if part != "job" else "job") :]
        for name, item in items.items():
            assert f"\n  {name} " in page and " ".join(item.hint.split()[:3]) in page
    assert max(map(len, text.splitlines())) <= 110


def test_text_of_one_item(capsys: pytest.CaptureFixture[str]) -> None:
    text = printed(capsys, "run")
    assert text.startswith("run NAME\n") and "boiler\n" not in text.splitlines()
    depth = text[text.index("  depth ") : text.index("  flow ")]
    assert [" ".join(line.split()) for line in depth.splitlines()] == [
        "depth Depth of the line's middle below the surface",
        "ft or m; allowed: 0.3 ft to 30 ft, or 0.09144 m to 9.144 m",
        "default: 3 ft or 0.9 m (common practice, no source)",
    ]
    length = text[text.index("  length ") : text.index("  tube family ")]
    assert "needed always" in length and "default" not in length
    jacket = text[text.index("  jacket outer diameter ") : text.index("  insulation conductivity ")]
    assert "needed at times: give the jacket's outer diameter or a stated loss with its" in jacket


def test_a_load_is_listed_by_its_kind(capsys: pytest.CaptureFixture[str]) -> None:
    rows = table(printed(capsys, "load.hot-water", "--csv"))
    assert [r["item"] for r in rows] == [i.name for i in vocabulary.items("load", "hot water")]
    assert "of the kind hot water" in printed(capsys, "load.hot water")


@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        (["run"], Asked("run")),
        (["Run back house"], Asked("run", None, "back house")),
        (["load.fan heater"], Asked("load", "fan heater")),
        (["load.fan_heater shop-end"], Asked("load", "fan heater", "shop-end")),
        (["LOAD.Baseboard kitchen"], Asked("load", "baseboard", "kitchen")),
        (["fuel-today"], Asked("fuel today")),
        (["fuel today oil"], Asked("fuel today", None, "oil")),
    ],
)
def test_parts_as_they_are_asked_for(texts: list[str], expected: Asked) -> None:
    assert asked_parts(texts) == [expected]


def test_every_part_where_none_is_named() -> None:
    assert sorted(a.family for a in asked_parts([])) == sorted(VOCABULARY)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["roof"], "roof: there is no such part; parts are: job, site, liquid, boiler, wood, money, limits, fuel today, run, load"),
        (["boilr"], "(did you mean boiler?)"),
        (["load.radiator"], "(did you mean load.baseboard?); kinds are: baseboard, fan heater, floor, hot water, tub, known"),
        (["run.baseboard"], "only a load has kinds"),
        (["boiler house"], "there is no such part"),
        (["run", "-o", "items.csv"], "must end in .txt"),
    ],
)
def test_a_wrong_request(arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["items", *arguments]) == 2
    said = capsys.readouterr()
    assert words in said.err and said.out == ""


def test_a_wrong_request_for_machines(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["items", "roof", "--json"]) == 2
    [problem] = json.loads(capsys.readouterr().out)["problems"]
    assert "parts are: job" in problem["message"]


def test_files_are_written_whole_and_not_over_another(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for form, ending in (("--csv", ".csv"), ("--json", ".json"), ("--template", ".csv")):
        path = tmp_path / f"{form[2:]}{ending}"
        text = printed(capsys, "run", form)
        assert printed(capsys, "run", form, "-o", str(path)) == f"{path}: {len(VOCABULARY['run'])} items\n"
        assert path.read_text(encoding="utf-8-sig" if ending == ".csv" else "utf-8") == text
        # Without the mark a spreadsheet program takes the file for another code page.
        assert path.read_bytes().startswith(b"\xef\xbb\xbf") == (ending == ".csv")
        assert main(["items", "run", form, "-o", str(path)]) == 2
        assert "exists already" in "".join(capsys.readouterr())


WHOLE = ["job", "site", "boiler", "wood", "fuel today", "run", "run barn", *(f"load.{kind}" for kind in vocabulary.KINDS)]
# What an estimator types into the rows that are marked as needed.
TYPED = {
    "title": "A job",
    "outdoor design temperature": "0",
    "annual degree days": "7000",
    "water content": "300",
    "species": "white oak",
    "fuel": "heating oil",
    "price": "3.5",
    "length": "100",
    "tube family": "PEX SDR-9",
    "jacket outer diameter": "5",
    "design loss": "30000",
    "rated output": "60000",
    "floor area": "800",
    "use a day": "50",
    "volume": "400",
    "surface": "30",
    "heat": "4000",
}
METRIC = {"outdoor design temperature": "-18", "annual degree days": "3900", "jacket outer diameter": "125", "design loss": "9"} | {
    "rated output": "18",
    "floor area": "75",
    "surface": "3",
    "heat": "1.2",
    "length": "30",
}


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_template_is_taken_once_what_is_needed_is_typed(system: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = table(printed(capsys, "--template", *WHOLE, "--units", system))
    assert list(rows[0]) == ["part", "item", "value", "unit", "note"]
    values = TYPED | (METRIC if system == "metric" else {})
    needed = [row for row in rows if row["note"].startswith("needed") and not row["value"]]
    assert {row["item"] for row in needed} == set(TYPED)
    path = tmp_path / "job.csv"

    def write(without: int | None = None) -> None:
        with path.open("w", encoding="utf-8", newline="") as stream:
            writer = csv.DictWriter(stream, list(rows[0]))
            writer.writeheader()
            for row in rows:
                typed = (
                    values[row["item"]] if row in needed and row is not (needed[without] if without is not None else None) else row["value"]
                )
                writer.writerow({**row, "value": typed})

    write()
    job = read_job(path)
    assert (job.runs, job.loads, job.fuels) == (["A", "barn"], list("ABCDEF"), ["A"])
    assert [job.kind_of(f"load {n}") for n in job.loads] == list(vocabulary.KINDS)
    # What is left empty is not given: only what was typed, and what the request itself said, counts.
    assert len(job.entries) == len(needed) + 2 * len(vocabulary.KINDS)
    assert job.remarks == []
    for without in range(len(needed)):
        write(without)
        with pytest.raises(InputError):
            read_job(path)


def test_what_is_needed_stands_first(capsys: pytest.CaptureFixture[str]) -> None:
    for asked in WHOLE:
        rows = table(printed(capsys, "--template", asked))
        marks = [row["note"].startswith("needed") for row in rows]
        assert marks == sorted(marks, reverse=True) and any(marks), asked
        family = asked_parts([asked])[0]
        assert {r["item"] for r in rows} == {i.name for i in family.items} - {"name"}
        always = {i.name for i in family.items if need_of(i)[0] == ALWAYS}
        assert always <= {row["item"] for row in rows[: sum(marks)]}
    assert need_of(vocabulary.item("site", "january mean temperature"))[0] == AT_TIMES


def test_a_template_names_its_parts_and_hangs_the_loads_on_the_run(capsys: pytest.CaptureFixture[str]) -> None:
    rows = table(printed(capsys, "--template", "run", "load.baseboard", "load.tub yard"))
    assert list(dict.fromkeys(r["part"] for r in rows)) == ["run A", "load A", "load yard"]
    given = [(r["part"], r["item"], r["value"]) for r in rows if r["value"]]
    assert given == [("load A", "run", "A"), ("load A", "kind", "baseboard"), ("load yard", "run", "A"), ("load yard", "kind", "tub")]
    depth = next(r for r in rows if r["item"] == "depth")
    assert (
        depth["unit"] == "ft" and depth["note"] == "Depth of the line's middle below the surface; default 3 ft (common practice, no source)"
    )
