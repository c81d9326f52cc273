"""The inventions that the recipes are followed for: a family, a role, a format, a question, a pricing rule and a rate of tax."""

from __future__ import annotations

import re

from tests.recipes.following import Change, Recipe, after, all_of, before, translated, written

ENGLISH, GERMAN = "pricing/wording/en/names.toml", "pricing/wording/de/names.toml"
WORDS = "service/wording/de.po"
MAKE_DEMO = "pricing.data.make_demo"
CONTRACT = (
    "tests/test_contract.py::test_a_request_schema_has_the_fields_of_the_code_and_requires_the_same",
    "tests/test_contract.py::test_every_example_is_valid",
)
NAMES = ("tests/test_registries.py", "tests/test_words.py")
GERMAN_FORM = "tests/service/test_form.py::test_every_text_of_the_form_has_a_german_one"
GERMAN_NAMES = "tests/documents/test_quotation_german.py::test_every_name_of_the_demo_tables_is_put_together_from_known_words"
GERMAN_PATTERNS = "tests/documents/test_quotation_german.py::test_every_pattern_is_translated_with_its_places_and_nothing_else_is"


def enumerated(new: str, *listed: str) -> Change:
    """A value more in every enumeration of the contract that has those `listed`, after the last of them."""
    run = re.escape(", ".join(listed))

    def made(text: str) -> str:
        text, count = re.subn(rf"(enum: \[[^\]]*\b{run})\b", rf"\1, {new}", text)
        assert count, f"no enumeration has {listed}"
        return text

    return made


