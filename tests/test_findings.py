"""The list of findings matches the code: each is registered once, each used where it is registered or imported, each explained."""

import re
from pathlib import Path

import pricing.quote  # noqa: F401  registers every code
from pricing.findings import CODES

SOURCES = [path.read_text(encoding="utf-8") for path in (Path(__file__).parents[1] / "pricing").rglob("*.py")]


def test_every_code_in_the_source_is_in_the_list_and_the_reverse():
    written = {match[1] for text in SOURCES for match in re.finditer(r'\bcode\(\s*"([a-z0-9-]+)"', text)}
    assert written == set(CODES)


def test_every_registered_code_is_used_somewhere():
    names = {match[1]: match[2] for text in SOURCES for match in re.finditer(r'^([A-Z_]+) = code\(\s*"([a-z0-9-]+)"', text, re.MULTILINE)}
    assert set(names.values()) == set(CODES)
    used = {match[1] for text in SOURCES for match in re.finditer(r"(?:finding|_misfit)\(\s*([A-Z_]+)\b", text)}
    assert set(names) - used == set()


def test_every_code_says_what_it_means_in_a_sentence():
    assert all(each.meaning.endswith(".") and each.severity in ("stop", "ask", "note") for each in CODES.values())
