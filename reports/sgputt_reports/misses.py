"""Why putts miss: the chart, its words, and the rows of its table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import altair as alt

from sgputt.inference.shares import LEVEL
from sgputt.season.misses import Reason
from sgputt_reports.drawing import INK, PERCENT_TICK, Row, Scale, Spec, rows_of_dots
from sgputt_reports.format import count, digits_for, first_up, number, percent
from sgputt_reports.page import Figure

UNKNOWN = "unknown"
_MEANINGS = {
    "short": "before the hole",
    "too hard": "past, too fast for any line",
    "high side": "past, above the hole",
    "low side": "past, below the hole",
    "left": "past, of a straight putt",
    "right": "past, of a straight putt",
    UNKNOWN: "too little was written",
}
_PAIRS = (("high side", "low side"), ("left", "right"))
_ROOM = 1.12


def misses_section(misses: Sequence[Reason], rounds: int) -> dict[str, Any] | None:
    """What the section on misses shows; None when nothing was missed.

    Parameters
    ----------
    misses : sequence of Reason
        From :func:`sgputt.season.misses.why_missed`.
    rounds : int
        Rounds they come from.
    """
    if not misses:
        return None
    known = [each for each in misses if each.reason != UNKNOWN]
    digits = max(digits_for(each.lost_low, each.lost_high) for each in misses)
    return {
        "chart": _figure(known) if known else None,
        "rows": [_row(each, digits) for each in misses],
        "with_intervals": any(each.lost_low is not None for each in misses),
        "said": sum(each.said for each in misses),
        "agree": sum(each.agree for each in misses),
        "rounds": rounds,
        "level": LEVEL,
    }


def _figure(known: Sequence[Reason]) -> Figure:
    words = describe_misses(known)
    return Figure(
        id="misses",
        question="How do putts miss?",
        words=words,
        key=f"Dot: share of the misses whose reason is known. Line: {percent(LEVEL)} interval.",
        spec=shares_of_misses(known, words),
    )


def shares_of_misses(known: Sequence[Reason], words: str = "") -> Spec:
    """Share of each reason with its interval, one row a reason.

    Parameters
    ----------
    known : sequence of Reason
        Without those of unknown reason.
    words : str
        What the chart shows, from :func:`describe_misses`.

    Returns
    -------
    dict
        A Vega-Lite specification as wide as its container.
    """
    rows = [_dot(each) for each in known]
    most = min(1.0, max(each.high for each in known) * _ROOM)
    scale = Scale("share of misses", (0.0, most), PERCENT_TICK)
    bars = alt.Chart(alt.InlineData(values=[{"nought": 0, **row} for row in rows])).mark_bar(
        color=INK, opacity=0.1, height=18
    )
    ground = [bars.encode(x=scale.x("nought"), x2="value:Q", y=alt.Y("label:N", sort=None))]
    return rows_of_dots(rows, [row["label"] for row in rows], scale, ground, words)


def _dot(each: Reason) -> Row:
    return {
        "label": f"{first_up(each.reason)}|{count(each.misses, 'miss', 'misses')}",
        "value": each.share,
        "low": each.low,
        "high": each.high,
        "shown": percent(each.share),
        "ink": INK,
        "fill": INK,
    }


def describe_misses(known: Sequence[Reason]) -> str:
    """Say in words how putts miss, and what can be told apart."""
    largest = sorted(known, key=lambda each: -each.misses)
    listed = ", ".join(f"{each.reason} {percent(each.share)}" for each in largest)
    total = count(sum(each.misses for each in known), "miss", "misses")
    return f"Of {total}: {listed}. {_told_apart({each.reason: each for each in known})}".strip()


def _told_apart(known: Mapping[str, Reason]) -> str:
    """Which side of each pair is the more frequent, where the intervals do not overlap."""
    said, alike = [], []
    for pair in _PAIRS:
        if set(pair) <= set(known):
            less, more = sorted((known[name] for name in pair), key=lambda each: each.share)
            if more.low > less.high:
                said.append(f"More go {more.reason} than {less.reason}.")
            else:
                alike.append(" and ".join(pair))
    if alike:
        lead = "Neither " if len(alike) > 1 else ""
        ending = "can" if lead else "cannot"
        said.append(first_up(f"{lead}{' nor '.join(alike)} {ending} be told apart."))
    return " ".join(said)


def _row(each: Reason, digits: int) -> dict[str, Any]:
    known = each.reason != UNKNOWN
    low, high = each.lost_low, each.lost_high
    return {
        "reason": each.reason,
        "meaning": _MEANINGS[each.reason],
        "misses": each.misses,
        "share": percent(each.share) if known else "",
        "share_interval": f"{100 * each.low:.0f} to {percent(each.high)}" if known else "",
        "lost": number(each.lost_per_round, digits),
        "lost_interval": f"{number(low, digits)} to {number(high, digits)}"
        if low is not None and high is not None
        else "",
        "agree": each.agree,
        "said": each.said,
    }
