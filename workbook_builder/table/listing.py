"""The vocabulary to be read: every item with its meaning, units, range, default and choices, and a table ready to be filled in."""

from __future__ import annotations

import csv
import io
import json
import re
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from hydrocalc.arguments import describe_limits
from hydrocalc.measures import SYSTEMS, System

from . import units, vocabulary
from .lookalikes import plain_signs
from .near_misses import listing, meant, propose, proposed_parts
from .needed import needs_of
from .rows import COLUMNS, refuse
from .vocabulary import KINDS, NAME, NAMED, SINGLE, Item

ALWAYS, AT_TIMES, NO = "always", "at times", "no"
WIDTH, INDENT = 110, 34
FIELDS = (
    *("part", "item", "kinds", "meaning", "needed", "when", "value"),
    *("unit us", "range us", "default us", "unit metric", "range metric", "default metric", "source", "if empty", "choices"),
)


@dataclass(frozen=True)
class Asked:
    """A part as somebody asks for it: ``run``, ``run house``, ``load.fan heater``."""

    family: str
    kind: str | None = None
    name: str = ""

    @property
    def items(self) -> list[Item]:
        return vocabulary.items(self.family, self.kind)


def asked_parts(texts: Sequence[str]) -> list[Asked]:
    """The parts that are named, all of them where none is; InputError for one that is not known."""
    return [_asked(text) for text in texts] or [Asked(f) for f in (*SINGLE[:-2], *NAMED[:1], SINGLE[-2], *NAMED[1:], SINGLE[-1])]


def _asked(text: str) -> Asked:
    plain = " ".join(plain_signs(text).split())
    for family in (*NAMED, *SINGLE):
        match = re.fullmatch(rf"{family.replace(' ', '[ _.-]')}(?:\.(?P<kind>[^.]+?))?(?: (?P<name>.+))?", plain, re.IGNORECASE)
        if match is None or (match["name"] and family in SINGLE):
            continue
        kind, name = match["kind"], match["name"] or ""
        if kind is None:
            return Asked(family, None, name)
        if family != "load":
            raise refuse(text, f"only a load has kinds; write {family}")
        # A kind may be of two words, and what follows it is the name.
        said = re.sub("[_-]", " ", plain.partition(".")[2])
        found = next((k for k in sorted(KINDS, key=len, reverse=True) if f"{said} ".casefold().startswith(f"{k} ")), None)
        if found is None:
            near = meant([f"load.{k}" for k in propose(said, KINDS, "kind")])
            raise refuse(text, f"there is no such kind of load{f' ({near})' if near else ''}; kinds are: {', '.join(KINDS)}")
        return Asked(family, found, plain.partition(".")[2][len(found) :].strip())
    near = meant([p.removesuffix(" NAME") for p in proposed_parts(plain)])
    raise refuse(text, f"there is no such part{f' ({near})' if near else ''}; parts are: {', '.join((*SINGLE, *NAMED))}")


class _Nothing:
    """A part of which nothing is given but the kind of a load."""

    def __init__(self, asked: Asked) -> None:
        self.asked = asked

    def given(self, item: str) -> bool:
        return False

    def word(self, item: str) -> str | None:
        if item == "kind" and self.asked.family == "load":
            return self.asked.kind
        default = vocabulary.item(self.asked.family, item).default
        return default if isinstance(default, str) else None

    def amount(self, item: str) -> float:
        default = vocabulary.item(self.asked.family, item).default
        return default if isinstance(default, float) else 0.0

    def fuels_use_given(self) -> bool:
        return False


def need_of(item: Item) -> tuple[str, str]:
    """Whether an item is needed, and when."""
    needs = needs_of(item.part, item.name)
    if any(need.required for need in needs):
        return ALWAYS, ""
    return (AT_TIMES, "; ".join(need.words for need in needs)) if needs else (NO, "")


def _kind_of_value(item: Item) -> str:
    if item.measure is not None:
        return "a number"
    if item.choices:
        return "one of the choices"
    named = {"run": "the name of a run, or boiler", "load": "the name of a load", "fuel": "the name of a fuel today"}
    if item.type == "run" and item.name != "starts at":
        return "the name of a run"
    return {**named, "date": "a date as year-month-day"}.get(item.type, "any text")


def _symbol(item: Item, system: System) -> str:
    if item.measure is None:
        return ""
    return _in_money(item.measure.unit(system).symbol).removeprefix("–")


def _in_money(text: str) -> str:
    """The job's own money is the dollar unless it says otherwise."""
    return text.replace("currency", "$")


def _range(item: Item, system: System) -> str:
    return _in_money(describe_limits(item.limits, item.measure, system)) if item.measure else ""


def _short(text: str) -> str:
    """Figures of limits that were converted, as people read them."""
    return re.sub(r"\d+\.\d{3,}", lambda m: f"{float(m[0]):.4g}", text)


def _default(item: Item, system: System, digits: int = 10) -> str:
    value = item.printed_default(system)
    return "" if value is None else value if isinstance(value, str) else f"{value:.{digits}g}"


