"""Claims: what can be claimed, tolerances, what is missing, the report, the sheet Audit and the command."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import NoReturn

import books
import engines
import ironcalc
import openpyxl
import pytest
from audit_cases import JOBS
from broken_tables import BROKEN, SOUND, Broken

from hydrocalc.measures import System
from workbook_builder.audit import naming, tolerances
from workbook_builder.audit.claims import Checked, check_claims
from workbook_builder.build import SHEETS, Built, build
from workbook_builder.cli import main
from workbook_builder.model.rows import Heading
from workbook_builder.model.worksheet import BuildError
from workbook_builder.output.terminal import plain
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import InputError, TableRow

ROOT = Path(__file__).parent.parent
QUOTE = ROOT / "samples" / "quotes" / "quarry.csv"
LINES_OF_A_PAGE, PAGE_WIDTH = 60, 100


def check(job: list[tuple[str, str, str, str]], *claims: tuple[str, ...]) -> list[Checked]:
    """Claims (part, item, value, unit, note, tolerance) on a job that may be incomplete."""
    rows = [TableRow(n, part, item, value, unit, "") for n, (part, item, value, unit) in enumerate(job, 2)]
    for number, (part, item, value, unit, *more) in enumerate(claims, 100):
        note, tolerance = (*more, "", "")[:2]
        rows.append(TableRow(number, f"claim {part}", item, value, unit, note, {"tolerance": tolerance} if tolerance else {}))
    worked, claimed = _worked(tuple(job)), job_from_rows("t.csv", rows, incomplete=True)
    if (claimed.runs, claimed.loads) != (worked.job.runs, worked.job.loads):  # named by the claims alone
        return check_claims(build(claimed))
    return check_claims(replace(worked, job=claimed))


@cache
def _worked(job: tuple[tuple[str, str, str, str], ...]) -> Built:
    """A job without claims: nothing is worked out of them."""
    rows = [TableRow(n, part, item, value, unit, "") for n, (part, item, value, unit) in enumerate(job, 2)]
    return build(job_from_rows("t.csv", rows, incomplete=True))


@pytest.fixture
def full() -> Built:
    return books.built(books.FULL, "us")


# -- what can be claimed


def test_every_short_word_leads_to_a_line(full: Built) -> None:
    names = naming.Names(full)
    for word in naming.words():
        assert names.of_word(word).label == word.label


def test_every_label_of_every_line_can_be_claimed(full: Built) -> None:
    names = naming.Names(full)
    parts = {"run": "run house", "load": "load tub", "fuel today": "fuel today oil", "month": "month March", "one": "job"}
    claimed = 0
    for sheet in full.book.sheets.values():
        if sheet.axis.name not in parts:  # the points of curves are nobody's results
            continue
        heading = ""
        for _, row in sheet.items:
            if isinstance(row, Heading):
                heading = row.text
                continue
            if row.folded:  # a step of an iteration is no result
                continue
            part = parts[row.axis.name]
            if heading not in naming.BY_HEADING_ONLY:
                assert names.place(part, row.label.upper())
                assert names.place(part, f"{sheet.name}: {row.label}").row.sheet is sheet
            assert names.place(part, f"{heading}: {row.label}").row.label == row.label
            claimed += 1
    assert claimed > 300


def test_names_of_parts_are_taken_in_any_case_and_the_column_is_its_own(full: Built) -> None:
    place = naming.Names(full).place("Run BARNS", "Flow")
    assert place.address == f"Pumps!E{place.row.number}"
    assert place.row.label == "Flow of the line, all told"


def test_a_load_is_found_in_its_column_whatever_the_order_of_the_table() -> None:
    """The columns are in the water's order, run by run."""
    lines = [line.split(",") for line in SOUND.splitlines()[1:]]
    run = [["run shed", "length", "40", "ft", ""], ["run shed", "tube family", "PEX SDR-9", "", ""]]
    run.append(["run shed", "jacket outer diameter", "5", "in", ""])
    loads = [
        [f"load {name}", item, value, unit, ""]
        for name, on, heat in (("pens", "shed", "3000"), ("stalls", "yard", "4000"))
        for item, value, unit in (("kind", "known", ""), ("run", on, ""), ("heat", heat, "BTU/h"), ("hours a day", "24", "h"))
    ]
    built = build(job_from_rows("t.csv", [TableRow(n, *row) for n, row in enumerate([*lines, *run, *loads], 2)]))
    assert built.job.loads == ["cottage", "pens", "stalls"]
    for name, heat in (("pens", 3000.0), ("stalls", 4000.0)):
        place = naming.Names(built).place(f"load {name}", "need")
        assert built.book.values[place.row][place.column] == pytest.approx(heat)


