"""Books spoiled at random, each the same again for the same number: as bytes, as an archive, as XML or cell by cell."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random
from xml.sax.saxutils import escape

from mutations import BYTE_MUTATIONS, ODD, cut, flip, insert

Parts = dict[str, bytes]
_TAG = re.compile(rb"<[A-Za-z][^<>]*?/?>")
_TEXT = re.compile(rb">([^<>]+)<")
_ATTRIBUTE = re.compile(rb'([\w:]+)="([^"<>]*)"')
_ODD_BYTES = b"-1 99999999999 &#0; &#x1F; &bad; ZZZZ99999999 A0 1A s n e b inlineStr \xff\xfe"
_ODD_XML = (
    *(escape(o, {'"': "&quot;"}).encode("utf-8", "replace") for o in ODD),
    *_ODD_BYTES.split(),
)


def _part(random: Random, parts: Parts, *, sheets: bool = False) -> str:
    names = [n for n in parts if n.endswith((".xml", ".rels")) and (not sheets or "worksheets/sheet" in n)]
    return random.choice(names or list(parts))


def _in_place(random: Random, parts: Parts, pattern: re.Pattern[bytes], group: int, new: Callable[[bytes], bytes], *, sheets: bool) -> None:
    name = _part(random, parts, sheets=sheets)
    data = parts[name]
    start = random.randrange(len(data) + 1)
    match = pattern.search(data, start) or pattern.search(data)
    if match:
        parts[name] = data[: match.start(group)] + new(match[group]) + data[match.end(group) :]


def _odd_text(random: Random, parts: Parts) -> None:
    _in_place(random, parts, _TEXT, 1, lambda _: random.choice(_ODD_XML), sheets=random.random() < 0.7)


def _odd_attribute(random: Random, parts: Parts) -> None:
    _in_place(random, parts, _ATTRIBUTE, 2, lambda _: random.choice(_ODD_XML), sheets=random.random() < 0.5)


def _odd_tag(random: Random, parts: Parts) -> None:
    choices: tuple[Callable[[bytes], bytes], ...] = (
        lambda _: b"",
        lambda t: t + t,
        lambda t: t.replace(b" ", b" x=", 1),
        lambda _: b"<x/>",
        lambda t: t[:-1],
    )
    _in_place(random, parts, _TAG, 0, random.choice(choices), sheets=random.random() < 0.5)


def _spoiled_part(random: Random, parts: Parts) -> None:
    name = random.choice(list(parts))
    parts[name] = random.choice((flip, cut, insert))(random, parts[name])


def _lost_part(random: Random, parts: Parts) -> None:
    name = random.choice(list(parts))
    data = parts.pop(name)
    other = random.choice(list(parts))
    random.choice(
        (
            lambda: None,
            lambda: parts.update({name: b""}),
            lambda: parts.update({name: parts[other]}),
            lambda: parts.update({other + "x": data}),
        )
    )()


def _typed_input(random: Random, parts: Parts) -> None:
    """Another value in one of the cells where people type, or the cell gone, or of another type."""
    # In a book of ours the sheets Job, Runs and Loads, from column D on; in a plain table its values.
    typed = [name for name in parts if re.search(r"worksheets/sheet[345]\.xml$", name)]
    column = rb"[D-J]" if typed else rb"C"
    for name in random.sample(typed, len(typed)) or [name for name in parts if name.endswith("worksheets/sheet1.xml")]:
        data = parts[name]
        cells = list(re.finditer(rb'<c r="' + column + rb'\d+"[^>]*?(?:/>|>.*?</c>)', data))
        if cells:
            match = random.choice(cells)
            reference = re.search(rb'r="([A-Z]+\d+)"', match[0])[1]  # type: ignore[index]
            text = random.choice(_ODD_XML)
            new = random.choice(
                (
                    b'<c r="%s"><v>%s</v></c>' % (reference, random.choice((b"1", b"0", b"-5", b"1e9", b"33.5", text))),
                    b'<c r="%s" t="inlineStr"><is><t>%s</t></is></c>' % (reference, text),
                    b'<c r="%s"><f>%s</f><v>1</v></c>' % (reference, text),
                    b'<c r="%s" t="%s"><v>3</v></c>' % (reference, random.choice((b"s", b"b", b"e", b"d", b"str"))),
                    b"",
                )
            )
            parts[name] = data[: match.start()] + new + data[match.end() :]
            return


def _edited_cell(random: Random, parts: Parts) -> None:
    """A cell of any sheet overtyped, its formula changed, or a row of it lost or doubled."""
    name = _part(random, parts, sheets=True)
    pattern = random.choice((rb'<c r="[A-Z]+\d+"[^>]*?>.*?</c>', rb"<f>.*?</f>", rb"<v>.*?</v>", rb"<row .*?</row>"))
    matches = list(re.finditer(pattern, parts[name]))
    if matches:
        match = random.choice(matches)
        odd = random.choice(_ODD_XML)
        new = random.choice((b"", match[0] + match[0], b"<v>7</v>", b"<f>%s</f><v>1</v>" % odd, re.sub(rb"\d+", b"9", match[0], count=1)))
        parts[name] = parts[name][: match.start()] + new + parts[name][match.end() :]


BOOK_MUTATIONS: tuple[Callable[[Random, Parts], None], ...] = (
    *(_odd_text, _odd_text, _odd_attribute, _odd_attribute, _odd_tag, _spoiled_part, _lost_part),
    *(_typed_input, _typed_input, _typed_input, _edited_cell, _edited_cell),
)


def mutated_book(seed: int, sources: Sequence[bytes], path: Path) -> Path:
    """A spoiled copy of one of some sound books: spoiled as bytes, as an archive, as XML or cell by cell."""
    random = Random(f"book {seed}")
    sound = random.choice(sources)
    if random.random() < 0.15:
        path.write_bytes(random.choice(BYTE_MUTATIONS[:3])(random, sound))
        return path
    with zipfile.ZipFile(io.BytesIO(sound)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    for _ in range(random.choice((1, 1, 1, 2, 4))):
        random.choice(BOOK_MUTATIONS)(random, parts)
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in parts.items():
            archive.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_DEFLATED, 1)
    return path
