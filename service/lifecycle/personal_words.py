"""Finds the words by which a person is known in text written by others, and removes them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

ERASED = "erased"
_DIGITS = 7
_NUMBER = re.compile(r"[+0-9\s()/.-]+")
LEAST = 3  # characters: a shorter word cannot be recognised as the name
# Fields with free text. A common word, such as a boat called Port, is only looked for there, not in the engine's own text.
FREE = frozenset(
    {"tag", "label", "title", "boat", "custom_id", "line", "note", "by", "who", "reason", "message", "remedy", "detail", "subject", "source", "left_out", "words",
     "text", "understood", "answer"}
)  # fmt: skip


class Words:
    """Names, addresses, telephone numbers, references and boats of one person, matched as whole words regardless of letter case and spacing.

    `sure` words, those with several parts or an @, are looked for in all text, the others only in free text. A number without letters is known
    from `_DIGITS` digits on, however it is grouped: a shorter one may be any number.
    """

    def __init__(self, words: Iterable[str]) -> None:
        told = {" ".join(each.split()) for each in words}
        kept = sorted(
            (each for each in told if _is_number(each) or (len(each) >= LEAST and re.search(r"[^\W\d_]", each))), key=len, reverse=True
        )
        self._all, self._sure = _pattern(kept), _pattern([each for each in kept if " " in each or "@" in each])

    def gone(self, value: Any, *, anywhere: bool = False) -> Any:
        """The value without these words; the same object if it contains none. `anywhere`: the text is not known to be this person's,
        so only sure words are removed, or a word that is the whole text.
        """
        found = self._gone(value, "", anywhere)
        return value if found == value else found

    def _gone(self, value: Any, name: str, anywhere: bool) -> Any:
        if isinstance(value, str):
            return self._text(value, name, anywhere)
        if isinstance(value, dict):
            return {each: self._gone(one, each, anywhere) for each, one in value.items()}
        return [self._gone(one, name, anywhere) for one in value] if isinstance(value, list) else value

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
