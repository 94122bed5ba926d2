"""Scorecards: a file as typed to putts, holes and problems. Reads; stores nothing."""

from sgputt.scorecard.blank import blank_card
from sgputt.scorecard.card import CardOptions, Reading, RoundReading
from sgputt.scorecard.files import Row
from sgputt.scorecard.problem import Place, Problem
from sgputt.scorecard.reader import read_scorecard

__all__ = [
    "CardOptions",
    "Place",
    "Problem",
    "Reading",
    "RoundReading",
    "Row",
    "blank_card",
    "read_scorecard",
]
