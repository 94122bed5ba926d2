"""Drawings in SVG: marks in a frame of two axes. Colours are classes of the page's style.

Such a drawing is its own picture for paper and for a page without script, and costs next to
nothing to write; a chart script would draw each one twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor, log, log10

from markupsafe import Markup

from sgputt_reports.format import MINUS, clean

# Drawn at the width of a telephone's column, so that letters keep their size there.
WIDTH = 360
LINE_PX = 15
_NICE = (1, 2, 2.5, 5, 10)
_ROOM = 0.06
_LETTER_PX = 8
Point = tuple[float, float]


@dataclass(frozen=True)
class Plot:
    """A drawing: the question it answers, the answer and the marks in words, and the SVG.

    ``id`` is an HTML id and stays the same from one build to the next.
    """

    id: str
    question: str
    words: str
    key: str
    svg: Markup


@dataclass(frozen=True)
class Axis:
    """One axis: its two ends, its ticks with what is written at them, and its title."""

    ends: tuple[float, float]
    ticks: Sequence[tuple[float, str]]
    title: str = ""
    logarithmic: bool = False

    def share(self, value: float) -> float:
        """How far along the axis a value lies, 0 to 1; values beyond its ends lie at them."""
        low, high = self.ends
        value = min(max(value, low), high)
        if self.logarithmic:
            return log(value / low) / log(high / low)
        return (value - low) / (high - low)


@dataclass(frozen=True)
class Frame:
    """The field that marks are drawn in, in pixels of a drawing :data:`WIDTH` wide."""

    x_axis: Axis
    y_axis: Axis
    height: float
    left: float = 46
    right: float = 350
    top: float = 10
    below: float = 42
    title_below: float = 35

    @property
    def bottom(self) -> float:
        """Lower edge of the field."""
        return self.height - self.below

    def x(self, value: float) -> float:
        """Pixels from the left."""
        return self.left + (self.right - self.left) * self.x_axis.share(value)

    def y(self, value: float) -> float:
        """Pixels from the top."""
        return self.bottom - (self.bottom - self.top) * self.y_axis.share(value)

    def at(self, x: float, y: float) -> Point:
        """A point of the field in pixels."""
        return self.x(x), self.y(y)

    def axes(self) -> Markup:
        """Lines across at every tick, and what is written beside and below."""
        marks = [
            rule((self.left, self.y(at)), (self.right, self.y(at)), "grid")
            for at, _ in self.y_axis.ticks
        ]
        marks += [
            word(self.left - 6, self.y(at) + 4, text, "end") for at, text in self.y_axis.ticks
        ]
        marks += [self._tick(at, text) for at, text in self.x_axis.ticks]
        middle = (self.left + self.right) / 2
        marks.append(word(middle, self.bottom + self.title_below, self.x_axis.title))
        return joined(marks)

    def _tick(self, at: float, text: str) -> Markup:
        """What is written below; a long word at the right edge ends there."""
        x, y = self.x(at), self.bottom + LINE_PX + 3
        out = x + _LETTER_PX * len(text) / 2 > WIDTH
        return word(WIDTH, y, text, "end") if out else word(x, y, text)


def drawing(marks: Iterable[Markup], height: float, named_by: str) -> Markup:
    """An SVG element with these marks, described by the element of that id."""
    return Markup(
        '<svg viewBox="0 0 {} {}" role="img" aria-labelledby="{}" focusable="false">{}</svg>'
    ).format(WIDTH, _px(height), named_by, joined(marks))


def joined(marks: Iterable[Markup]) -> Markup:
    """Marks one after the other."""
    return Markup("").join(marks)


def dot(at: Point, radius: float, look: str) -> Markup:
    """A disc; ``look`` names its classes."""
    return Markup('<circle class="{}" cx="{}" cy="{}" r="{}"/>').format(
        look, _px(at[0]), _px(at[1]), _px(radius)
    )


def rule(start: Point, end: Point, look: str) -> Markup:
    """A straight line."""
    return Markup('<path class="{}" d="M{} {}L{} {}"/>').format(look, *map(_px, (*start, *end)))


def path(points: Sequence[Point], look: str, closed: bool = False) -> Markup:
    """A line through points, or the area they go around."""
    through = "L".join(f"{_px(x)} {_px(y)}" for x, y in points)
    return Markup('<path class="{}" d="M{}{}"/>').format(look, through, "Z" if closed else "")


def box(start: Point, end: Point, look: str) -> Markup:
    """A rectangle between two corners."""
    (left, top), (right, bottom) = start, end
    return path([(left, top), (right, top), (right, bottom), (left, bottom)], look, closed=True)


def word(x: float, y: float, text: str, anchor: str = "middle", look: str = "") -> Markup:
    """Text; ``anchor`` is start, middle or end."""
    return Markup('<text class="{}" x="{}" y="{}" text-anchor="{}">{}</text>').format(
        look, _px(x), _px(y), anchor, clean(text)
    )


def _px(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".") or "0"


def signed_axis(values: Iterable[float], title: str = "", ticks: int = 5) -> Axis:
    """Axis that holds the values and nought, with signs at its ticks."""
    known = [0.0, *values]
    low, high = min(known), max(known)
    room = _ROOM * ((high - low) or 1)
    step = _step((high - low) or 1, ticks)
    ends = (low - room, high + room)
    return Axis(ends, [(at, written_signed(at, step)) for at in _multiples(step, ends)], title)


def counted_axis(most: float, unit: str, title: str = "", ticks: int = 5) -> Axis:
    """Axis from nought up to ``most``, its last tick with the unit."""
    step = _step(most or 1, ticks)
    last = ceil((most or 1) / step)
    texts = [f"{step * each:g}" for each in range(last + 1)]
    texts[-1] += f"\u00a0{unit}"
    return Axis((0, step * last), [(step * at, text) for at, text in enumerate(texts)], title)


def ticks_between(ends: tuple[float, float], ticks: int = 5) -> tuple[list[float], float]:
    """Round values from end to end, about that many, and the step between them."""
    low, high = ends
    step = _step((high - low) or 1, ticks)
    return _multiples(step, ends), step


def _multiples(step: float, ends: tuple[float, float]) -> list[float]:
    first, last = ceil(ends[0] / step), floor(ends[1] / step)
    return [step * number for number in range(first, last + 1)]


def _step(reach: float, ticks: int) -> float:
    """A round number that goes about ``ticks`` times into the reach."""
    rough = reach / ticks
    tens = 10 ** floor(log10(rough))
    return float(next(tens * nice for nice in _NICE if tens * nice >= rough * 0.999))


def written_signed(value: float, step: float) -> str:
    """A tick with its sign, to the digits of the step."""
    if abs(value) < step / 2:
        return "0"
    digits = len(f"{step:.6g}".partition(".")[2])
    return f"{'+' if value > 0 else MINUS}{abs(value):.{digits}f}"
