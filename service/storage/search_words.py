"""The words that quotes are found by: letters without case or accents, split at everything that is neither letter nor digit."""

from __future__ import annotations

import re
import unicodedata

LONGEST = 40  # characters of a word that the index has; the rest is compared in the entry itself
_WORD = re.compile(r"[^\W_]+")
# Letters that Unicode does not take apart into a letter and an accent.
_ALIKE = str.maketrans({"ø": "o", "đ": "d", "ð": "d", "ł": "l", "æ": "ae", "œ": "oe", "þ": "th", "ı": "i", "ħ": "h"})


def folded(text: str) -> str:
    """Text by which two spellings are compared: case folded (Unicode 15, 3.13), compatibility forms and accents taken away (NFKD)."""
    if text.isascii():
        return text.lower()
    apart = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    return "".join(each for each in apart if not unicodedata.combining(each)).translate(_ALIKE)


def words_of(text: str | None) -> list[str]:
    """The words of a text, each once, in its order."""
    return [] if text is None else list(dict.fromkeys(_WORD.findall(folded(text))))
