"""The language of a drawing: its few words, and the decimal sign of its lengths. What the engine and the shop's tables say stays as it is."""

from __future__ import annotations

from dataclasses import dataclass
from gettext import NullTranslations


@dataclass(frozen=True, slots=True)
class Tongue:
    """`messages` translates the words; `decimal` stands between whole and parts of a millimetre."""

    messages: NullTranslations
    decimal: str = "."

    def say(self, message: str, **values: object) -> str:
        """A text with its values."""
        return self.messages.gettext(message) % values

    def length(self, text: str) -> str:
        """The text of a length, as the quote has it."""
        return text.replace(".", self.decimal)


ENGLISH = Tongue(NullTranslations())
