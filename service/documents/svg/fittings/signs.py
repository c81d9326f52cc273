"""Readiness shown by shape: a ring with a tick, a triangle with an exclamation mark, a square with a bar. A word always accompanies it."""

from __future__ import annotations

from service.documents.svg.paper import Sheet, number


def sign(sheet: Sheet, readiness: str, x: float, y: float, size: float) -> None:
    """Draw the symbol for a readiness, centred at (x, y)."""
    sheet.open("g", class_=f"sign {readiness}")
    half = size / 2
    if readiness == "ready_to_cut":
        sheet.shape("circle", cx=x, cy=y, r=half - 0.8, fill="#fff", stroke="#000", stroke_width=1.6)
        tick = [(-0.45, 0.02), (-0.1, 0.4), (0.5, -0.4)]
        _line(sheet, [(x + a * half, y + b * half) for a, b in tick])
    elif readiness == "confirm":
        points = [(x, y - half + 0.8), (x + half - 0.8, y + half - 1.2), (x - half + 0.8, y + half - 1.2)]
        _line(sheet, points, closed=True)
        sheet.line(x, y - 0.3 * half, x, y + 0.3 * half, stroke_width=1.8)
        sheet.line(x, y + 0.5 * half, x, y + 0.7 * half, stroke_width=1.8)
    else:
        sheet.rect(x - half, y - half, size, size)
        sheet.rect(x - 0.6 * half, y - 0.18 * half, 1.2 * half, 0.36 * half, fill="#fff")
    sheet.close("g")


def _line(sheet: Sheet, points: list[tuple[float, float]], closed: bool = False) -> None:
    d = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points) + ("Z" if closed else "")
    sheet.shape("path", d=d, fill="#fff" if closed else "none", stroke="#000", stroke_width=1.6, stroke_linejoin="round")
