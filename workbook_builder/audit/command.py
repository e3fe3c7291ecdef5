"""The command ``workbook-builder audit``: claims of a table, or a book of ours that may have been edited."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

from workbook_builder.output.files import BOOK, refuse_target
from workbook_builder.output.terminal import plain

DONE, DIFFERS = 0, 1


def add_audit_command(commands: Any) -> None:
    """Add the command to the others."""
    audit = commands.add_parser("audit", help="check somebody else's numbers, or a book of ours that was edited")
    audit.add_argument("table", type=Path, help="a table with claims (CSV or XLSX), or a book that fill wrote")
    audit.add_argument("-o", "--output", type=Path, help="the workbook to write, with a sheet Audit (default: none is written)")
    audit.add_argument("--book", type=Path, help="the other party's workbook, for claims such as =Sizing!C14; it is only read")
    audit.add_argument("--units", choices=("us", "metric"), default="us", help="units of the report and the workbook (default: us)")
    audit.add_argument("--json", action="store_true", help="print the result for machines")
    audit.add_argument("--force", action="store_true", help="replace the workbook if it exists")
    audit.set_defaults(run=_audit)


def _audit(options: argparse.Namespace) -> int:
    if options.output is not None:
        read = [options.table, *([options.book] if options.book is not None else [])]
        refuse_target(options.output, BOOK, force=options.force, read=read)
    from .edited import is_ours

    if options.table.suffix.lower() in (".xlsx", ".xlsm") and is_ours(options.table):
        return _edited(options)
    return _claims(options)


def _claims(options: argparse.Namespace) -> int:
    from workbook_builder.build import build, save
    from workbook_builder.model.worksheet import BuildError
    from workbook_builder.table.reader import read_job
    from workbook_builder.table.rows import listed, refuse

    from .claims import HOLDS, ROUNDED, check_claims
    from .evidence import their_book
    from .page import write_audit
    from .report import as_json, report

    job = read_job(options.table, incomplete=True)
    if not job.claims:
        raise refuse(options.table.name, "the table has no claim; a claim is a row such as: claim run house, flow, 8.5, gpm")
    for remark in listed(job.remarks):
        print(plain(remark), file=sys.stderr)
    book = their_book(options.book) if options.book is not None else None
    try:
        built = build(job, options.units)
    except BuildError as error:
        raise refuse(options.table.name, f"the inputs do not go together: {error}") from error
    checked = check_claims(built, book)
    if not options.json:
        print(plain(report(str(job.value("job", "title") or options.table.name), checked, book)))
    if options.output is not None:
        save(replace(built, audit=lambda writer: write_audit(writer, checked)), options.output, force=options.force)
        if not options.json:
            print(f"\n{options.output}: sheet Audit")
    if options.json:  # only now: were the book refused, that would be a second text
        print(plain(as_json(options.table.name, checked, book)))
    # A claim that could not be checked is no clean bill.
    return DONE if all(c.verdict in (HOLDS, ROUNDED) for c in checked) else DIFFERS


def _edited(options: argparse.Namespace) -> int:
    from workbook_builder.table.rows import refuse

    from .changes import edited_json, edited_report
    from .edited import compare

    if options.output is not None:
        raise refuse(options.table.name, "a book of ours is compared, and no workbook is written")
    edits = compare(options.table)
    print(plain(edited_json(options.table.name, edits) if options.json else edited_report(options.table.name, edits)))
    return DIFFERS if edits.found else DONE
