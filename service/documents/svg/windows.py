"""A drawing cut where its pages end, for documents that must not be cut through a figure. Each page has what is seen on it and no more."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from math import ceil, inf
from typing import TypeAlias
from xml.etree import ElementTree as ET

from service.documents.svg.paper import STANDING, Paper, number

_SIZE = re.compile(r'width="[\d.]+mm" height="[\d.]+mm" viewBox="0 0 [\d.]+ (?P<height>[\d.]+)"')
_HEAD = "</defs>\n"  # what stands before it is of every page
_TAG = re.compile(r"<(?P<end>/?)[a-z]+(?:\s[^<>]*?)?(?P<empty>/?)>")
_TRANSFORM = re.compile(r"translate\(\S+ (?P<down>\S+)\)(?: scale\((?P<scale>[\d.]+)\))?")
_COMMAND = re.compile(r"([A-Za-z])([^A-Za-z]*)")
_NUMBER = re.compile(r"-?[\d.]+")

_ROUNDED = 1e-3  # of a page: a height is written with four digits
_STROKE = 4.0  # px by which a line may be seen beyond its points

Span: TypeAlias = tuple[float, float]
ANYWHERE: Span = (-inf, inf)
NOWHERE: Span = (inf, -inf)


def windows(svg: str, paper: Paper = STANDING) -> list[str]:
    """The drawing's pages, each a drawing that is at most a page high. Raises ValueError for one that does not say its size."""
    found = _SIZE.search(svg)
    if found is None:
        raise ValueError("the drawing does not say its size")
    height = float(found.group("height"))
    tops = [page * paper.page for page in range(max(1, ceil(height / paper.page - _ROUNDED)))]
    if len(tops) == 1:
        return [f"{svg[: found.start()]}{_window(0.0, min(paper.page, height), paper)}{svg[found.end() :]}"]
    head, mark, body = svg[found.end() :].partition(_HEAD)
    parts = [(part, spanned(ET.fromstring(part))) for part in _parts(body)]  # noqa: S314  # our own drawing
    pages = []
    for top, bottom in pairwise([*tops, height]):
        seen = [part for part, (first, last) in parts if first <= bottom + _STROKE and last >= top - _STROKE]
        window = _window(top, min(paper.page, height - top), paper)
        pages.append("\n".join([f"{svg[: found.start()]}{window}{head}{mark.rstrip()}", *seen, "</svg>", ""]))
    return pages


def _window(top: float, high: float, paper: Paper) -> str:
    """The size and section of one page."""
    return (
        f'width="{paper.width_mm}mm" height="{number(high / paper.width * paper.width_mm)}mm" '
        f'viewBox="0 {number(top)} {number(paper.width)} {number(high)}"'
    )


def _parts(body: str) -> Iterator[str]:
    """The drawing's outermost elements, each with all that is in it."""
    depth, start = 0, 0
    for found in _TAG.finditer(body):
        if found.group("end"):
            depth -= 1
        else:
            start = start if depth else found.start()
            depth += not found.group("empty")
        if not depth:
            yield body[start : found.end()]
        elif depth < 0:
            return


def spanned(element: ET.Element) -> Span:
    """Where an element begins and ends, px from the top of the drawing; the whole height if its coordinates do not show it."""

    def said(name: str, usual: str = "") -> str:
        return element.get(name, usual)

    def of(name: str) -> float:
        return float(said(name, "0"))

    match element.tag:
        case "g":
            return _moved(_both([spanned(each) for each in element]), said("transform", "translate(0 0)"))
        case "rect" | "svg":  # lettering is clipped to its own
            return of("y"), of("y") + of("height")
        case "line":
            return min(of("y1"), of("y2")), max(of("y1"), of("y2"))
        case "circle":
            return of("cy") - of("r"), of("cy") + of("r")
        case "path":
            return _both([_reached(letter, given) for letter, given in _COMMAND.findall(said("d"))])
    return ANYWHERE


def _moved(span: Span, transform: str) -> Span:
    found = _TRANSFORM.fullmatch(transform)
    if found is None:
        return ANYWHERE
    down, scale = float(found.group("down")), float(found.group("scale") or 1)
    return down + scale * span[0], down + scale * span[1]


def _both(spans: list[Span]) -> Span:
    return min((first for first, _ in spans), default=inf), max((last for _, last in spans), default=-inf)


def _reached(letter: str, given: str) -> Span:
    """How far one command of a path can reach."""
    values = [float(each) for each in _NUMBER.findall(given)]
    match letter:
        case "H" | "Z":
            return NOWHERE
        case "M" | "L" | "C" if values:
            return min(values[1::2]), max(values[1::2])
        case "V" if values:
            return min(values), max(values)
    return ANYWHERE