@pytest.mark.parametrize(
    ("part", "item", "said"),
    [
        ("run house", "flwo", "nearest: 'flow'"),
        ("run house", "frictoin factor", "nearest: 'Friction factor'"),
        ("run hous", "flow", "did you mean 'house'?"),
        ("load nobody", "need", "there is no load 'nobody'"),
        ("barn", "flow", "is not a part"),
    ],
)
def test_what_is_unknown_gets_the_nearest_names(full: Built, part: str, item: str, said: str) -> None:
    with pytest.raises(naming.NamingError, match=said.replace("?", r"\?")):
        naming.Names(full).place(part, item)


def test_all_problems_come_at_once_with_their_rows() -> None:
    with pytest.raises(InputError) as raised:
        check(
            JOBS["one inch"],
            ("run house", "hed", "1", "ft"),
            ("run house", "flow", "1", "ft"),
            ("run house", "flow", "1", ""),
            ("run house", "flow", "one", "gpm"),
            ("run house", "flow", "=Sizing!B2", "gpm"),
            ("run house", "size", "1", "in"),
            ("run house", "flow", "6", "gpm", "", "loose"),
        )
    assert [p.row for p in raised.value.problems] == [100, 101, 102, 103, 104, 105, 106]


@pytest.mark.slow
def test_a_figure_rounded_to_three_digits_holds_whatever_it_is_about(full: Built) -> None:
    names = naming.Names(full)
    parts = {"run": "run house", "load": "load dwelling", "fuel today": "fuel today oil"}
    claims = []
    for word in naming.words():
        part = parts.get(word.part, word.part)
        place = names.place(part, word.word)
        value = full.book.values[place.row][place.column]
        if place.row.is_text or value != value:
            continue
        unit = full.context.inputs.symbol(place.row.kind, part if part.startswith("fuel") else "")
        claims.append((part, word.word, f"{float(f'{value:.3g}'):.10f}".rstrip("0").rstrip("."), unit))
    assert len(claims) > 90
    table = [(p, i, str(v), u) for p, i, v, u, _ in books.table_of(books.FULL)]
    wrong = [(c.claim.part, c.claim.item, c.claimed, c.computed) for c in check(table, *claims) if not c.verdict.startswith("holds")]
    assert wrong == []


# -- tolerances


def test_every_default_names_its_reason() -> None:
    assert all(len(reason) > 10 and (share > 0 or amount > 0) for share, amount, reason in tolerances.DEFAULTS.values())


@pytest.mark.parametrize(
    ("value", "note", "own", "verdict"),
    [
        ("6.2", "", "", "does not hold"),  # 2.3 % from 6.346
        ("6.2", "", "3 %", "holds"),
        ("6.2", "", "2 %", "does not hold"),
        ("6.2", "tolerance 5 %", "", "holds"),
        ("6.2", "± 0.2", "", "holds"),
        ("6.2", "", "0.1", "does not hold"),
        ("6.2", "", "0.01 L/s", "holds"),  # 0.16 gpm
        ("6", "", "", "holds as rounded"),
        ("6.5", "", "", "does not hold"),
    ],
)
def test_a_tolerance_is_that_of_the_measure_the_claim_or_its_last_digit(value: str, note: str, own: str, verdict: str) -> None:
    [one] = check(JOBS["one inch"], ("run house", "flow", value, "gpm", note, own))
    assert one.verdict == verdict, (one.claimed, one.computed, one.tolerance)


@pytest.mark.parametrize(("text", "half"), [("8.5", 0.05), ("8", 0.5), ("8.50", 0.005), ("1.2e3", 50.0), ("-3", 0.5)])
def test_half_of_the_last_digit(text: str, half: float) -> None:
    assert tolerances.half_digit(text) == pytest.approx(half)


def test_words_are_compared_as_words() -> None:
    found = check(JOBS["one inch"], ("run house", "size", "1", ""), ("run house", "size", "3/4", ""), ("run house", "Liquid", "WATER", ""))
    assert [c.verdict for c in found] == ["holds", "does not hold", "holds"]


# -- incomplete tables

BARE = [("run house", "tube family", "PEX SDR-9", ""), ("run house", "size", "1", ""), ("run house", "flow", "8.5", "gpm")]


@pytest.mark.slow
def test_what_can_be_checked_is_checked_and_what_is_missing_is_named() -> None:
    velocity, head = check(BARE, ("run house", "velocity", "4.67", "ft/s"), ("run house", "head", "20", "ft"))
    assert velocity.verdict == "holds"  # 0.4085 × 8.5 / 0.863²
    assert head.verdict == "cannot be checked"
    assert [n.words for n in head.needs] == ["run house: length"]


