"""A drawing read back: its shapes and the boxes of its texts."""

import re
from dataclasses import dataclass
from xml.etree import ElementTree as ET

from service.documents.cutting_plan.svg import drawing
from service.documents.svg.lettering import width

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Text:
    said: str
    left: float
    right: float
    top: float
    bottom: float
    clip: tuple[float, float]


@dataclass(frozen=True)
class Picture:
    root: ET.Element

    @property
    def height(self):
        return float(self.root.get("viewBox").split()[3])

    @property
    def texts(self):
        """Every text, those written upward turned as they stand."""
        turned = {holder: group for group in self.root.iter(f"{SVG}g") if group.get("transform") for holder in group.iter(f"{SVG}svg")}
        holders = [holder for holder in self.root.iter(f"{SVG}svg") if holder is not self.root]
        return [_turned(_text(each, each.find(f"{SVG}text")), turned.get(each)) for each in holders]

    @property
    def words(self):
        return " ".join(text.said for text in self.texts)

    def strips(self, kind):
        return [group for group in self.root.iter(f"{SVG}g") if group.get("class") == kind]

    @property
    def shown_strips(self):
        """The strip of each bar that bears labels: the enlarged one where there is one."""
        groups = [group for group in self.root.iter(f"{SVG}g") if group.get("class") in {"bar", "enlarged"}]
        following = [*groups[1:], None]
        return [group for group, after in zip(groups, following, strict=True) if after is None or after.get("class") == "bar"]


def _text(holder, text):
    x, y, size = (float(text.get(name)) for name in ("x", "y", "font-size"))
    said = "".join(text.itertext()) if text.find(f"{SVG}title") is None else text.find(f"{SVG}title").tail or ""
    wide = width(said, size, text.get("font-weight") == "bold")
    start = float(holder.get("x")) + x - {"start": 0, "middle": wide / 2, "end": wide}[text.get("text-anchor")]
    baseline = float(holder.get("y")) + y
    clip = (float(holder.get("x")), float(holder.get("x")) + float(holder.get("width")))
    return Text(said, start, start + wide, baseline - 0.75 * size, baseline + 0.22 * size, clip)


def _turned(text, group):
    if group is None:
        return text
    angle, x, y = map(float, re.fullmatch(r"rotate\((\S+) (\S+) (\S+)\)", group.get("transform")).groups())
    assert angle == -90
    left, right, top, bottom = x + text.top - y, x + text.bottom - y, y - (text.right - x), y - (text.left - x)
    inside = text.clip[0] - 0.01 <= text.left <= text.right <= text.clip[1] + 0.01
    return Text(text.said, left, right, top, bottom, (left, right) if inside else (left, left))


def picture(document, **given):
    return Picture(ET.fromstring(drawing(document, **given)))  # noqa: S314  # our own bytes


def widths(strip, kind):
    return [float(rect.get("width")) for rect in strip if rect.get("class") == kind]
