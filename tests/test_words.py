"""The catalogue of words: both languages tell the same readers the same things, and owners see nothing that is meant for programmers."""

from __future__ import annotations

import ast
import re
import string
from decimal import Decimal
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

import pricing.quote  # registers every code
import service
from pricing.findings import CODES
from pricing.measurement.roles import ROLES
from pricing.values import FineLength, Phrase, compared, phrase
from pricing.wording import LANGUAGES, READERS, Voice, voice_for
from pricing.wording.catalogue import entries, names
from service.web_form.element_texts import CONTEXT, texts
from service.web_form.element_texts import TEXTS as TEXTS_OF_THE_ELEMENT
from service.wording import FOLDER, messages

TEXTS = frozenset({"owner", "owner_remedy", "shop", "shop_remedy", "short"})


def fields(template: str) -> set[str]:
    """The values that a template is filled with."""
    return {name for _, name, _, _ in string.Formatter().parse(template) if name is not None}


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_entry_belongs_to_a_code_and_has_its_texts(language: str) -> None:
    for key, forms in entries(language).items():
        assert key.partition(".")[0] in CODES, key
        assert set(forms) <= TEXTS, key
        for reader in READERS:
            assert (reader in forms) == (f"{reader}_remedy" in forms) or {"owner", "owner_remedy"} <= set(forms), key
        said_to_shop = CODES[key.partition(".")[0]].reader == "shop"
        assert ("owner" not in forms) == said_to_shop, f"{key}: a finding for the shop alone has the shop's words alone"
        assert ("short" in forms) == CODES[key.partition(".")[0]].assumption, f"{key}: an assumption has a short form, nothing else has"


def test_all_languages_have_the_same_codes_and_wordings() -> None:
    first = set(entries(LANGUAGES[0]))
    for language in LANGUAGES[1:]:
        assert set(entries(language)) == first
        assert set(names(language)) == set(names(LANGUAGES[0]))


def test_no_language_needs_a_value_that_the_other_lacks() -> None:
    for key, forms in entries(LANGUAGES[0]).items():
        used = set().union(*(fields(text) for text in forms.values()))
        for language in LANGUAGES[1:]:
            others = set().union(*(fields(text) for text in entries(language)[key].values()))
            assert others == used, f"{key}: {language} uses {others ^ used}"


@pytest.mark.parametrize(
    ("said", "form", "words"),
    [
        (phrase("terminal.eye"), "am", "am Auge"),
        (phrase("terminal.fork"), "am", "an der Gabel"),
        (phrase("terminal.fork"), "zum", "zur Gabel"),
        (phrase("link.shackle"), "zum", "zum Schäkel"),
        (phrase("terminal.eye"), "im", "im Auge"),
        (phrase("terminal.fork"), "vom", "von der Gabel"),
        (phrase("detail.pin"), "zum", "zu einem Bolzen"),
        (phrase("mast.main"), "am", "am Großmast"),
    ],
)
def test_a_german_preposition_and_its_article_are_contracted(said: Phrase, form: str, words: str) -> None:
    """German grammar: an dem, in dem, von dem, zu dem and zu der are drawn together, others are not."""
    assert voice_for("de", "metric", "owner").phrase(said, form) == words


@pytest.mark.parametrize("language", LANGUAGES)
def test_texts_read_as_sentences_without_fields_or_marks_of_programmers(language: str) -> None:
    for key, forms in entries(language).items():
        for name, text in forms.items():
            bare = re.sub(r"\{[^}]*\}", "", text)
            assert not re.search(r"`|degC|\b[a-z]+_[a-z]+\b|\bJSON\b", bare), f"{language} {key} {name}: {text}"
            assert name == "short" or text.endswith((".", "?", ")", "”", "“")), f"{language} {key} {name} does not end as a sentence"


def test_a_caliper_reading_keeps_the_digits_of_the_caliper() -> None:
    """1 in = 25.4 mm exactly: 4.80 mm is 0.18898 in."""
    reading = FineLength(Decimal("4.80"))
    assert Voice("de").value(reading) == "4,80 mm"
    assert Voice("en", "imperial").value(reading) == "0.189 in"
    assert Voice("en", "imperial", "shop").value(reading) == "0.189 in (4.80 mm)"


