"""Texts of a file on their way to a terminal, which takes some characters for orders."""

from __future__ import annotations

import re

# Control characters but the line feed, and those that turn the direction of writing about (Unicode, Bidi_Control).
_ORDERS = re.compile("[\\x00-\\x09\\x0b-\\x1f\\x7f-\\x9f\\u061c\\u200e\\u200f\\u2028\\u2029\\u202a-\\u202e\\u2066-\\u2069]")


def plain(text: str) -> str:
    """A text with what would order a terminal about written as its code, ``\\u001b``, which JSON reads back as the character."""
    return _ORDERS.sub(lambda m: f"\\u{ord(m[0]):04x}", text)
