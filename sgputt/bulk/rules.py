"""What a row of putts may hold, and how the putts of a hole follow each other."""

from __future__ import annotations

from dataclasses import dataclass

import polars as pl

from sgputt.bulk.source import SQUAD
from sgputt.putts.table import LEAVE_TOLERANCE_FT, RESULTS, SLOPES, SURFACES
from sgputt.stroke.chain import LONGEST_FT


@dataclass(frozen=True)
class Rule:
    """A rule of a column, by the rows that break it.

    Attributes
    ----------
    column : str
        What is to blame.
    broken : polars.Expr
        In terms of the columns that :mod:`sgputt.bulk.check` makes; null is not broken.
    allowed, hint : str
        What may stand there, and what to do.
    """

    column: str
    broken: pl.Expr
    allowed: str
    hint: str


def unfit(name: str) -> str:
    """Column that says where a value did not take its type."""
    return f"unfit {name}"


def _number(name: str, hint: str) -> Rule:
    wrong = pl.col(unfit(name)) | pl.col(name).is_null() | (pl.col(name) < 1)
    return Rule(name, wrong, "a whole number from 1", hint)


def _word(name: str, words: tuple[str, ...]) -> Rule:
    wrong = pl.col(unfit(name)) | pl.col(name).is_null()
    return Rule(name, wrong, f"one of: {', '.join(words)}", "The words are written in full.")


def _length(name: str, matters: pl.Expr) -> Rule:
    outside = ~pl.col(name).is_between(0, LONGEST_FT, closed="right") & matters
    hint = "Leave a length that is not known empty."
    return Rule(name, pl.col(unfit(name)) | outside, f"feet, over 0 to {LONGEST_FT:g}", hint)


MISSED = pl.col("result") == "missed"
_GOES_ON = ~pl.col("last")

RULES = (
    Rule(
        "date",
        pl.col(unfit("date")) | pl.col("date").is_null(),
        "a date",
        "Write the day of the round as a date, or as 2026-05-03.",
    ),
    _number("round", "Rounds of one day are 1, 2."),
    _number("hole", "Holes are 1 to 18, those of a play-off 19 and up."),
    _number("putt", "Putts of a hole are 1, 2, 3."),
    _length("distance_ft", pl.lit(True)),
    _length("leave_ft", MISSED),
    _word("result", RESULTS),
    _word("slope", SLOPES),
    _word("surface", SURFACES),
    Rule(
        "putt",
        pl.col("putt") != pl.col("place"),
        "1, 2, 3 within a hole, each once",
        "Number the putts of the hole anew, or take out rows written twice.",
    ),
    Rule(
        "result",
        _GOES_ON & ~MISSED,
        "missed, as a putt follows on this hole",
        "Mend the result, or take out the putts behind it.",
    ),
    Rule(
        "leave_ft",
        (pl.col("result") == "holed") & (pl.col("leave_ft").abs() > LEAVE_TOLERANCE_FT),
        "0, as the putt was holed",
        "Mend the result or the leave.",
    ),
    Rule(
        "leave_ft",
        _GOES_ON
        & MISSED
        & pl.col("leave_ft").is_between(0, LONGEST_FT, closed="right")
        & ((pl.col("leave_ft") - pl.col("next_ft")).abs() > LEAVE_TOLERANCE_FT),
        "the length of the next putt",
        "Write the same length in both places, or leave the leave empty.",
    ),
    Rule(
        SQUAD,
        pl.col("same_round") & (pl.col(SQUAD) != pl.col(SQUAD).shift(1)),
        "one squad a round",
        "Give all putts of the round the same squad.",
    ),
)
