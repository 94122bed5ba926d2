"""A season and its practice as sentences and tables, whatever form they are written in."""

from __future__ import annotations

from typing import Any

from sgputt.analysis.season import SeasonAnalysis
from sgputt.practice.pass_mark import PassMark
from sgputt.practice.priorities import REACHABLE_SHARE, Priority
from sgputt.season.summary import SeasonSummary
from sgputt.wording import NOTHING_COUNTS, RULE
from sgputt_reports import format as fmt
from sgputt_reports.export_practice import priorities_table
from sgputt_reports.export_tables import season_tables
from sgputt_reports.tables import Document


def season_document(analysis: SeasonAnalysis) -> Document:
    """A season: the next drill first, then all tables."""
    summary = analysis.summary
    against = summary.against
    return Document(
        title=f"{summary.player}: putting, {summary.season}",
        lead=[played(summary), *_headline(summary)],
        advice=advice(analysis, most=1),
        tables=[each for each in season_tables(analysis) if not each.frame.is_empty()],
        notes=[
            *_meanings(summary.strokes_gained.level),
            _from(analysis),
            analysis.stroke.assumption,
            analysis.stroke.too_few,
            f"Baseline {against.name}: {against.title}; {against.limits}.",
            analysis.caution,
            RULE,
        ],
        facts=facts(summary),
    )


def practice_document(analysis: SeasonAnalysis) -> Document:
    """What to practise: each loss with its drill, in order of size."""
    summary = analysis.summary
    return Document(
        title=f"{summary.player}: what to practise next",
        lead=[played(summary)],
        advice=advice(analysis),
        tables=[priorities_table(analysis.priorities, analysis.marks)],
        notes=[
            *_meanings(summary.strokes_gained.level)[1:],
            _from(analysis),
            analysis.caution,
            RULE,
        ],
        facts=facts(summary),
    )


def facts(summary: SeasonSummary) -> dict[str, Any]:
    """Whose season it is, of when, against whom, and how much was played."""
    return {
        "player": summary.player,
        "season": summary.season,
        "baseline": summary.against.name,
        "baseline_approximate": summary.against.approximate,
        "level": summary.strokes_gained.level,
        "rounds": summary.rounds,
        "holes": summary.holes,
        "putts": summary.putts,
    }


def played(summary: SeasonSummary) -> str:
    """How much was played, when and against whom, in a sentence."""
    days = summary.rounds_table["date"].sort()
    first, last = fmt.day(days[0]), fmt.day(days[-1])
    span = f"on {first}" if first == last else f"from {first} to {last}"
    rough = ", which is approximate" if summary.against.approximate else ""
    counts = ", ".join(
        (
            fmt.count(summary.rounds, "round"),
            fmt.count(summary.holes, "hole"),
            fmt.count(summary.putts, "putt"),
        )
    )
    return f"{counts}, {span}; compared with the baseline {summary.against.name}{rough}."


def _headline(summary: SeasonSummary) -> list[str]:
    gained = summary.strokes_gained
    reached = fmt.interval(gained.low, gained.high)
    within = f" ({fmt.percent(gained.level)} interval {reached})" if reached else ""
    parts = (
        f"holing {fmt.estimate(summary.holing)} and leaves {fmt.estimate(summary.leave)}"
        f"; {fmt.number(summary.putts_per_round)} putts and "
        f"{fmt.number(summary.three_putts_per_round)} three-putts a round of 18 holes"
    )
    few = fmt.few_rounds(summary.rounds)
    said = [f"Strokes gained a round: {fmt.estimate(gained)}{within}. Of these {parts}."]
    return [*said, few] if few else said


def advice(analysis: SeasonAnalysis, most: int | None = None) -> list[tuple[str, list[str]]]:
    """What to do next: a heading and paragraphs for each loss, or for the ``most`` first."""
    if not analysis.counts:
        return [("Next", [NOTHING_COUNTS])]
    priorities = analysis.priorities[:most]
    if not priorities:
        return [("Next", ["No loss shows from any distance: keep up what you do."])]
    first: dict[str, int] = {}
    for each in priorities:
        first.setdefault(each.drill.id, each.rank)
    return [
        _drill(each, analysis.rounds, analysis.marks[each.drill.id], first[each.drill.id])
        for each in priorities
    ]


def _drill(each: Priority, rounds: int, mark: PassMark, first: int) -> tuple[str, list[str]]:
    """Heading and paragraphs; a drill that stands higher up already, as ``first``, is named."""
    chance = f"The chance that the loss is real is {fmt.chance(each.chance_of_loss)}"
    if each.sure:
        told = "."
    elif each.rounds_to_tell is None:
        told = ": too few putts to tell, and over a thousand rounds would be needed."
    else:
        more = max(each.rounds_to_tell - rounds, 1)
        told = f": too few to tell it from luck; about {more} more rounds would."
    setting = [
        f"Set-up: {each.drill.setup}",
        f"Do: {each.drill.do}",
        f"Pass mark: {mark.text}",
        *([f"Set up for you: {mark.set_up}"] if mark.set_up else []),
    ]
    return f"Drill {each.rank}: {each.drill.name}, {each.drill.minutes} minutes", [
        f"Why: {fmt.tidy(each.why)}. {chance}{told}",
        *(setting if first == each.rank else [f"Set-up and pass mark: as drill {first} above."]),
        f"Worth: about {each.worth_per_round:.2f} strokes a round, if "
        f"{fmt.percent(REACHABLE_SHARE)} of the loss can be won back.",
    ]


def _from(analysis: SeasonAnalysis) -> str:
    return f"Pass marks are worked out from {analysis.aim.whose}." if analysis.marks else ""


def _meanings(level: float) -> list[str]:
    return [
        "Strokes gained: expected putts from where the ball lay, less those taken; positive is "
        "good. Holing is the part won or lost by the ball dropping or not, leave by how far a "
        "miss was left.",
        f"A round is 18 holes. Intervals are {fmt.percent(level)}.",
        "Losses to practise are shrunk toward the player's own mean, as far as luck could explain "
        "them. Pass marks and worth rest on a model.",
    ]