def test_a_run_without_flow_or_load_needs_one() -> None:
    [one] = check(BARE[:2], ("run house", "velocity", "4.67", "ft/s"))
    assert one.verdict == "cannot be checked"
    assert "its flow, or a load on it" in one.needs[0].words


@pytest.mark.slow
def test_a_sum_with_a_part_missing_is_not_checked() -> None:
    job = [r for r in JOBS["two rooms"] if r[:2] != ("load annex", "design loss")]
    whole, single = check(job, ("boiler", "load", "40000", "BTU/h"), ("load rooms", "need", "40000", "BTU/h"))
    assert whole.verdict == "cannot be checked"
    assert "load annex" in whole.needs[0].words
    assert single.verdict == "holds"


@pytest.mark.slow
def test_a_claim_alone_is_answered() -> None:
    [one] = check([], ("run house", "flow", "8", "gpm"))
    assert one.verdict == "cannot be checked"
    assert one.needs


# -- the report, the sheet and the command


def test_the_quote_of_six_numbers(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["audit", str(QUOTE)]) == 1
    printed = capsys.readouterr().out
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert f"    workbook-builder audit samples/quotes/quarry.csv\n\n```text\n{printed}```\n" in readme
    assert "4 of 6 claims hold, 2 do not" in printed
    assert "the nominal size taken as the inside diameter" in printed
    assert "catalogue output taken at cooler water" in printed
    assert len(printed.splitlines()) <= LINES_OF_A_PAGE
    assert all(len(line) <= PAGE_WIDTH for line in printed.splitlines())


@pytest.mark.slow
def test_for_machines(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["audit", str(QUOTE), "--json", "--units", "metric"]) == 1
    found = json.loads(capsys.readouterr().out)
    verdicts = [c["verdict"] for c in found["claims"]]
    assert verdicts == ["holds", "holds", "does not hold", "does not hold", "holds", "holds"]
    assert found["claims"][2]["explanations"][0]["mistakes"] == ["nominal bore"]
    assert found["claims"][2]["unit"] == "m/s"


@pytest.fixture(scope="module")
def audited(tmp_path_factory: pytest.TempPathFactory) -> dict[System, Path]:
    """The quote's book with its audit."""
    found = {system: tmp_path_factory.mktemp("audit") / f"{system}.xlsx" for system in books.SYSTEMS}
    for system, target in found.items():
        assert main(["audit", str(QUOTE), "-o", str(target), "--units", system]) == 1
    return found


@pytest.mark.slow
@pytest.mark.parametrize("system", books.SYSTEMS)
def test_the_sheet_recalculates_to_the_same_verdicts(audited: dict[System, Path], system: System) -> None:
    target = audited[system]
    stored = engines.stored_values(target)
    verdicts = [stored["Audit", f"J{row}"] for row in range(5, 11)]
    assert verdicts == ["holds", "holds", "does not hold", "does not hold", "holds", "holds"]
    assert engines.compare(stored, engines.ironcalc_values(target)) == []
    book = openpyxl.load_workbook(target)
    assert book.sheetnames == [listed.name for listed in SHEETS]
    sheet = book["Audit"]
    assert "\n" not in sheet["K8"].value and len(sheet["K8"].value) > 50  # longer than its column: the row is two lines high
    assert sheet.row_dimensions[8].height >= 2 * 12 > sheet.row_dimensions[5].height


@pytest.mark.slow
def test_what_if_works_on_the_sheet(audited: dict[System, Path]) -> None:
    """Typing the right velocity makes its claim hold, with nothing but the sheet's own formulas."""
    target = audited["us"]
    model = ironcalc.load_from_xlsx(str(target), "en", "UTC", "en")
    sheet = [s["name"] for s in model.get_worksheets_properties()].index("Audit")
    model.set_user_input(sheet, 7, 3, "2.48")
    model.set_user_input(sheet, 5, 8, "0.0001")  # and a tolerance of one in ten thousand fails the flow
    found = engines.values_of_model(model)
    assert (found["Audit", "J7"], found["Audit", "I5"], found["Audit", "J5"]) == ("holds", 0.05, "holds")
    model.set_user_input(sheet, 5, 9, "0")
    assert engines.values_of_model(model)["Audit", "J5"] == "does not hold"


