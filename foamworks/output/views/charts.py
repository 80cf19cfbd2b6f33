"""The report's two charts as hand-written SVG: static margin state by state, speed through the boost."""

import math
from collections.abc import Sequence

from foamworks.output.keys import Row
from foamworks.output.views.drawing import Pt, css, dot, element, line, num, picture, text, text_width
from foamworks.units import number, percent

SIZE = 12.0  # px, letters
ROW = 22.0  # px a state
PLOT = 420.0  # px, the plot's width
STYLE = css("charts")
LINE_STYLES = 5


def margin_chart(states: Sequence[Row], *, least: float, first: float) -> str:
    """Draw the static margin of each state, with the least that is wanted and the one of the first flight [fraction].

    Empty when no state's margin is known.
    """
    rows: list[tuple[str, float]] = [
        (row["name"], row["static_margin"]) for row in states if row["static_margin"] is not None
    ]
    if not rows:
        return ""
    left = max(text_width(name, SIZE) for name, _ in rows) + 12
    low, high = min(0.0, *(m for _, m in rows)), 1.08 * max(first, 0.01, *(m for _, m in rows))
    ticks = _ticks(percent(low), percent(high))
    top, bottom = 1.8 * SIZE, 1.8 * SIZE + ROW * len(rows)

    def across(margin: float) -> float:
        return left + PLOT * (margin - low) / (high - low)

    pieces = []
    for tick in ticks:
        x = across(percent.si(tick))
        pieces += [line((x, top), (x, bottom), "ch-grid")]
        pieces += [label((x, bottom + 1.3 * SIZE), f"{tick:g} %", anchor="middle")]
    for margin, style, words in ((least, "ch-least", "least"), (first, "ch-first", "first flight")):
        x = across(margin)
        pieces += [line((x, top - 4), (x, bottom), style)]
        anchor = "end" if style == "ch-least" else "start"
        shift = -3 if style == "ch-least" else 3
        pieces += [label((x + shift, top - 6), words, anchor=anchor)]
    for count, (name, margin) in enumerate(rows):
        y = top + ROW * (count + 0.5)
        pieces += [label((left - 8, y + 0.35 * SIZE), name, anchor="end")]
        pieces += [line((across(0.0), y), (across(margin), y), "ch-bar")]
        # a hair of tolerance: a margin solved to lie on the limit is not below it
        pieces += [dot((across(margin), y), 4.5, "ch-bad" if margin < least - 1e-9 else "ch-dot")]
    return chart(pieces, left + PLOT + 20, bottom + 2 * SIZE, "Static margin of each state")


def speed_chart(
    runs: Sequence[tuple[str, Sequence[float], Sequence[float]]],
    *,
    along: str = "s after ignition",
    title: str = "Speed through the boost",
) -> str:
    """Draw speed [km/h] over time [s] for each run (name, times, speeds); empty without a run."""
    runs = [run for run in runs if len(run[1]) > 1]
    if not runs:
        return ""
    end, peak = max(max(times) for _, times, _ in runs), max(max(speeds) for _, _, speeds in runs)
    base = min(min(speeds) for _, _, speeds in runs)
    ups, alongs = _ticks(0.8 * base, 1.04 * peak), _ticks(0.0, end)
    low = min(0.8 * base, ups[0])
    left, top, height = 52.0, 14.0, 260.0
    bottom = top + height

    def at(time: float, speed: float) -> Pt:
        return left + PLOT * time / end, bottom - height * (speed - low) / (1.04 * peak - low)

    pieces = []
    for tick in ups:
        y = at(0.0, tick)[1]
        pieces += [line((left, y), (left + PLOT, y), "ch-grid")]
        pieces += [label((left - 6, y + 0.35 * SIZE), number(tick, 0), anchor="end")]
    for tick in alongs:
        x = at(tick, low)[0]
        pieces += [line((x, bottom), (x, bottom + 4), "ch-axis")]
        pieces += [label((x, bottom + 1.5 * SIZE), number(tick, 1), anchor="middle")]
    pieces += [line((left, bottom), (left + PLOT, bottom), "ch-axis"), line((left, top), (left, bottom), "ch-axis")]
    pieces += [label((left + PLOT, bottom + 2.9 * SIZE), along, anchor="end")]
    pieces += [label((left, bottom + 2.9 * SIZE), "speed in km/h")]
    for count, (name, times, speeds) in enumerate(runs):
        points = " ".join(",".join(num(v) for v in at(t, v)) for t, v in zip(times, speeds, strict=True))
        style = f"ch-line ch-{count % LINE_STYLES}"
        pieces += [element("polyline", points=points, class_=style)]
        y = bottom + (4.4 + 1.5 * count) * SIZE
        pieces += [element("polyline", points=f"{num(left)},{num(y)} {num(left + 36)},{num(y)}", class_=style)]
        pieces += [label((left + 44, y + 0.35 * SIZE), name)]
    words = max(text_width(name, SIZE) for name, _, _ in runs) + left + 60
    return chart(pieces, max(left + PLOT + 20, words), bottom + (4.4 + 1.5 * len(runs)) * SIZE, title)


def _ticks(low: float, high: float, wanted: int = 6) -> list[float]:
    """Give round numbers within low and high, about as many as wanted; of a step of one or more they are whole.

    >>> _ticks(0.0, 24.0)
    [0.0, 5.0, 10.0, 15.0, 20.0]
    >>> _ticks(0.0, 15.4)
    [0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 14.0]
    """
    rough = (high - low) / wanted
    power = 10.0 ** math.floor(math.log10(rough))
    step: float = min((power * m for m in (1.0, 2.0, 5.0, 10.0)), key=lambda s: abs(s - rough))
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [round(step * k, 9) for k in range(first, last + 1)]


def label(at: Pt, words: str, *, anchor: str = "start") -> str:
    """Write words of a chart."""
    return text(at, words, SIZE, anchor=anchor, style="ch-text")


def chart(pieces: Sequence[str], width: float, height: float, title: str, style: str = STYLE) -> str:
    """Make a chart of its pieces."""
    return picture(*pieces, box=(0.0, 0.0, width, height), style=style, title=title, class_="chart", scaled=True)