FAMILY = Recipe(
    "A fitting family",
    {
        "pricing/fittings/swivel_eye.py": written('''"""A swivel eye: a tongue that turns about the wire's axis."""

from __future__ import annotations

from pricing.fittings.barrel import Barrel
from pricing.fittings.base import HOLE
from pricing.fittings.outline import Bearing, Disc, Shank, Solid


class SwivelEye(Barrel):
    """Bearing: the wall of the pin hole farthest from the wire."""

    name = "swivel_eye"
    label = "Swivel eye"
    bears = "Bears on the wall of its hole, beyond the swivel."
    side = "tongue"
    attachments = ("swage",)
    asks = ("pin",)
    datums = HOLE
    needs = ("pin", "hole", "tip")
    may = ("tongue",)
    outline = (Shank(4.5), Solid(((3.2, 1.2), (4.4, 1.2))), Disc(0.9, 2.0), Disc(0.9, 0.9), Disc(3.8, 0.5), Bearing(0.0, 0.2, 0.9))
'''),
        "pricing/fittings/__init__.py": all_of(
            after("from pricing.fittings.stud import Stud\n", "from pricing.fittings.swivel_eye import SwivelEye\n"),
            after("Toggle(), ", "SwivelEye(), "),
        ),
        "pricing/data/recipes/terminals.py": after(
            "SHAPE = {\n", '    "swivel_eye": (Fraction(30, 10), Fraction(70, 100), Fraction(140, 100)),\n'
        ),
        "openapi.yaml": enumerated("swivel_eye", "stud", "ball", "toggle"),
        ENGLISH: after("[terminal]\n", 'swivel_eye = { name = "swivel eye", the = "the swivel eye", a = "a swivel eye" }\n'),
        GERMAN: after(
            "[terminal]\n",
            'swivel_eye = { name = "Wirbelauge", der = "das Wirbelauge", den = "das Wirbelauge", dem = "dem Wirbelauge", ein = "ein Wirbelauge" }\n',
        ),
        WORDS: all_of(
            translated([
                ("Swivel eye", "Wirbelauge"),
                ("Bears on the wall of its hole, beyond the swivel.", "Liegt an der Wand seines Lochs an, jenseits des Wirbels."),
            ]),
            translated(
                [
                    ("Swivel eye, swage, for %(wire)s wire, %(pin)s pin", "Wirbelauge, gewalzt, für Draht %(wire)s, Bolzen %(pin)s"),
                    ("Customer's own swivel eye", "Wirbelauge des Kunden"),
                ],
                "name",
            ),
        ),
    },
    "family",
    (MAKE_DEMO,),
    (*NAMES, *CONTRACT, "tests/catalogue/test_demo.py", GERMAN_FORM, GERMAN_NAMES, GERMAN_PATTERNS),
)  # fmt: skip
ROLE = Recipe(
    "A role of a wire",
    {
        "pricing/measurement/roles.py": before(
            '    Role("halyard"', '    Role("bowsprit_shroud", "Bowsprit shroud", "up_to_stay", standing=True, shroud=True, once="side"),\n'
        ),
        "openapi.yaml": enumerated("bowsprit_shroud", "lifeline_lower", "gate_wire"),
        ENGLISH: after("[role]\n", 'bowsprit_shroud = { name = "bowsprit shroud", the = "the bowsprit shroud" }\n'),
        GERMAN: after(
            "[role]\n",
            'bowsprit_shroud = { name = "Bugspriet-Want", der = "das Bugspriet-Want", den = "das Bugspriet-Want", dem = "dem Bugspriet-Want" }\n',
        ),
        WORDS: translated([("Bowsprit shroud", "Bugspriet-Want")]),
    },
    "role",
    checks=(*NAMES, *CONTRACT, GERMAN_FORM),
)
FORMAT = Recipe(
    "An output format of a quote",
    {
        "service/documents/markdown.py": written('''"""A quote's priced lines as a table in Markdown."""

from __future__ import annotations

from pricing.model import Quote


def table(quote: Quote) -> bytes:
    """A row for each line, with its net amount; equal quotes give equal bytes."""
    rows = [f"| {line.name} | {line.net} |" for line in quote.lines]
    return "\\n".join([f"# {quote.number}", "", "| line | net |", "|---|---|", *rows, ""]).encode()
'''),
        "service/formats/quote.py": all_of(
            after("from service.documents.csv import quote as quote_csv\n", "from service.documents import markdown\n"),
            before(
                '    "html": Served(',
                '    "markdown": Served(Form("text/markdown", "md", saved=True), markdown.table, says="Its priced lines in Markdown"),\n',
            ),
            after("from service.formats.replies import CSV, ", "Form, "),
        ),
        "openapi.yaml": all_of(
            enumerated("markdown", "json", "html", "pdf", "csv", "xlsx", "ubl"),
            after(
                'description: "A Quotation of UBL (OASIS Universal Business Language), valid by 2.1 and 2.4."}\n',
                '            text/markdown:\n              schema: {type: string, maxLength: 10000000, description: "Its priced lines."}\n',
            ),
        ),
    },
    "format",
    checks=("tests/test_registries.py", *CONTRACT),
)  # fmt: skip
QUESTION = Recipe(
    "A question of the form",
    {
        "service/web_form/ask_wire.py": after(
            "WIRE = (\n",
            '    Question("sheave_diameter", "wire", "length", N_("How thick is the sheave that it runs over?"), when=is_("role", "halyard")),\n',
        ),
        WORDS: translated([("How thick is the sheave that it runs over?", "Welchen Durchmesser hat die Scheibe, über die er läuft?")]),
    },
    "question",
    checks=(GERMAN_FORM, "tests/service/test_form.py::test_every_path_of_the_form_is_a_field_of_the_request"),
)  # fmt: skip
RULE = Recipe(
    "A pricing rule",
    {
        "pricing/costing/rules.py": all_of(
            before(
                "# The texts that the rules write",
                '''def packing(order: Order, sheet: Sheet) -> None:
    """What is sent is packed, at a price for the whole order."""
    if isinstance(order.delivery, Ship) and sheet.lines:
        sheet.add_charge("packing", "order", Decimal("4.50"), f"Packing, {order.delivery.weight_kg} kg", FREIGHT_SERVICE)


''',
            ),
            after("extra_lines, freight, ", "packing, "),
            after("WRITTEN = (\n", '    "Packing, %(weight)s",\n'),
        ),
        "pricing/version.py": lambda text: re.sub(r'ENGINE = ".*"', 'ENGINE = "99.0.0"', text),
        WORDS: translated([("Packing, %(weight)s", "Verpackung, %(weight)s")], "name"),
    },
    "rule",
    checks=(*CONTRACT, GERMAN_PATTERNS),
)
TAX = Recipe(
    "A price, a tax or a term from another day",
    {
        "pricing/data/recipes/shop.py": after('("labour", "Z", FIRST, "0"),', ' ("labour", "S", "2026-10-01", "7"),'),
    },
    "tax",
    (MAKE_DEMO,),
    ("tests/catalogue/test_demo.py::test_the_committed_file_is_what_the_generator_writes",),
)
RECIPES = (FAMILY, ROLE, FORMAT, QUESTION, RULE, TAX)
