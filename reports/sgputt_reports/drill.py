"""One drill on a page or as a picture: its plan, how it is set up, its mark."""

from __future__ import annotations

from sgputt.practice.drills import Drill, load_caution
from sgputt_reports.charts import SHEET, specification
from sgputt_reports.drawing import as_png, draw
from sgputt_reports.drill_plans import drill_plan
from sgputt_reports.page import Page, render

FORMS = ("html", "png", "svg")
_PIXELS_A_PIXEL = 3.0


def drill_file(
    drill: Drill,
    form: str,
    mark: str = "",
    whose: str = "",
    set_up: str = "",
    shown_in: str = "feet",
) -> bytes:
    """A drill as a file.

    Parameters
    ----------
    drill : Drill
        As its mark takes it; also one of the user's own file.
    form : str
        ``html``: a page; ``png`` or ``svg``: its plan alone.
    mark, whose, set_up : str
        The pass mark, whose stroke it was worked out from, and why the drill is set up otherwise
        than in the catalogue; shown on the page.
    shown_in : str
        ``feet`` or ``metres``.
    """
    plan = drill_plan(drill, shown_in)
    if form == "html":
        body = render(
            "drill",
            drill=drill,
            plan=plan,
            mark=mark,
            whose=whose,
            set_up=set_up,
            caution=load_caution(),
        )
        return Page(drill.name, body, shown_in=shown_in).html().encode("utf-8")
    svg = draw({**specification(plan.altair), "background": SHEET})
    if form == "svg":
        return svg.encode("utf-8")
    return as_png(svg, _PIXELS_A_PIXEL)
