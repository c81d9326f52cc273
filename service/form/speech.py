"""The languages of the form: English stands in the code, others in catalogues of messages."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from gettext import NullTranslations
from pathlib import Path

LANGUAGES = ("en", "de")
_FOLDER = Path(__file__).parent / "locale"


def translator(language: str) -> Callable[[str], str]:
    """What says a text of the form in that language; in English where the catalogue of messages lacks it."""
    return messages(language).gettext


@cache
def messages(language: str) -> NullTranslations:
    """The catalogue of messages of a language."""
    path = _FOLDER / language / "form.po"
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
