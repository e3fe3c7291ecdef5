"""What somebody meant whose word is not in the vocabulary: proposals that are plausible, or none.

The words that the trade has for the same thing stand in ``synonyms.csv``: what they are said of (a part, the items of a part,
the choices of a table or of any list, or any word inside of a name), what is typed and what is meant.
"""

from __future__ import annotations

import csv
import difflib
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from functools import cache, lru_cache
from importlib.resources import files

from . import vocabulary
from .lookalikes import plain_signs
from .vocabulary import Item

MOST_PROPOSED = 3
MOST_ASKED = 300  # problems of a table after which nothing is proposed any more: nobody reads them, and it takes its time
MOST_MEANT = 5  # of a word of the trade that stands for several items
MOST_LISTED = 12
ALIKE, ALIKE_SHORT, SHORT = 0.75, 0.7, 5  # of two words, and of two short ones
WORD_ALIKE = 0.8
LEFT_OVER = 2  # words that may be left over beside those of a proposal
_IDLE = {"of", "the", "a", "in", "at", "for", "to", "and", "per"}
PART, WORD, CHOICE = "part", "word", "choice"


def meant(proposals: Sequence[str], quote: str = "") -> str:
    """The question; nothing where nothing is proposed."""
    quoted = [f"{quote}{p}{quote}" for p in proposals]
    *first, last = quoted or [""]
    return f"did you mean {', '.join(first)}{' or ' if first else ''}{last}?" if last else ""


def listing(words: Sequence[str], between: str, part: str) -> str:
    """What is allowed, so many of it, and where the others are told."""
    if len(words) <= MOST_LISTED + 2:
        return between.join(words)
    left = len(words) - MOST_LISTED
    return between.join([*words[:MOST_LISTED], f"… and {left} more (workbook-builder items {part} lists them)"])


@cache
def synonyms() -> Mapping[str, Mapping[str, tuple[str, ...]]]:
    """What is meant, by what it is said of and by what is typed."""
    found: dict[str, dict[str, tuple[str, ...]]] = {}
    for row in csv.DictReader((files(__package__) / "synonyms.csv").read_text(encoding="utf-8").splitlines()):
        for typed in row["typed"].split(";"):
            words = found.setdefault(row["of"], {})
            key = " ".join(stems(typed))
            if key in words:
                raise ValueError(f"synonyms: {row['of']}, {typed} stands twice")
            words[key] = tuple(word.strip() for word in row["meant"].split(";"))
    return found


@lru_cache(4096)
def stems(text: str) -> tuple[str, ...]:
    """The words without capitals, hyphens and plurals."""
    return tuple(_singular(w) for w in re.findall(r"[^\W_]+(?:[/'.][^\W_]+)*|%|#", plain_signs(text).casefold()))


def _singular(word: str) -> str:
    if word.endswith(("sses", "ches", "xes")):
        return word[:-2]
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")) else word


@lru_cache(65536)
def _alike(one: str, other: str) -> bool:
    if one == other or min(len(one), len(other)) <= 3:
        return one == other
    match = difflib.SequenceMatcher(None, one, other)
    # The quick ones are never less than the last.
    return match.real_quick_ratio() >= WORD_ALIKE and match.quick_ratio() >= WORD_ALIKE and match.ratio() >= WORD_ALIKE


def propose(text: str, words: Iterable[str], of: str) -> list[str]:
    """The words that are plausibly meant, the most plausible first."""
    typed, known = stems(text), {word: stems(word) for word in words}
    key = " ".join(typed)
    if not key:
        return []
    if same := [word for word, parts in known.items() if " ".join(parts) == key]:
        return same
    if listed := [word for word in synonyms().get(of, {}).get(key, ()) if word in known]:
        return listed[:MOST_MEANT]
    for spelling in (tuple(s for w in typed for s in stems(" ".join(synonyms()[WORD].get(w, (w,))))), typed):
        if found := _sharing(spelling, known, of):
            return found
    spelt = {" ".join(parts): word for word, parts in known.items()}
    cutoff = ALIKE_SHORT if len(key) <= SHORT else ALIKE
    ratios = {n: difflib.SequenceMatcher(None, n, key).ratio() for n in difflib.get_close_matches(key, spelt, MOST_PROPOSED, cutoff)}
    return [spelt[n] for n, ratio in ratios.items() if ratio == max(ratios.values())]


