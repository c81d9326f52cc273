"""The language of a drawing: its few words, the decimal sign of its lengths, and the names that can be translated."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from gettext import NullTranslations


@dataclass(frozen=True, slots=True)
class Tongue:
    """`messages` translates the words; `decimal` stands between whole and parts of a millimetre; `names` translates a name, or does not (None)."""

    messages: NullTranslations
    decimal: str = "."
    names: Callable[[str], str | None] = lambda _: None

    def say(self, message: str, **values: object) -> str:
        """A text with its values."""
        return self.messages.gettext(message) % values

    def name(self, text: str) -> str:
        """A name, or several with `; ` between them."""
        return "; ".join(self.names(each) or each for each in text.split("; "))

    def length(self, text: str) -> str:
        """The text of a length, as the quote has it."""
        return text.replace(".", self.decimal)


ENGLISH = Tongue(NullTranslations())
