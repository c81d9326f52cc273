"""Finds a person's names and other identifying words in text written by others, and removes them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

ERASED = "erased"
_DIGITS = 7
_NUMBER = re.compile(r"[+0-9\s()/.-]+")
LEAST = 3  # characters; a shorter word might be anything
# Fields with free text. Common words, such as the name of a boat called Port, are only searched for there, not in the engine's own text.
FREE = frozenset(
    {"tag", "label", "title", "boat", "custom_id", "line", "note", "by", "who", "reason", "message", "remedy", "detail", "subject", "source", "left_out", "words",
     "text", "understood", "answer"}
)  # fmt: skip


class PersonalWords:
    """Names, addresses, telephone numbers, references and boats of one person, matched as whole words regardless of letter case and spacing.

    Unmistakable words, those with several parts or an @, are removed from any text, the others only from free text. A number without letters is
    matched however its digits are grouped, if it has at least `_DIGITS` of them: a shorter one could be any number.
    """

    def __init__(self, words: Iterable[str]) -> None:
        normalised = {" ".join(each.split()) for each in words}
        kept = sorted(
            (each for each in normalised if _is_number(each) or (len(each) >= LEAST and re.search(r"[^\W\d_]", each))),
            key=len,
            reverse=True,
        )
        self._all, self._sure = _pattern(kept), _pattern([each for each in kept if " " in each or "@" in each])

    def removed_from(self, value: Any, *, anywhere: bool = False) -> Any:
        """The value with these words replaced; the same object if it contains none. `anywhere`: the text may be about somebody else, so only
        unmistakable words are replaced, or a word that is the entire text.
        """
        found = self._removed(value, "", anywhere)
        return value if found == value else found

    def _removed(self, value: Any, name: str, anywhere: bool) -> Any:
        if isinstance(value, str):
            return self._text(value, name, anywhere)
        if isinstance(value, dict):
            return {each: self._removed(one, each, anywhere) for each, one in value.items()}
        return [self._removed(one, name, anywhere) for one in value] if isinstance(value, list) else value

    def _text(self, text: str, name: str, anywhere: bool) -> str:
        pattern = self._all if name in FREE and not anywhere else self._sure
        if anywhere and name in FREE and self._all is not None and self._all.fullmatch(text.strip()):
            return ERASED
        return text if pattern is None else pattern.sub(ERASED, text)


def _is_number(word: str) -> bool:
    return _NUMBER.fullmatch(word) is not None and sum(map(str.isdigit, word)) >= _DIGITS


def _grouped(number: str) -> str:
    return r"\+?\(?" + r"[\s()/.-]{0,3}".join(re.findall("[0-9]", number))


def _pattern(words: Iterable[str]) -> re.Pattern[str] | None:
    found = [_grouped(each) if _is_number(each) else r"\s+".join(map(re.escape, each.split())) for each in words]
    return re.compile(rf"(?<!\w)(?:{'|'.join(found)})(?!\w)", re.IGNORECASE) if found else None
