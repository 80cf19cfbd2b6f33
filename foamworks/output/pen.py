"""A page drawn in millimetres from its lower left corner, on reportlab's canvas; fonts and line styles of the paper.

Every coordinate is turned into points here and written as it is, without a scale in the file, so that a bar of
100 mm is 283.4646 points long for whoever measures the file.
"""

import math
import re
from collections.abc import Sequence
from functools import cache
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path
from typing import Literal

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.cidfonts import UnicodeCIDFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from foamworks.parts.base import Point

MM = 72 / 25.4  # points in a millimetre
SMALLEST = 7.0  # pt, no letter is smaller
CAPITAL = 0.73  # of the font's size: height of its capitals (from the font's own metrics)
Style = Literal["cut", "score", "mark", "fold", "sheet", "frame", "bar", "lead"]
# line width [mm], dashes [mm], grey (0 black)
STYLES: dict[Style, tuple[float, tuple[float, ...], float]] = {
    "cut": (0.3, (), 0.0),
    "score": (0.25, (5, 2), 0.0),
    "mark": (0.25, (0.6, 1.2), 0.0),
    "fold": (0.25, (7, 1.5, 0.8, 1.5), 0.0),
    "sheet": (0.2, (10, 1.5, 1, 1.5), 0.45),
    "frame": (0.15, (1.5, 1.5), 0.55),
    "bar": (0.2, (), 0.0),
    "lead": (0.15, (), 0.25),
}
PLAIN, BOLD = "FoamworksPlain", "FoamworksBold"
FILES = {PLAIN: "DejaVuSans.ttf", BOLD: "DejaVuSans-Bold.ttf"}  # free fonts that come with the plotting library
STANDARD = {PLAIN: "Helvetica", BOLD: "Helvetica-Bold"}  # every viewer's own, should the files be missing


@cache
def font(*, bold: bool = False) -> str:
    """Give the font to write in: sent along in the file, so that no printer puts a wider one in its place."""
    name = BOLD if bold else PLAIN
    found = find_spec("matplotlib")  # looked up, not imported: only its font files are wanted
    for folder in (found and found.submodule_search_locations) or []:
        file = Path(folder) / "mpl-data/fonts/ttf" / FILES[name]
        if file.is_file():
            pdfmetrics.registerFont(TTFont(name, str(file)))
            return name
    return STANDARD[name]


# Scripts that the plain font lacks -> the standard name under which viewers and printers keep one of their own
EAST_ASIAN = (
    ("[\u3040-\u30ff]", "HeiseiKakuGo-W5"),  # kana: Japanese
    ("[\u1100-\u11ff\u3130-\u318f\uac00-\ud7a3]", "HYSMyeongJo-Medium"),  # Hangul: Korean
    ("[\u2e80-\u9fff\uf900-\ufaff\uff00-\uffef]", "STSong-Light"),  # Han alone: Chinese
)


@cache
def font_of(text: str, *, bold: bool = False) -> str:
    """Give the font for a text: the plain one, or for East Asian writing the viewer's own, which has no bold."""
    for script, name in EAST_ASIAN:
        if re.search(script, text):
            pdfmetrics.registerFont(UnicodeCIDFont(name))
            return name
    return font(bold=bold)


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Give a text's width [mm] at `size` points."""
    return float(pdfmetrics.stringWidth(text, font_of(text, bold=bold), size)) / MM


def shortened(text: str, size: float, room: float) -> str:
    """Give as much of a text as `room` [mm] takes, with dots when something is left out."""
    if text_width(text, size) <= room:
        return text
    while text and text_width(text + "...", size) > room:
        text = text[:-1]
    return text + "..."


def wrapped(text: str, size: float, room: float) -> list[str]:
    """Break a text into lines that are at most `room` [mm] wide."""
    lines: list[str] = []
    for word in text.split():
        if lines and text_width(f"{lines[-1]} {word}", size) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(shortened(word, size, room))
    return lines


