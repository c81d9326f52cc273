"""The languages of pages, papers and the form: English is in the code, others are in message catalogues (`de.po`)."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from gettext import NullTranslations
from pathlib import Path

FOLDER = Path(__file__).parent


def translator(language: str) -> Callable[[str], str]:
    """A function that translates texts; those missing from the message catalogue stay English."""
    return messages(language).gettext


@cache
def messages(language: str) -> NullTranslations:
    """The message catalogue of a language."""
    path = FOLDER / f"{language}.po"
    if language == "en" or not path.is_file():
        return NullTranslations()
    import io

    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po
    from babel.support import Translations

    with path.open("rb") as file:
        catalogue = read_po(file, locale=language)
    compiled = io.BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    return Translations(compiled)
