"""A season and its practice as sentences and tables, whatever form they are written in."""

from __future__ import annotations

from typing import Any

from sgputt.analysis.season import SeasonAnalysis
from sgputt.practice.decision import Priority
from sgputt.season.fairness import FAIR_ASSUMPTION
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
            FAIR_ASSUMPTION,
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
        tables=[priorities_table(analysis.priorities)],
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
    decision = analysis.decision
    told = [("Nothing stands out", [decision.note])] if decision.note else []
    return told + [_drill(each) for each in decision.priorities[:most]]


def _drill(each: Priority) -> tuple[str, list[str]]:
    """Heading and paragraphs."""
    kind = "Default drill" if each.default else f"Drill {each.rank}"
    return f"{kind}: {each.drill.name}, {each.minutes} minutes", [
        f"Why: {fmt.tidy(each.why)}. How sure: {each.sureness}",
        f"Set-up: {each.drill.setup}",
        f"Do: {each.drill.do}",
        f"Pass mark: {each.pass_mark}",
        *([f"Set up for you: {each.set_up}"] if each.set_up else []),
        f"Worth: {each.worth_words}.",
    ]


def _from(analysis: SeasonAnalysis) -> str:
    return f"Pass marks are worked out from {analysis.decision.known.whose}."


def _meanings(level: float) -> list[str]:
    return [
        "Strokes gained: expected putts from where the ball lay, less those taken; positive is "
        "good. Holing is the part won or lost by the ball dropping or not, leave by how far a "
        "miss was left.",
        f"A round is 18 holes. Intervals are {fmt.percent(level)}.",
        "Worth: strokes a round if what a drill trains moves one step; nobody has measured what a "
        "drill brings. Pass marks and worth rest on a model.",
    ]
