"""A drawing read back: its shapes and the boxes of its texts."""

from dataclasses import dataclass
from xml.etree import ElementTree as ET

from service.documents.cutting_plan_svg import drawing
from service.documents.drafting.lettering import width

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
        return [_text(holder, holder.find(f"{SVG}text")) for holder in self.root.iter(f"{SVG}svg") if holder is not self.root]

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
    said = "".join(text.itertext()) if text.find(f"{SVG}title") is None else text.find(f"{SVG}title").tail
    wide = width(said, size, text.get("font-weight") == "bold")
    start = float(holder.get("x")) + x - {"start": 0, "middle": wide / 2, "end": wide}[text.get("text-anchor")]
    baseline = float(holder.get("y")) + y
    clip = (float(holder.get("x")), float(holder.get("x")) + float(holder.get("width")))
    return Text(said, start, start + wide, baseline - 0.75 * size, baseline + 0.22 * size, clip)


def picture(document):
    return Picture(ET.fromstring(drawing(document)))  # noqa: S314  # our own bytes


def widths(strip, kind):
    return [float(rect.get("width")) for rect in strip if rect.get("class") == kind]
