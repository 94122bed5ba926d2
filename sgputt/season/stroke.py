"""The stroke of a season: fitted spreads, overall and by slope, and what better is worth."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from math import degrees

import polars as pl

from sgputt.errors import TooFewError
from sgputt.season.scored import Scored
from sgputt.stroke.fit import StrokeFit, fit_stroke
from sgputt.stroke.green import USUAL_GRADE, USUAL_STIMP_FT
from sgputt.stroke.worth import Worth, first_putts, worth_of_better

ALL = "all"
ASSUMPTION = (
    "A model: start line and pace errors are normal and independent, the ball is meant to stop "
    "1.4 ft past, line errors do not grow with length. Slopes without a grade count as "
    f"{100 * USUAL_GRADE:g} %, greens without a speed as stimp {USUAL_STIMP_FT:g} ft."
)


@dataclass(frozen=True)
class StrokeReport:
    """Fits of the stroke model.

    Attributes
    ----------
    fits : dict of StrokeFit
        ``all``, and each slope with enough putts; empty when even all are too few.
    too_few : list of str
        What could not be fitted and what it would take.
    worth : list of Worth
        What a better line or pace would gain.
    assumption : str
        What the model assumes, to be shown wherever its figures are.
    """

    fits: dict[str, StrokeFit]
    too_few: list[str]
    worth: list[Worth]
    assumption: str = ASSUMPTION

    def as_dict(self) -> dict[str, object]:
        """Its JSON, which scripts may rely on."""
        return {
            "assumption": self.assumption,
            "too_few": self.too_few,
            "fits": {slope: _fit_record(fit) for slope, fit in self.fits.items()},
            "worth": [asdict(each) for each in self.worth],
        }


def _fit_record(fit: StrokeFit) -> dict[str, object]:
    return {
        "line_deg": fit.stroke.line_deg,
        "line_low_deg": degrees(fit.line_range[0]),
        "line_high_deg": degrees(fit.line_range[1]),
        "line_error_deg": degrees(fit.line_error),
        "pace_share": fit.stroke.pace,
        "pace_low_share": fit.pace_range[0],
        "pace_high_share": fit.pace_range[1],
        "pace_error_share": fit.pace_error,
        "level": fit.level,
        "putts": fit.putts,
        "misses": fit.misses,
        "leaves": fit.leaves,
    }


def stroke_report(scored: Scored) -> StrokeReport:
    """Fit the stroke of one player's rounds."""
    fits: dict[str, StrokeFit] = {}
    too_few: list[str] = []
    for slope in (ALL, "uphill", "level", "downhill"):
        putts = scored.gained
        if slope != ALL:
            putts = putts.filter(pl.col("slope") == slope)
        try:
            fits[slope] = fit_stroke(putts)
        except TooFewError as exc:
            too_few.append(f"{slope.capitalize()} putts: {exc.what} {exc.hint}")
            if slope == ALL:
                break
    holes = int(scored.rounds["holes"].sum())
    met = first_putts(scored.gained, holes)
    return StrokeReport(fits, too_few, worth_of_better(fits[ALL], met) if ALL in fits else [])
