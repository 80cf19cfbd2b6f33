"""What was understood of each drawing, as a small picture: one millimetre is one millimetre, on squares of 10 mm."""

import math
from collections.abc import Iterator, Sequence

from foamworks.checks.bench.traces import OLD_FIN, Traced, size_text, traced
from foamworks.checks.case import Case
from foamworks.output.views.drawing import Pt, bounds, element, line, num, rings
from foamworks.units import mm

SQUARE = 10.0  # mm
STYLE = (
    ".tr-grid{stroke:#c3ccd2;stroke-width:.2}.tr-part{fill:#14536c;fill-opacity:.25;fill-rule:evenodd;"
    "stroke:#14536c;stroke-width:.5}.tr-fit{fill:none;stroke:#b23a2c;stroke-width:.5;stroke-dasharray:3 2}"
)


def trace_pictures(case: Case) -> Iterator[tuple[str, str]]:
    """Give the words and the SVG of each drawing that the design names."""
    for one in traced(case):
        words = f"{one.subject}, as {one.drawing.file} was understood: {size_text(one.drawing)}; squares of 10 mm"
        fit = _trapezoid(case) if one.subject == OLD_FIN else []
        yield (
            f"{words}; dashed: the straight-edged fin it was taken for" if fit else words,
            picture(_rings(case, one), fit),
        )


def _rings(case: Case, one: Traced) -> list[list[Pt]]:
    airframe = case.asked.airframe
    if one.subject == OLD_FIN and airframe.fin is not None:
        return [_mm(airframe.fin.drawn)]
    return [_mm(ring) for ring in (one.drawing.outline, *one.drawing.holes)]


def _mm(points: Sequence[Pt]) -> list[Pt]:
    return [(mm(x), mm(y)) for x, y in points]


def _trapezoid(case: Case) -> list[Pt]:
    old = case.study.old_fin
    if old is None or not old.drawn:
        return []
    fit = old.trapezoid
    foot, top = zip(fit.x, fit.s, fit.chord, strict=True)
    corners = [(x + c * chord, s) for (x, s, chord), sides in ((foot, (0, 1)), (top, (1, 0))) for c in sides]
    return _mm(corners)


def picture(part: Sequence[Sequence[Pt]], fit: Sequence[Pt] = ()) -> str:
    """Draw rings [mm, y up] over squares of 10 mm that count from their lower left corner.

    >>> picture([[(0, 0), (12, 0), (12, 5)]]).startswith('<svg class="chart" width="24mm" height="14mm"')
    True
    """
    x0, y0, *_ = bounds(part[0])
    *least, right, top = bounds(((x - x0) / SQUARE, (y - y0) / SQUARE) for ring in (*part, fit) for x, y in ring)
    (left, foot), (right, top) = map(math.floor, least), map(math.ceil, (right, top))
    width, height = SQUARE * (right - left), SQUARE * (top - foot)
    margin = 2.0

    def placed(ring: Sequence[Pt]) -> list[Pt]:
        return [(x - x0 - SQUARE * left, SQUARE * top - (y - y0)) for x, y in ring]

    grid = [line((SQUARE * n, 0), (SQUARE * n, height), "tr-grid") for n in range(right - left + 1)]
    grid += [line((0, SQUARE * n), (width, SQUARE * n), "tr-grid") for n in range(top - foot + 1)]
    drawn = rings([placed(ring) for ring in part], "tr-part") + (rings([placed(fit)], "tr-fit") if fit else "")
    box = [num(value) for value in (-margin, -margin, width + 2 * margin, height + 2 * margin)]
    return element(
        "svg",
        element("style", STYLE),
        *grid,
        drawn,
        class_="chart",
        width=f"{box[2]}mm",
        height=f"{box[3]}mm",
        viewBox=" ".join(box),
        xmlns="http://www.w3.org/2000/svg",
        role="img",
    )
