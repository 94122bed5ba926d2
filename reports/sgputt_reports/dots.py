"""The still picture of a chart of dots: for paper, and for a page whose script does not run.

It is an image, so it brings its own style and no script in it could run.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from sgputt_reports.drawing import FONT, INK, INKS, ROW_PX, RULE, SHEET, Row, Scale, Spec
from sgputt_reports.plot import LINE_PX, WIDTH, Axis, Frame, joined, rule, ticks_between, word
from sgputt_reports.plot import dot as disc

_LEFT, _TOP, _BELOW = 130, 24, 44
_OVER_DOT_PX, _DOT_PX = 12, 5.5
_CLASSES = {ink: name for name, ink in INKS.items()}
_STYLE = "".join(
    [
        f"text{{font:13px {FONT};fill:{INK}}}",
        f"path{{stroke:{INK};stroke-width:1.5;fill:none}}",
        f".grid{{stroke:{RULE};stroke-width:1;stroke-dasharray:2 3}}",
        ".from{stroke-width:3;stroke-linecap:round}.bar{stroke-width:6}",
        f"circle{{stroke:{INK};stroke-width:2.5;fill:{INK}}}",
        f".value{{font-weight:600;paint-order:stroke;stroke:{SHEET};stroke-width:4}}",
        *(
            f"path.{name},circle.{name}{{stroke:{ink}}}circle.{name}{{fill:{ink}}}"
            f"text.{name}{{fill:{ink}}}"
            for name, ink in INKS.items()
        ),
        f"circle.hollow{{fill:{SHEET}}}",
    ]
)


@dataclass(frozen=True)
class Still:
    """What a chart of dots shows, as :func:`sgputt_reports.drawing.rows_of_dots` takes it."""

    rows: Sequence[Row]
    labels: Sequence[str]
    scale: Scale

    @classmethod
    def of(cls, spec: Spec) -> Still:
        """The same of a specification that ``rows_of_dots`` made."""
        made = spec["usermeta"]
        return cls(made["rows"], made["labels"], Scale(**made["scale"]))

    def svg(self) -> str:
        """Draw it, :data:`sgputt_reports.plot.WIDTH` wide."""
        height = _TOP + ROW_PX * len(self.labels) + _BELOW
        frame = Frame(self._axis(), Axis((0, 1), []), height, left=_LEFT, top=_TOP, below=_BELOW)
        marks = [self._label(frame, at, text) for at, text in enumerate(self.labels)]
        marks += [frame.axes(), self._nought(frame)]
        marks += [self._row(frame, row) for row in self.rows]
        return str(
            Markup(
                '<svg xmlns="http://www.w3.org/2000/svg" width="{0}" height="{1}"'
                ' viewBox="0 0 {0} {1}"><style>{2}</style>{3}</svg>'
            ).format(WIDTH, height, Markup(_STYLE), joined(marks))
        )

    def _axis(self) -> Axis:
        values, step = ticks_between(self.scale.ends)
        ticks = [(at, self.scale.written(at, step)) for at in values]
        return Axis(self.scale.ends, ticks, self.scale.title)

    def _label(self, frame: Frame, at: int, text: str) -> Markup:
        y = _middle(at)
        lines = [
            word(_LEFT - 8, y - 2 + LINE_PX * number, line, "end")
            for number, line in enumerate(text.split("|"))
        ]
        return joined([rule((frame.left, y), (frame.right, y), "grid"), *lines])

    def _nought(self, frame: Frame) -> Markup:
        low, high = self.scale.ends
        if not low <= 0 <= high:
            return Markup()
        x = frame.x(0)
        marks = [rule((x, frame.top), (x, frame.bottom), "")]
        if low < 0:
            marks.append(word(x - 7, _TOP - 8, "◂ loses", "end", "loss value"))
            marks.append(word(x + 7, _TOP - 8, "gains ▸", "start", "gain value"))
        return joined(marks)

    def _row(self, frame: Frame, row: Row) -> Markup:
        y = _middle(self.labels.index(row["label"]))
        look = _CLASSES.get(row["ink"], "")
        single = row["low"] is None
        ends = (0.0, row["value"]) if single else (row["low"], row["high"])
        line = rule(
            (frame.x(ends[0]), y), (frame.x(ends[1]), y), f"{look} {'bar' if single else 'from'}"
        )
        hollow = " hollow" if row["fill"] == SHEET else ""
        at = frame.x(row["value"])
        value = word(at, y - _OVER_DOT_PX, row["shown"], "middle", f"{look} value")
        return joined([line, disc((at, y), _DOT_PX, look + hollow), value])


def _middle(at: int) -> float:
    return _TOP + ROW_PX * (at + 0.5)