def records(parts: Sequence[Asked]) -> list[dict[str, str]]:
    """Every item as texts by field; choices are parted by bars."""
    found = []
    for asked in parts:
        for item in asked.items:
            needed, when = need_of(item)
            one = {"part": item.part, "item": item.name, "kinds": " | ".join(item.kinds), "meaning": item.hint}
            one |= {"needed": needed, "when": when, "value": _kind_of_value(item)}
            for system in SYSTEMS:
                one[f"unit {system}"] = _symbol(item, system)
                one[f"range {system}"] = _range(item, system)
                one[f"default {system}"] = _default(item, system)
            found.append(one | {"source": item.source, "if empty": item.otherwise, "choices": " | ".join(item.choices)})
    return found


def as_csv(parts: Sequence[Asked]) -> str:
    text = io.StringIO()
    writer = csv.DictWriter(text, FIELDS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(records(parts))
    return text.getvalue()


def as_json(parts: Sequence[Asked]) -> str:
    found: list[dict[str, str | list[str]]] = []
    for one in records(parts):
        lists = {f: one[f].split(" | ") if one[f] else [] for f in ("kinds", "choices")}
        found.append({**one, **lists})
    return json.dumps({"items": found}, ensure_ascii=False, indent=2) + "\n"


def as_text(parts: Sequence[Asked]) -> str:
    """For people: the items of each part."""
    return "\n\n".join("\n".join(_page(asked)) for asked in parts) + "\n"


def _page(asked: Asked) -> Iterator[str]:
    yield f"{asked.family}{' NAME' if asked.family in NAMED else ''}{f', of the kind {asked.kind}' if asked.kind else ''}"
    for item in asked.items:
        head = f"  {item.name:<{INDENT - 3}} "
        lines = list(_about(item, asked.kind))
        for number, line in enumerate(lines):
            first, later = (" " * INDENT, " " * (INDENT + 2)) if number else (head, " " * INDENT)
            yield from textwrap.wrap(line, WIDTH, initial_indent=first, subsequent_indent=later, break_on_hyphens=False)


def _about(item: Item, kind: str | None) -> Iterator[str]:
    yield item.hint
    if item.kinds and kind is None:
        yield f"of the kinds: {', '.join(item.kinds)}"
    needed, when = need_of(item)
    if needed != NO:
        yield f"needed {needed}{f': {when}' if when else ''}"
    if item.measure is not None:
        ranges = dict.fromkeys(_range(item, s) if s == "us" else _short(_range(item, s)) for s in SYSTEMS)
        symbols = " or ".join(dict.fromkeys(_in_money(units.expected(item.measure)).split(" or ")))
        yield f"{symbols.replace('–', 'a number without a unit')}; allowed: {', or '.join(ranges)}"
    elif item.choices:
        yield f"one of: {' | '.join(item.choices)}"
    else:
        yield _kind_of_value(item)
    if item.default is not None:
        yield f"default: {_printed(item)} ({item.source})"
    elif item.otherwise:
        yield f"if empty: {item.otherwise}"


def _printed(item: Item) -> str:
    """The default with its unit, in both systems where they differ."""
    us, metric = (f"{_default(item, s, 4)} {_symbol(item, s)}".strip() for s in SYSTEMS)
    return us if us == metric else f"{us} or {metric}"


def template(parts: Sequence[Asked], system: System) -> str:
    """A table of these parts with no value but what the request says itself, the needed items first."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    counts = dict.fromkeys(NAMED, 0)
    run = ""
    for asked in parts:
        part, name = asked.family, asked.name
        if part in NAMED:
            name = name or _letter(counts[part])
            counts[part] += 1
            part = f"{part} {name}"
        run = name if asked.family == "run" and not run else run
        known = {"kind": asked.kind, "run": run} if asked.family == "load" else {}
        items = [i for i in asked.items if i.name != NAME and (asked.family != "load" or asked.kind or not i.kinds)]
        for item in sorted(items, key=lambda i: _rank(i, asked)):
            writer.writerow((part, item.name, known.get(item.name) or "", _symbol(item, system), _note(item, asked, system)))
    return text.getvalue()


def _letter(count: int) -> str:
    return chr(ord("A") + count) if count < 26 else f"A{count}"


def _rank(item: Item, asked: Asked) -> int:
    if need_of(item)[0] == ALWAYS:
        return 0
    return 1 if any(need.when.holds(_Nothing(asked)) for need in needs_of(item.part, item.name)) else 2


def _note(item: Item, asked: Asked, system: System) -> str:
    rank = _rank(item, asked)
    said = [f"needed: {item.hint}" if rank == 0 else f"needed: {need_of(item)[1]}" if rank == 1 else item.hint]
    if item.choices:
        said.append(f"one of: {listing(item.choices, ' | ', item.part)}")
    elif item.measure is None and item.type != "text":
        said.append(_kind_of_value(item))
    if item.default is not None:
        said.append(f"default {f'{_default(item, system, 4)} {_symbol(item, system)}'.strip()} ({item.source})")
    elif item.otherwise:
        said.append(f"if empty: {item.otherwise}")
    return "; ".join(said)
