"""The README's pictures, made from the sample's book: ``python tests/pictures.py``.  Needs LibreOffice and pdftoppm."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from workbook_builder.build import build, write_book  # noqa: E402
from workbook_builder.table.reader import read_job  # noqa: E402

# The sheet whose first page is shown, and the part of the page in points: left, top, width, height.
PICTURES = {"summary": ("Summary", (20, 34, 545, 708)), "cascade": ("Water", (20, 34, 750, 400)), "chart": ("Charts", (20, 34, 720, 258))}
DOTS_PER_INCH = 100


def main() -> None:
    target = ROOT / "samples" / "pictures"
    target.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "book.xlsx"
        write_book(build(read_job(ROOT / "samples" / "ridge-orchard.csv")), book)
        profile = f"-env:UserInstallation={(Path(folder) / 'profile').as_uri()}"
        subprocess.run(
            ["soffice", "--headless", profile, "--convert-to", "pdf", "--outdir", folder, str(book)], check=True, capture_output=True
        )
        pdf = book.with_suffix(".pdf")
        pages = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True).stdout.split("\f")
        for name, (sheet, part) in PICTURES.items():
            number = next(n for n, text in enumerate(pages, 1) if text.split("\n")[0].rstrip().endswith(sheet))
            left, top, width, height = (str(round(p * DOTS_PER_INCH / 72)) for p in part)
            crop = ["-x", left, "-y", top, "-W", width, "-H", height]
            command = ["pdftoppm", "-png", "-r", str(DOTS_PER_INCH), "-f", str(number), "-l", str(number), "-singlefile", *crop]
            subprocess.run([*command, str(pdf), str(target / name)], check=True)
            print(target / f"{name}.png")


if __name__ == "__main__":
    main()
