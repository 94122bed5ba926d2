"""A season's breakdowns, trend, best and worst rounds, and plain figures, in words and as JSON."""

from __future__ import annotations

from dataclasses import asdict, dataclass

import polars as pl

from sgputt.season.best import RoundStory, best_rounds, worst_rounds
from sgputt.season.breakdown import gained_by
from sgputt.season.figures import Figures, Share, figures
from sgputt.season.scored import Scored
from sgputt.season.trend import trend
from sgputt_cli.output import interval, plural, say, signed

# Keys of the JSON, what tells the rounds or putts apart, and the column that names it.
_BREAKDOWNS = {
    "months": "month",
    "events": "event",
    "courses": "course",
    "stimps": "stimp",
    "breaks": "break",
    "first_and_later": "putt",
}
_MOST_MONTHS = 6
_MOST_PARTS = 2


@dataclass(frozen=True)
class More:
    """What a season shows beside its summary.

    Attributes
    ----------
    breakdowns : dict of polars.DataFrame
        From :func:`sgputt.season.breakdown.gained_by`, by their key in the JSON.
    trend : polars.DataFrame
        From :func:`sgputt.season.trend.trend`.
    best, worst : list of RoundStory
    figures : Figures
    """

    breakdowns: dict[str, pl.DataFrame]
    trend: pl.DataFrame
    best: list[RoundStory]
    worst: list[RoundStory]
    figures: Figures


def season_more(scored: Scored) -> More:
    """Gather it from the rounds of one player."""
    return More(
        {key: gained_by(scored, what) for key, what in _BREAKDOWNS.items()},
        trend(scored),
        best_rounds(scored),
        worst_rounds(scored),
        figures(scored),
    )


def more_json(more: More) -> dict[str, object]:
    """The form that scripts may rely on."""
    return {
        **{
            key: table.rename({"label": _BREAKDOWNS[key]}).to_dicts()
            for key, table in more.breakdowns.items()
        },
        "trend": more.trend.to_dicts(),
        "best": [_story_json(each) for each in more.best],
        "worst": [_story_json(each) for each in more.worst],
        "figures": _figures_json(more.figures),
    }


def _story_json(story: RoundStory) -> dict[str, object]:
    fields = {name: getattr(story, name) for name in story.__dataclass_fields__}
    return {**fields, "parts": story.parts.to_dicts(), "putts": story.putts.to_dicts()}


def _figures_json(found: Figures) -> dict[str, object]:
    return {
        "one_putts": asdict(found.one_putts),
        "three_putts": asdict(found.three_putts),
        "putts_per_round": asdict(found.putts_per_round),
        "feet_holed_per_round": asdict(found.feet_holed_per_round),
        "holed_without_length": found.holed_without_length,
        "first_putt_ft": found.first_putt_ft,
        "by_round": found.by_round.to_dicts(),
    }


def say_figures(found: Figures) -> None:
    """Plain figures in a line or two."""
    least = "at least " if found.holed_without_length else ""
    texts = [
        f"One putt on {_percent(found.one_putts)} of holes",
        f"three or more on {_percent(found.three_putts)}",
        f"{least}{found.feet_holed_per_round.value:.0f} ft holed a round",
    ]
    if found.first_putt_ft is not None:
        texts.append(f"first putts {found.first_putt_ft:.0f} ft on average")
    say(f"{', '.join(texts)}.")


def _percent(share: Share) -> str:
    return f"{100 * share.value:.0f} % ({100 * share.low:.0f} to {100 * share.high:.0f})"


def say_course_of(more: More) -> None:
    """Lately, by month, the best and the worst round: a line each."""
    last = more.trend.row(-1, named=True)
    if more.trend.height > last["over"]:
        spread = interval(last["low"], last["high"])
        say(f"Last {plural(last['over'], 'round')}: {signed(last['mean'])} a round ({spread}).")
    months = more.breakdowns["months"].tail(_MOST_MONTHS)
    if months.height > 1:
        each = (
            f"{label} {signed(value)}"
            for label, value in months.select("label", "per_round").rows()
        )
        say(f"By month: {', '.join(each)}.")
    for word, stories in (("Best", more.best), ("Worst", more.worst)):
        if stories:
            say(_story(word, stories[0]))


def _story(word: str, story: RoundStory) -> str:
    parts = [
        f"{row['component']} {row['distance']} {signed(row['difference'])}"
        for row in story.parts.head(_MOST_PARTS).iter_rows(named=True)
    ]
    why = f"; beside your usual {', '.join(parts)}" if parts else ""
    return f"{word} round {story.date} {signed(story.strokes_gained)}{why}."