@pytest.mark.parametrize(
    ("one", "other", "metric", "imperial"),
    [
        ("9.5", "9.54", ("9.50 mm", "9.54 mm"), ("0.374 in", "0.376 in")),  # 9.5 / 25.4 = 0.37402, 9.54 / 25.4 = 0.37559
        ("9.525", "9.525", ("9.5 mm", "9.5 mm"), ("3/8 in", "3/8 in")),
        ("6.35", "9.525", ("6.4 mm", "9.5 mm"), ("1/4 in", "3/8 in")),
    ],
)
def test_compared_lengths_have_more_decimals_only_where_they_would_look_alike(
    one: str, other: str, metric: tuple[str, str], imperial: tuple[str, str]
) -> None:
    """1 in = 25.4 mm exactly (NIST SP 811)."""
    pair = compared(Decimal(one), Decimal(other))
    for units, said in (("metric", metric), ("imperial", imperial)):
        assert tuple(voice_for("en", units, "owner").value(each) for each in pair) == said


def test_a_wire_has_one_name_in_each_paper_and_form() -> None:
    """What the form calls a role in German is its name in the list of names, which the papers say."""
    listed = {key.removeprefix("role."): forms["name"] for key, forms in names("de").items() if key.startswith("role.")}
    form = messages("de")
    english = {key.removeprefix("role."): forms["name"] for key, forms in names("en").items() if key.startswith("role.")}
    assert listed.keys() == ROLES.keys()
    for role, name in listed.items():
        if ROLES[role].label.lower() == english[role]:  # the form says of some a little more
            assert form.gettext(ROLES[role].label).lower() == name.lower(), role


SAID = {"formula", "inputs"}
SAYING = {"pricing/derivation.py", "pricing/model/assembly.py", "pricing/records/difference/figures.py", "service/quotes/recompute.py"}


def test_no_code_reads_a_sentence_of_the_derivation() -> None:
    """Steps and formulas are for people: what computes, draws and prints reads codes, values and members. The files of SAYING make them,
    or name them as words to be left out of a comparison.
    """
    root = Path(service.__file__).parents[1]
    for file in sorted(each for package in ("pricing", "service") for each in (root / package).rglob("*.py")):
        name = file.relative_to(root).as_posix()
        if name in SAYING or name.startswith("pricing/wording/"):
            continue
        text = file.read_text(encoding="utf-8")
        said = SAID | {"step", "source"} if name.startswith("service/") and '"derivation"' in text else SAID
        if not any(word in text for word in said):
            continue
        tree = ast.parse(text)
        read = [node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Load)]
        keys = [node.slice.value for node in ast.walk(tree) if isinstance(node, ast.Subscript) and isinstance(node.slice, ast.Constant)]
        assert not {*read, *keys} & said, name


def test_one_word_for_one_thing_in_german() -> None:
    """Words that stood beside each other for one thing, in the trade's usage; the one that is kept is in the list of names."""
    gone = re.compile(
        r"Gewindebolzen|T-Stück|[Vv]erpress|Stander\b|Relingsdr|Genickwant|\b[Ff]reie[sn]? Gewinde\b|Mittelwant|Topstag|Kutterstag|Kausche\b"
        r"|[\d}s] (?:in|ft)\b(?=[.,;)\"“]|$)|\d (?:in|ft)\b"
    )
    texts = [text for forms in (*entries("de").values(), *names("de").values()) for text in forms.values()]
    texts += [line for line in (FOLDER / "de.po").read_text(encoding="utf-8").splitlines() if not line.startswith("msgid")]
    assert not [text for text in texts if gone.search(text)]


def test_no_text_is_translated_that_is_no_longer_used() -> None:
    """Each text of the catalogue stands in a template or in a text of the code, as it is or with its values."""
    root = Path(service.__file__).parent
    pages = " ".join(file.read_text(encoding="utf-8") for kind in ("*.html", "*.typ") for file in root.rglob(kind))
    said = re.sub(r"\s+", " ", re.sub(r"\{\{ *(\w+) *\}\}", r"%(\1)s", pages))
    constants = {
        node.value
        for base in (root, Path(pricing.__file__).parent)
        for file in base.rglob("*.py")
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    with (FOLDER / "de.po").open("rb") as file:
        ids = [each.id if isinstance(each.id, str) else each.id[0] for each in read_po(file, locale="de") if each.id and not each.context]
    assert [each for each in ids if each not in constants and re.sub(r"\s+", " ", each) not in said] == []


def test_the_element_has_every_text_in_german_and_the_catalogue_no_other() -> None:
    with (FOLDER / "de.po").open("rb") as file:
        ids = {each.id for each in read_po(file, locale="de") if each.context == CONTEXT and each.string}
    assert ids == set(TEXTS_OF_THE_ELEMENT.values())
    for name, text in texts("de").items():
        both = [TEXTS_OF_THE_ELEMENT[name], text]
        assert len({frozenset(re.findall(r"\{\w+\}", str(each))) for each in both}) == 1, name
