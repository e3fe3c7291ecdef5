"""Signs that look alike and mean the same: what office programs and keyboards put in place of a plain one."""

from __future__ import annotations

import re

_SIGNS = {
    **dict.fromkeys("º˚∘ᵒ", "°"),
    "℉": "°F",
    "℃": "°C",
    **dict.fromkeys("‐‑‒–—−", "-"),
    **dict.fromkeys("‘’′ʹ", "'"),
    **dict.fromkeys("“”″", '"'),
    **dict.fromkeys("⁄∕", "/"),
    **dict.fromkeys("∙⋅•", "·"),
    "µ": "μ",
    **dict.fromkeys("\u00a0\u2007\u2009\u202f", " "),
    **dict.fromkeys("\u00ad\u200b\u2060\ufeff", ""),  # nothing to see
}
_TABLE = str.maketrans(_SIGNS)
# UTF-8 that was opened as code page 1252 and saved again shows an Â before each of these.
_OPENED_AS_1252 = re.compile("Â(?=[°º²³·½¼¾\u00a0])")
FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_FRACTION = re.compile(rf"(\d?)[ -]?([{''.join(FRACTIONS)}])")
_WHOLE_AND_PARTS = re.compile(r"(?<=\d) (?=\d+/\d+)")


def plain_signs(text: str) -> str:
    """The text with the plain sign in place of each that looks like it."""
    return text if text.isascii() else _OPENED_AS_1252.sub("", text).translate(_TABLE)


def plain_size(text: str) -> str:
    """A trade size as the tables print it: 1½ and 1 1/2 are 1-1/2."""
    parts = _FRACTION.sub(lambda m: f"{m[1]}-{FRACTIONS[m[2]]}" if m[1] else FRACTIONS[m[2]], plain_signs(text))
    return _WHOLE_AND_PARTS.sub("-", parts)
