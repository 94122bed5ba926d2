"""Small drawings for a row of a table: a dot with its interval, beside the figures it repeats."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from markupsafe import Markup

from sgputt_reports.drawing import verdict
from sgputt_reports.format import FEWEST_ROUNDS
from sgputt_reports.plot import dot, joined, rule

_WIDTH_PX, _HEIGHT_PX, _DOT_PX = 132.0, 18.0, 4.5
_EDGE_PX = 6.0
_MIDDLE = _HEIGHT_PX / 2


class Drawn(NamedTuple):
    """What one row shows, and the rounds behind it."""

    value: float
    low: float | None
    high: float | None
    rounds: int


@dataclass(frozen=True)
class Strips:
    """The scale that all strips of a table share: its two ends, and an upright line.

    Without the line each row may have a mark of its own. What lies beyond the ends is cut there.
    """

    ends: tuple[float, float]
    line_at: float | None = 0.0

    @classmethod
    def around(cls, rows: Sequence[Drawn]) -> Strips:
        """Scale that holds nought, every value and the intervals of enough rounds.

        The interval of two or three rounds may be ten times as wide as all others.
        """
        known = [0.0, *(row.value for row in rows)]
        known += [
            end
            for row in rows
            for end in (row.low, row.high)
            if end is not None and row.rounds >= FEWEST_ROUNDS
        ]
        low, high = min(known), max(known)
        return cls((low, high) if high > low else (low - 1, high + 1))

    def draw(
        self, value: float, low: float | None, high: float | None, mark: float | None = None
    ) -> Markup:
        """A dot at the value with its interval, coloured where it is clear of the line or mark."""
        against = mark if self.line_at is None else self.line_at
        look = "ink" if against is None else _look(low, high, against)
        marks = []
        if self.line_at is None:
            marks.append(self._across(*self.ends, "track"))
        else:
            marks.append(self._upright(self.line_at, 0, "nought"))
        if low is None or high is None:
            start = self.ends[0] if self.line_at is None else self.line_at
            marks.append(self._across(start, value, "line soft"))
        else:
            marks.append(self._across(low, high, f"line {look}"))
        if mark is not None:
            marks.append(self._upright(mark, 1, "goal"))
        marks.append(dot((self._x(value), _MIDDLE), _DOT_PX, f"dot {look}"))
        return Markup(
            '<svg class="strip" width="{0}" height="{1}" viewBox="0 0 {0} {1}"'
            ' aria-hidden="true" focusable="false">{2}</svg>'
        ).format(f"{_WIDTH_PX:.0f}", f"{_HEIGHT_PX:.0f}", joined(marks))

    def _x(self, value: float) -> float:
        low, high = self.ends
        share = (min(max(value, low), high) - low) / (high - low)
        return _EDGE_PX + (_WIDTH_PX - 2 * _EDGE_PX) * share

    def _across(self, start: float, end: float, look: str) -> Markup:
        return rule((self._x(start), _MIDDLE), (self._x(end), _MIDDLE), look)

    def _upright(self, at: float, room: float, look: str) -> Markup:
        return rule((self._x(at), room), (self._x(at), _HEIGHT_PX - room), look)


def _look(low: float | None, high: float | None, against: float) -> str:
    if low is None or high is None:
        return "unclear"
    return verdict(low - against, high - against)
