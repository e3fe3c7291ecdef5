"""What samples/ keeps for people, made anew: ``python tests/make_samples.py``.

The full sample's book, a blank book in each unit system, and the README's pictures; the pictures need LibreOffice and pdftoppm.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from hydrocalc.measures import SYSTEMS  # noqa: E402
from workbook_builder.build import build, save  # noqa: E402
from workbook_builder.table.job import blank_job  # noqa: E402
from workbook_builder.table.reader import read_job  # noqa: E402

SAMPLES = ROOT / "samples"
RUNS, LOADS, FUELS = 3, 7, 2  # room in a blank book
# The sheet whose page is shown, and which of its pages.
PICTURES = {"summary": ("Summary", 1), "summary-charts": ("Summary", 2), "loads": ("Loads", 1), "water": ("Water", 1)}
DOTS_PER_INCH = 100


def make_books() -> Path:
    book = SAMPLES / "ridge-orchard.xlsx"
    save(build(read_job(SAMPLES / "ridge-orchard.csv")), book, force=True)
    for system in SYSTEMS:
        save(build(blank_job(RUNS, LOADS, FUELS), system), SAMPLES / f"blank-{system}.xlsx", force=True)
    return book


def make_pictures(book: Path) -> None:
    target = SAMPLES / "pictures"
    with tempfile.TemporaryDirectory() as folder:
        profile = f"-env:UserInstallation={(Path(folder) / 'profile').as_uri()}"
        to_pdf = ["soffice", "--headless", profile, "--convert-to", "pdf", "--outdir", folder, str(book)]
        subprocess.run(to_pdf, check=True, capture_output=True)
        pdf = Path(folder) / book.with_suffix(".pdf").name
        pages = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True).stdout.split("\f")
        for name, (sheet, which) in PICTURES.items():
            of_sheet = [n for n, text in enumerate(pages, 1) if text.split("\n")[0].rstrip().endswith(sheet)]
            number = str(of_sheet[which - 1])
            command = ["pdftoppm", "-png", "-r", str(DOTS_PER_INCH), "-f", number, "-l", number, "-singlefile"]
            subprocess.run([*command, str(pdf), str(target / name)], check=True)
            print(target / f"{name}.png")


if __name__ == "__main__":
    make_pictures(make_books())
