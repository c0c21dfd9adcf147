"""Typed text made fit to be kept: nothing is cut off, only what no file or screen can hold goes."""

from __future__ import annotations

import re

#: C0, DEL and C1 controls except newline and tab: a terminal would act on them.
_CONTROLS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")
#: Halves of a surrogate pair standing alone; UTF-8 has no bytes for them.
_SURROGATES = re.compile(r"[\ud800-\udfff]")


def clean(text: str) -> str:
    r"""Text as it is kept: "\n" ends lines, no control characters, U+FFFD for lone surrogates."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return _SURROGATES.sub("\N{REPLACEMENT CHARACTER}", _CONTROLS.sub("", text))
