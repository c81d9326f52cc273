"""Writes `covered.txt` anew: the characters that at least one font of this folder has, as ranges of code points."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from service.documents.glyphs import COVERED, FONTS


def covered() -> str:
    """The ranges of every font's character map, hexadecimal, one a line."""
    from fontTools.ttLib import TTFont

    points: set[int] = set()
    for path in sorted(FONTS.glob("*.ttf")):
        with TTFont(path, lazy=True) as font:
            points.update(font.getBestCmap())
    return "".join(f"{first:x}\n" if first == last else f"{first:x}-{last:x}\n" for first, last in _ranges(points))


def _ranges(points: Iterable[int]) -> Iterator[tuple[int, int]]:
    first = last = -2
    for each in sorted(points):
        if each != last + 1:
            if first >= 0:
                yield first, last
            first = each
        last = each
    if first >= 0:
        yield first, last


if __name__ == "__main__":
    COVERED.write_text(covered(), encoding="ascii")