class Pen:
    """Draws pages [mm]; `finish` gives the file's bytes, the same for the same pages."""

    def __init__(self, title: str) -> None:
        self.buffer = BytesIO()
        self.canvas = Canvas(self.buffer, invariant=1, pageCompression=1)
        self.canvas.setTitle(title)
        self.canvas.setCreator("foamworks")
        self.canvas.setAuthor("")
        self.canvas.setLineJoin(1)
        self.open = False

    def page(self, width: float, height: float, name: str) -> None:
        """Begin a page of this size, named in the file's outline."""
        if self.open:
            self.canvas.showPage()
        self.canvas.setPageSize((width * MM, height * MM))
        self.canvas.bookmarkPage(name)
        self.canvas.addOutlineEntry(name, name)
        self.open = True

    def finish(self) -> bytes:
        """Close the file and give its bytes."""
        self.canvas.showPage()
        self.canvas.save()
        return self.buffer.getvalue()

    def style(self, style: Style) -> None:
        """Set the line's width, dashes and grey."""
        width, dashes, grey = STYLES[style]
        self.canvas.setLineWidth(width * MM)
        self.canvas.setDash([dash * MM for dash in dashes])
        self.canvas.setStrokeGray(grey)

    def line(self, start: Point, end: Point) -> None:
        """Draw a straight line in the style set."""
        self.canvas.line(start[0] * MM, start[1] * MM, end[0] * MM, end[1] * MM)

    def polyline(self, points: Sequence[Point], *, closed: bool = False, grey: float | None = None) -> None:
        """Draw a chain of points; `grey` fills it, 0 black to 1 white."""
        path = self.canvas.beginPath()
        path.moveTo(points[0][0] * MM, points[0][1] * MM)
        for x, y in points[1:]:
            path.lineTo(x * MM, y * MM)
        if closed:
            path.close()
        if grey is not None:
            self.canvas.setFillGray(grey)
        self.canvas.drawPath(path, stroke=1, fill=int(grey is not None))
        self.canvas.setFillGray(0)

    def box(self, corner: Point, width: float, height: float, *, grey: float | None = None) -> None:
        """Draw an upright rectangle from its lower left corner."""
        x, y = corner
        self.polyline([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], closed=True, grey=grey)

    def blank(self, corner: Point, width: float, height: float) -> None:
        """Paint a white rectangle without an edge, under a text."""
        self.canvas.setFillGray(1)
        self.canvas.rect(corner[0] * MM, corner[1] * MM, width * MM, height * MM, stroke=0, fill=1)
        self.canvas.setFillGray(0)

    def text(self, at: Point, text: str, size: float = SMALLEST, *, angle: float = 0.0, bold: bool = False) -> None:
        """Write a text from the left end of its base line, turned by `angle` [deg]."""
        canvas = self.canvas
        canvas.setFont(font_of(text, bold=bold), size)
        if angle == 0:
            canvas.drawString(at[0] * MM, at[1] * MM, text)
            return
        canvas.saveState()
        canvas.translate(at[0] * MM, at[1] * MM)
        canvas.rotate(angle)
        canvas.drawString(0, 0, text)
        canvas.restoreState()

    def paragraph(
        self, at: Point, text: str, size: float = SMALLEST, *, room: float, step: float, bold: bool = False
    ) -> float:
        """Write a text down from `at` in lines of `room` and `step` [mm]; give y of the last one."""
        x, y = at
        for line in wrapped(text, size, room):
            y -= step
            self.text((x, y), line, size, bold=bold)
        return y

    def middle(self, at: Point, text: str, size: float = SMALLEST, *, angle: float = 0.0, bold: bool = False) -> None:
        """Write a text with its middle, both ways, at a point."""
        left, low = -text_width(text, size, bold=bold) / 2, -size * CAPITAL / MM / 2
        turn = math.radians(angle)
        cos, sin = math.cos(turn), math.sin(turn)
        self.text((at[0] + left * cos - low * sin, at[1] + left * sin + low * cos), text, size, angle=angle, bold=bold)
