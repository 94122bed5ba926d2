"""Scorecards: a file as typed to putts, holes and problems. Reads; stores nothing."""

from sgputt.scorecard.blank import blank_card
from sgputt.scorecard.options import CardOptions
from sgputt.scorecard.problem import Problem
from sgputt.scorecard.reader import read_scorecard
from sgputt.scorecard.reading import Reading, RoundReading
from sgputt.scorecard.row import Row

__all__ = [
    "CardOptions",
    "Problem",
    "Reading",
    "RoundReading",
    "Row",
    "blank_card",
    "read_scorecard",
]