def _sharing(typed: Sequence[str], known: Mapping[str, Sequence[str]], of: str) -> list[str]:
    """Those that have all that was typed and more, or that were typed with a little more."""
    said = [w for w in typed if w not in _IDLE]
    # A word left over that names something else says that this is not what is meant: a tank's size is no tube's.
    telling = _words() if of in vocabulary.vocabulary() else frozenset()
    found = []
    for place, (word, parts) in enumerate(known.items()):
        own = [p for p in parts if p not in _IDLE]
        lacking = [w for w in said if not any(_alike(w, p) for p in own)]
        more = [p for p in own if not any(_alike(w, p) for w in said)]
        if said and own and (not lacking or (not more and len(lacking) <= LEFT_OVER and telling.isdisjoint(lacking))):
            found.append((len(lacking) + len(more), place, word))
    whole = [word for left, _, word in found if not left]  # but for its spelling
    return (whole or [word for _, _, word in sorted(found)])[:MOST_PROPOSED]


@cache
def _words() -> frozenset[str]:
    """Every word in the name of an item."""
    return frozenset(w for items in vocabulary.vocabulary().values() for name in items for w in stems(name))


def proposed_items(family: str, kind: str | None, text: str) -> list[str]:
    """Items of a part; of a load, of its kind."""
    return propose(text, [i.name for i in vocabulary.items(family, kind)], family)


def elsewhere(text: str) -> list[str]:
    """The parts that have an item of this very name."""
    key = stems(text)
    return [part for part, items in vocabulary.vocabulary().items() if any(stems(name) == key for name in items)]


def proposed_parts(text: str) -> list[str]:
    """Parts, with what may be the name after them."""
    whole = propose(text, [*vocabulary.SINGLE, *vocabulary.NAMED], PART)
    first, _, name = text.partition(" ")
    named = [f"{p} {name}" for p in propose(first, vocabulary.NAMED, PART)] if name[:1].isalpha() else []
    return named[:MOST_PROPOSED] or [f"{p} NAME" if p in vocabulary.NAMED else p for p in whole[:MOST_PROPOSED]]


def proposed_choices(item: Item, text: str) -> list[str]:
    """Choices of an item."""
    if item.name == "size" and (sizes := _sizes(text, item.choices)):
        return sizes
    of = item.type.split()[1] if item.type.startswith("table ") else item.type if item.type == "kind" else CHOICE
    return propose(text, item.choices, of)


def _sizes(text: str, sizes: Sequence[str]) -> list[str]:
    """A trade size with its unit, as a decimal, or as the date that an office program made of it."""
    bare = re.sub(r"\s*(?:\"|''|in(?:ch(?:es)?)?\.?)$", "", text.strip(), flags=re.IGNORECASE)
    bare = re.sub(r"(?<=\d)\s+(?=\d+/)", "-", bare)
    if bare in sizes:
        return [bare]
    if date := re.fullmatch(r"\d{4}-(\d\d)-(\d\d)(?: .*)?|(\d{1,2})/(\d{1,2})/\d{2,4}", bare):
        one, other = (int(d) for d in date.groups() if d)
        return [s for s in (f"{one}/{other}", f"{other}/{one}") if s in sizes]
    if date := re.fullmatch(r"(\d{1,2})-([A-Za-z]{3})\w*|([A-Za-z]{3})\w*-(\d{1,2})", bare):
        day, month = int(date[1] or date[4]), (date[2] or date[3]).title()
        months = [m[:3] for m in vocabulary.MONTHS]
        numbers = (months.index(month) + 1, day) if month in months else (0, 0)
        return [s for s in (f"{numbers[0]}/{numbers[1]}", f"{numbers[1]}/{numbers[0]}") if s in sizes]
    if re.fullmatch(r"\d{0,2}[.,]\d{1,4}", bare):
        wanted = float(bare.replace(",", "."))
        return [s for s in sizes if (size := _inches(s)) is not None and math.isclose(size, wanted, abs_tol=1e-4)]
    return []


def _inches(size: str) -> float | None:
    if match := re.fullmatch(r"(?:(\d+)-)?(\d+)/(\d+)", size):
        return int(match[1] or 0) + int(match[2]) / int(match[3])
    return float(size) if size.isdigit() else None
