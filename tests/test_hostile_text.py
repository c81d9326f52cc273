"""No expression backtracks on what strangers send: each is driven with text of growing length made to mislead it, and times are compared as ratios.

Every expression of the project is found by itself: those that a module keeps, and those written where they are used. From each its own hostile texts are
made: runs of one of its characters, and of two of them in turn, before one that it does not take. Eight times the text may take eight times as long; what
grew with the square would take sixty-four times, and what tries every split far more. Those that see no text of strangers, or only short ones, are named
with the reason.
"""

from __future__ import annotations

import ast
import importlib
import itertools
import re
import re._constants as codes  # type: ignore[import-not-found]  # what the library's own parser makes
import re._parser as parser  # type: ignore[import-not-found]
import time
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest

ROOT = Path(__file__).parents[1]
OWN = ("pricing.data", "service.cli", "service.storage.migrations", "service.__main__")  # of whoever runs the shop
ANYWHERE = {"search", "sub", "split", "findall", "finditer"}
WAYS = {"fullmatch", "match", *ANYWHERE}
SHORT, LONG, ENOUGH = 250, 2_000, 0.002
AT_MOST = {"pricing.units._PART": 60}  # characters of a length, counted before (`_LONGEST`)
SHOPS_OWN = {"pricing.costing.terms._ZONE": "the shop's own table of terms, of which each cell is short"}


@cache
def names() -> tuple[str, ...]:
    """Every module, by where it lies; nothing is imported."""
    paths = sorted(path for folder in ("pricing", "service") for path in (ROOT / folder).rglob("*.py"))
    found = [".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__") for path in paths]
    return tuple(each for each in found if not each.startswith(OWN))


class Used(NamedTuple):
    """An expression, its flags, and whether it is looked for anywhere in a text, and not held against the whole or the beginning of it."""

    pattern: str | bytes
    flags: int
    anywhere: bool


def expressions(names: Iterable[str]) -> dict[Used, str]:
    """Each expression of these modules, and where it is."""
    found: dict[Used, str] = {}
    for each in names:
        for used, where in expressions_of(each).items():
            found.setdefault(used, where)
    return found


@cache
def expressions_of(name: str) -> dict[Used, str]:
    """Those of one module."""
    found: dict[Used, str] = {}
    module: Any = importlib.import_module(name)
    kept = {variable: value for variable, value in vars(module).items() if isinstance(value, re.Pattern)}
    text = Path(str(module.__file__)).read_text(encoding="utf-8")
    if not kept and "re." not in text:
        return found
    tree = ast.parse(text)
    searched = {asked for asked, way in calls(tree) if way in ANYWHERE}
    for variable, value in kept.items():
        used = Used(value.pattern, value.flags & ~re.UNICODE, variable in searched)
        found.setdefault(used, f"{module.__name__}.{variable}")
    for pattern, way in written(tree):
        found.setdefault(Used(pattern, 0, way in ANYWHERE), f"{module.__name__}, where it is used")
    return found


def calls(tree: ast.AST) -> Iterator[tuple[str, str]]:
    """Names that something is asked of, and what."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            yield node.value.id, node.attr


def written(tree: ast.AST) -> Iterator[tuple[str | bytes, str]]:
    """The expressions that stand as they are in calls of the library, and how each is used."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in WAYS and node.args:
            first = node.args[0]
            of_the_library = isinstance(node.func.value, ast.Name) and node.func.value.id == "re"
            if of_the_library and isinstance(first, ast.Constant):
                yield first.value, node.func.attr


def characters(pattern: str | bytes, flags: int) -> list[str]:
    """One of each kind of character that the expression speaks of, and the words it spells."""
    text = pattern.decode("latin-1") if isinstance(pattern, bytes) else pattern
    kinds: dict[str, None] = {}
    _collect(parser.parse(text, flags & ~re.DEBUG), kinds)
    return [*kinds][:6]


def _collect(parts: Any, kinds: dict[str, None]) -> None:  # noqa: C901, PLR0912  # a walk over the parser's kinds of parts
    for code, value in parts:
        if code is codes.LITERAL and value < 0xD800:
            kinds.setdefault(chr(value))
        elif code is codes.IN:
            for inner, what in value:
                if inner is codes.LITERAL:
                    kinds.setdefault(chr(what))
                elif inner is codes.RANGE:
                    kinds.setdefault(chr(what[0]))
                elif inner is codes.CATEGORY:
                    kinds.setdefault({codes.CATEGORY_SPACE: " ", codes.CATEGORY_DIGIT: "1"}.get(what, "a"))
        elif code in (codes.ANY, codes.NOT_LITERAL):
            kinds.setdefault("a")
        else:
            for inner in value if isinstance(value, (tuple, list)) else (value,):
                if isinstance(inner, parser.SubPattern):
                    _collect(inner, kinds)
                elif isinstance(inner, list):
                    for each in inner:
                        if isinstance(each, parser.SubPattern):
                            _collect(each, kinds)


def hostile(pattern: str | bytes, flags: int) -> list[str]:
    kinds = characters(pattern, flags)
    return [*kinds, *(a + b for a, b in itertools.permutations(kinds[:3], 2))]


def seconds(compiled: Any, unit: str, length: int, beginning: str, *, anywhere: bool = True) -> float:
    """The least of a few tries of every way to use it."""
    text: Any = beginning + unit * (length // len(unit)) + "\x01"
    if isinstance(compiled.pattern, bytes):
        text = text.encode("latin-1", "replace")
    found = []
    for _ in range(2):
        begun = time.thread_time()
        compiled.fullmatch(text)
        compiled.match(text)
        if anywhere:
            compiled.search(text)
        found.append(time.thread_time() - begun)
        if found[0] < ENOUGH or found[0] > 1:
            break
    return min(found)


def times_as_long(compiled: Any, unit: str, most: int, beginning: str, *, anywhere: bool) -> Iterator[float]:
    """How many times the time of a short text a long one takes, measured anew for whoever doubts it; 0 where the long one takes no time to speak of."""
    while True:
        long = seconds(compiled, unit, most, beginning, anywhere=anywhere)
        yield long / seconds(compiled, unit, SHORT, beginning, anywhere=anywhere) if long > ENOUGH else 0


def house(name: str) -> str:
    """The package that a module lies in: the first two names."""
    return ".".join(name.split(".")[:2])


HOUSES = sorted({house(each) for each in names()})


@pytest.mark.parametrize("lies_in", HOUSES)
def test_eight_times_the_text_takes_no_more_than_its_share_of_time(lies_in: str) -> None:
    for used, where in expressions(each for each in names() if house(each) == lies_in).items():
        if where in SHOPS_OWN:
            continue
        compiled, most = re.compile(used.pattern, used.flags), AT_MOST.get(where, LONG)
        for unit in hostile(used.pattern, used.flags):
            for beginning in ("", "1"):
                ratios = itertools.islice(times_as_long(compiled, unit, most, beginning, anywhere=used.anywhere), 3)
                assert any(ratio < 24 for ratio in ratios), (where, unit, beginning)


def test_the_expressions_are_found() -> None:
    places = set(expressions(names()).values())
    assert {"pricing.units._PART", "service.http.idempotency._QUOTED", "service.credentials.keys._SHAPE"} <= places
    assert len(places) > 30
