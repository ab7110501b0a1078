"""What stands where in a drawing, read off its SVG: measured with the letters of a real face."""

from __future__ import annotations

import functools
import itertools
import xml.etree.ElementTree as ET
from pathlib import Path

import matplotlib
from PIL import ImageFont

SVG = "{http://www.w3.org/2000/svg}"
SIZE = 15
Box = tuple[float, float, float, float]


@functools.cache
def face(bold: bool, size: int) -> ImageFont.FreeTypeFont:
    """DejaVu Sans, which is broader than the faces of phones."""
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name), size)


def words(drawing: str) -> list[tuple[str, Box]]:
    """Every text of a drawing with the box its letters take."""
    root = ET.fromstring(drawing)
    size = int(root.get("font-size") or SIZE)  # a drawing without a size has that of the sheet
    found = []
    for element in root.iter():
        if element.tag.removeprefix(SVG) != "text":
            continue
        text = element.text or ""
        wide = face("plain" not in (element.get("class") or ""), size).getlength(text)
        x, y = float(element.get("x") or 0), float(element.get("y") or 0)
        anchor = element.get("text-anchor") or "start"
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        found.append((text, (left, y - 0.75 * size, left + wide, y + 0.22 * size)))
    return found


def frame(drawing: str) -> tuple[float, float]:
    """Width and height."""
    _, _, wide, tall = map(float, (ET.fromstring(drawing).get("viewBox") or "").split())
    return wide, tall


def overlapping(drawing: str) -> list[tuple[str, str]]:
    """Pairs of texts of which one stands over the other."""
    return [
        (one, other)
        for (one, a), (other, b) in itertools.combinations(words(drawing), 2)
        if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
    ]


def outside(drawing: str) -> list[str]:
    """Texts that leave the frame."""
    wide, tall = frame(drawing)
    return [
        text
        for text, (left, top, right, low) in words(drawing)
        if left < 0 or top < 0 or right > wide or low > tall
    ]


def told(drawing: str) -> str:
    """All words in the order they stand in the file."""
    return " ".join(text for text, _ in words(drawing))
