"""Whether a drawing's lettering keeps clear of other lettering, the sheet's edges, and lines."""

from .picture import SVG


def crossing(picture, width):
    """Everything that touches what it should not, in words."""
    texts = [text for text in picture.texts if text.said]
    found, drawn = [], lines(picture)
    for at, text in enumerate(texts):
        if not (text.left >= 7 and text.right <= width - 7 and text.top >= 0 and text.bottom <= picture.height):
            found.append(f"off the sheet: {text}")
        if not text.clip[0] - 0.01 <= text.left <= text.right <= text.clip[1] + 0.01:
            found.append(f"out of its room: {text}")
        found += [f"{text.said} over {other.said}" for other in texts[at + 1 :] if _meet(_box(text), _box(other))]
        found += [f"a line through {text.said}: {line}" for line in drawn if _meet(_box(text), line)]
    return found


def lines(picture):
    """Boxes of the upright and level lines; a slanting leader's box would say too much."""
    found = []
    for line in picture.root.iter(f"{SVG}line"):
        x1, y1, x2, y2 = (float(line.get(name)) for name in ("x1", "y1", "x2", "y2"))
        if x1 == x2 or y1 == y2:
            found.append((min(x1, x2), max(x1, x2), min(y1, y2), max(y1, y2)))
    return found


def _box(text):
    return text.left, text.right, text.top, text.bottom


def _meet(one, two):
    return one[0] < two[1] - 0.01 and two[0] < one[1] - 0.01 and one[2] < two[3] - 0.01 and two[2] < one[3] - 0.01
