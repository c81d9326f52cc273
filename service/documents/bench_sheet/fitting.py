"""How the pages of the bench sheet on paper are set, so that each assembly takes one.

Each page is tried by itself, from the usual lettering down to the smallest that is read at a bench; to measure within the template takes
six times the memory of the page, for every page at once.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

Json = dict[str, Any]
Pages = Callable[[Json], int]
#: Lettering, pt, and the room of a page within its margins, mm.
SIZES = (8.5, 8.0, 7.5, 7.0)
ROOMS = {"a4": (182.0, 272.0), "us-letter": (187.9, 254.4)}
_ROWS = (6, 3, 1)  # rows to sign; further pieces are signed on a copy
_READABLE = 0.8  # of a drawing as wide as the page, whose lettering is 8.3 pt and more
_LITTLE = 1500  # characters of reasons that go on a page in any case
_LISTED = 40  # assemblies, beyond which an overview is not tried on one page
_SIZE = re.compile(r'width="([\d.]+)mm" height="([\d.]+)mm"')


class Setting(NamedTuple):
    """How a page is set: lettering in pt, rows to sign, and the height of its drawing in mm."""

    size: float
    rows: int = 1
    drawing: float = 0.0


def set_to_fit(sheet: Json, only: int | None, pages: Pages) -> Json:
    """The data of the sheet with a setting for each assembly and the size of the overview; with `only`, of the assembly at this place, without
    the overview. `pages` counts those of a part of it.
    """
    data = {**sheet, "listed": sheet["assemblies"], "overview": only is None}
    if only is not None:
        data |= {name: sheet[name][only : only + 1] for name in ("assemblies", "drawings", "tags")}
    every = zip(data["assemblies"], data["drawings"], data["tags"], strict=True)
    fitted = [{**each, "set": _of(data, each, svg, tags, pages)._asdict()} for each, svg, tags in every]
    return {**data, "assemblies": fitted, "overview_size": _overview(data, pages) if data["overview"] else SIZES[0]}


def _of(data: Json, assembly: Json, svg: str | None, tags: list[str], pages: Pages) -> Setting:
    """The first setting in which the assembly takes one page, else the smallest."""
    data, setting = {**data, "overview": False, "listed": [], "cutting_list": None}, Setting(SIZES[0])
    for setting in _settings(data["paper"], assembly, svg):
        alone = {"assemblies": [{**assembly, "set": setting._asdict()}], "drawings": [svg], "tags": [tags]}
        if _sure(assembly) or pages({**data, **alone}) == 1:
            break
    return setting


def _sure(assembly: Json) -> bool:
    """Whether a page without figures holds its reasons without a try."""
    return not assembly["cut"] and sum(len(each["message"]) + len(each["remedy"]) for each in assembly["do_not_cut"]) < _LITTLE


def _settings(paper: str, assembly: Json, svg: str | None) -> Iterator[Setting]:
    """The settings to try, best first."""
    if svg is None:
        yield from (Setting(size) for size in SIZES)
        return
    wide, high = ROOMS[paper]
    across, along = map(float, _size(svg))
    whole = min(wide * along / across, high - 10)
    usual, least = max(min(high / 2, whole), _READABLE * whole), _READABLE * whole
    for rows in (each for each in _ROWS if each == 1 or each / 2 < assembly["quantity"]):
        yield from (Setting(size, rows, usual) for size in SIZES)
    yield Setting(SIZES[-1], 1, least)


def _size(svg: str) -> tuple[str, str]:
    found = _SIZE.search(svg)
    if found is None:
        raise ValueError("the drawing does not say its size")
    return found[1], found[2]


def _overview(data: Json, pages: Pages) -> float:
    if len(data["assemblies"]) <= _LISTED:
        for size in SIZES:
            alone = {"overview": True, "overview_size": size, "assemblies": [], "drawings": [], "tags": [], "listed": data["assemblies"]}
            if pages({**data, **alone}) == 1:
                return size
    return SIZES[0]
