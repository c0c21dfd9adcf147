"""Texts that tell a mechanic nothing: a way of looking that is none, and a result like any other.

The lists are common practice: short, English, and of whole texts only. A text with one word of its
own, such as where to put a finger, is let through.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

#: A way of looking needs this many words at least.
FEWEST_WORDS = 4

_WORD = re.compile(r"[^\W_]+(?:['’-][^\W_]+)*")

#: Words for looking that do not say how.
_LOOK = frozenset({"inspect", "check", "examine", "assess", "verify", "review", "evaluate"})
#: `look at`, `look over`: the second word of a verb of two.
_LOOK_AT = frozenset({"at", "over"})
_MANNER = frozenset(
    {"carefully", "thoroughly", "closely", "visually", "properly", "well", "please", "always"}
)
#: Words that begin to say how or where, so that a text with one of them is not vague.
_SAYS_HOW = frozenset(
    {
        *("about", "above", "across", "after", "against", "along", "around", "at", "before"),
        *("behind", "below", "beneath", "beside", "between", "by", "during", "from", "if", "in"),
        *("inside", "into", "near", "off", "on", "onto", "outside", "over", "round", "through"),
        *("to", "toward", "towards", "under", "underneath", "until", "up", "when", "where"),
        *("while", "with", "without"),
    }
)
#: What everybody looks for everywhere.
_ANYTHING = frozenset(
    {
        *("any", "and", "or", "of", "other", "obvious", "visible", "signs", "sign", "damage"),
        *("damages", "wear", "defect", "defects", "fault", "faults", "problem", "problems"),
        *("issue", "issues", "condition", "function", "operation", "correctness"),
    }
)
_LONGEST_OBJECT = 4

#: A result of these words only, one of the first list among them, could be that of any check.
_JUDGES = frozenset(
    {
        *("acceptable", "average", "bad", "concern", "concerns", "condition", "damage"),
        *("damaged", "defect", "defective", "defects", "doubtful", "expected", "fail", "failed"),
        *("fails", "fair", "fault", "faults", "faulty", "fine", "good", "issue", "issues"),
        *("normal", "ok", "okay", "pass", "passed", "passes", "poor", "problem", "problems"),
        *("questionable", "satisfactory", "unacceptable", "unsatisfactory", "wear", "worn"),
    }
)
_BESIDE = frozenset(
    {
        *("a", "all", "and", "any", "appears", "are", "as", "be", "in", "is", "it", "looks"),
        *("major", "minor", "no", "not", "of", "or", "order", "quite", "seems", "should"),
        *("signs", "slight", "slightly", "so", "some", "very", "visible", "well"),
    }
)

#: Sources that name nothing.
_NO_SOURCE = frozenset(
    {
        *(
            "none",
            "no source",
            "unknown",
            "not known",
            "n a",
            "na",
            "tbd",
            "todo",
            "to do",
            "fixme",
        ),
        *("source", "various", "various sources", "internet", "the internet", "web", "own", "me"),
        *("somewhere", "to be done", "to be added", "add source", "see above", "xxx", "x", "later"),
    }
)


@lru_cache(4096)
def words(text: str) -> tuple[str, ...]:
    """The words of a text in small letters, without signs."""
    return tuple(_WORD.findall(text.lower()))


@lru_cache(4096)
def too_short(text: str) -> bool:
    """Whether a way of looking is too short to be one.

    Scripts that are written without blanks count two signs as a word.
    """
    count = len(words(text))
    if count >= FEWEST_WORDS:
        return False
    wide = sum(unicodedata.east_asian_width(sign) in "WF" for sign in text)
    return count + wide // 2 < FEWEST_WORDS


@lru_cache(4096)
def only_looks(text: str) -> bool:
    """Whether a text says to inspect a thing, or to check it for damage, and no more."""
    said = [word for word in words(text) if word not in _MANNER]
    if said[:1] == ["look"] and len(said) > 1 and said[1] in _LOOK_AT:
        said = said[2:]
    elif said and said[0] in _LOOK:
        said = said[1:]
    else:
        return False
    if "for" in said:
        at = said.index("for")
        if not set(said[at + 1 :]) <= _ANYTHING:
            return False
        said = said[:at]
    thing = [word for word in said if word not in ("the", "all", "a", "its", "their")]
    return len(thing) <= _LONGEST_OBJECT and not _SAYS_HOW & set(thing)


@lru_cache(4096)
def says_nothing(text: str) -> bool:
    """Whether a result could be that of any check, such as `OK` or `In good condition`."""
    said = words(text)
    return not _JUDGES.isdisjoint(said) and set(said) <= _JUDGES | _BESIDE


@lru_cache(512)
def no_source(text: str) -> bool:
    """Whether a source names nothing that could be looked up."""
    said = " ".join(words(text))
    return not said or said in _NO_SOURCE