@pytest.mark.slow
def test_texts_of_a_claim_are_written_as_text(tmp_path: Path) -> None:
    table = tmp_path / "t.csv"
    table.write_text(
        'part,item,value,unit,note\nrun house,tube family,PEX SDR-9,,\nclaim run house,size,"=HYPERLINK(1)",,\n', encoding="utf-8"
    )
    assert main(["audit", str(table), "-o", str(tmp_path / "o.xlsx")]) == 2
    assert not (tmp_path / "o.xlsx").exists()
    table.write_text(
        "part,item,value,unit,note\njob,title,=1+1,,\nrun house,size,1,,\nrun house,tube family,PEX SDR-9,,\nclaim run house,size,+2,,=3\n"
    )
    assert main(["audit", str(table), "-o", str(tmp_path / "o.xlsx")]) == 1
    cells = openpyxl.load_workbook(tmp_path / "o.xlsx")["Audit"]
    assert cells["C5"].data_type == "s"
    assert cells["A2"].data_type == "s"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["-o", "{folder}/a.csv"], "must end in .xlsx"),
        (["-o", "{folder}/none/a.xlsx"], "no such folder"),
        (["--book", "{folder}/none.xlsx"], "no such file"),
        (["--book", str(QUOTE)], "must be an .xlsx"),
        (["-o", "{folder}/there.xlsx"], "exists already"),
    ],
)
def test_a_wrong_request_ends_with_2_and_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], more: list[str], said: str
) -> None:
    (tmp_path / "there.xlsx").write_bytes(b"")
    assert main(["audit", str(QUOTE), *(m.format(folder=tmp_path) for m in more)]) == 2
    assert said in capsys.readouterr().err
    assert [p.name for p in tmp_path.iterdir()] == ["there.xlsx"]


@pytest.mark.parametrize("broken", BROKEN, ids=lambda b: b.name)
def test_a_machine_is_told_every_problem_of_a_table(broken: Broken, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same problems as in words, in their order, each with its place; what is allowed stands by itself too."""
    path = broken.write(tmp_path)
    status = main(["audit", str(path)])
    in_words = capsys.readouterr().err.splitlines()
    assert main(["audit", str(path), "--json"]) == status == 2
    said = capsys.readouterr()
    problems = json.loads(said.out)["problems"]
    assert said.err == ""
    for problem, line in zip(problems, in_words, strict=True):
        assert problem["file"] == path.name
        place = path.name if problem["row"] is None else f"{path.name}, row {problem['row']}"
        start = f"{place}, {problem['item']}: " if problem["item"] else f"{place}: "
        message = " ".join(problem["message"].splitlines())
        assert plain(start + message) == line
        assert ("allowed: " in line or "is not one of: " in line) == (problem["allowed"] is not None), line
        assert problem["allowed"] is None or (problem["allowed"] and message.endswith(problem["allowed"]))


@pytest.mark.parametrize(
    ("arguments", "file", "words"),
    [
        (["{folder}/none.csv"], "none.csv", "no such file"),
        (["{quote}", "-o", "{folder}/a.csv"], "{folder}/a.csv", "must end in .xlsx"),
        (["{quote}", "-o", "{folder}/there.xlsx"], "{folder}/there.xlsx", "exists already"),
        (["{quote}", "--book", "{folder}/none.xlsx"], "none.xlsx", "no such file"),
        ([str(books.FULL)], books.FULL.name, "no claim"),
        (["{folder}/apart.csv"], "apart.csv", "do not go together"),
        (["{quote}", "--units", "imperial"], "workbook-builder audit", "invalid choice"),
        ([], "workbook-builder audit", "required: table"),
    ],
)
def test_a_machine_is_told_of_a_wrong_request(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, arguments: list[str], file: str, words: str
) -> None:
    (tmp_path / "there.xlsx").write_bytes(b"")
    (tmp_path / "apart.csv").write_bytes(QUOTE.read_bytes())
    if "apart.csv" in file:

        def torn(*_: object) -> NoReturn:
            raise BuildError("a line")

        monkeypatch.setattr("workbook_builder.build.build", torn)
    given = [a.format(folder=tmp_path, quote=QUOTE) for a in arguments]
    try:
        status = main(["audit", *given, "--json"])
    except SystemExit as ended:  # as argparse ends
        status = int(str(ended.code))
    said = capsys.readouterr()
    assert (status, said.err) == (2, "")
    [problem] = json.loads(said.out)["problems"]
    assert problem["file"] == file.format(folder=tmp_path) and words in problem["message"]
    assert set(problem) == {"file", "row", "item", "message", "allowed"}


@pytest.mark.slow
def test_a_table_without_claims_and_a_true_quote(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["audit", str(books.FULL)]) == 2
    assert "no claim" in capsys.readouterr().err
    lines = QUOTE.read_text(encoding="utf-8").splitlines()
    true = [line for line in lines if "velocity" not in line and not line.startswith("claim load")]
    (tmp_path / "true.csv").write_text("\n".join(true), encoding="utf-8")
    assert main(["audit", str(tmp_path / "true.csv")]) == 0
