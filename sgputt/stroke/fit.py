"""A player's spreads, fitted to makes and leaves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.special import logsumexp, ndtri

from sgputt.errors import TooFewError
from sgputt.stroke.green import USUAL_GRADE, USUAL_STIMP_FT, sloped_pace
from sgputt.stroke.likelihood import log_leave, log_make
from sgputt.stroke.model import MENDED, TOUR, Array, Form, Stroke

LEVEL = 0.90
FEWEST_PUTTS = 60
FEWEST_MISSES = 15
_STEP = 1e-2
# One leave in two hundred is taken as anything (a stubbed putt, a slip of the pencil), so that no
# single one can drag the fit: exponential about 2 ft and a quarter of the length. An assumption.
STRAY_SHARE = 0.005
STRAY_LEAST_FT = 2.0
STRAY_LENGTH_SHARE = 0.25
# Leaves of shorter putts are no measure of pace: the ball was hardly struck.
_LEAST_TOLD_FT = 1.0
_LEAST_LEAVE_FT = 0.02
_STEPS_FT = (1.0, 0.5, 0.25)
_WHOLE = 0.02
_NEARLY_ALL = 0.9
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)
_SIGNS = {"uphill": 1.0, "downhill": -1.0}
# A spread known no better than to a factor of e either way is not known.
_LARGEST_ERROR = 1.0
# Spreads that a person may have, radians and share of length; putts all alike would give others.
_LEAST_SPREADS, _MOST_SPREADS = (0.002, 0.01), (0.2, 1.0)


@dataclass(frozen=True)
class StrokeFit:
    """Fitted spreads with their uncertainty.

    Attributes
    ----------
    stroke : Stroke
        Most likely spreads on the level.
    line_error, pace_error : float
        Standard errors, radians and share of length.
    line_range, pace_range : tuple of float
        Intervals at ``level``.
    covariance : ndarray, shape (2, 2)
        Of the logarithms of line and pace.
    putts, misses, leaves : int
        Putts used, misses among them, and misses whose leave was known.
    slope_factor : float
        Root mean square of the slopes' effect on the pace spread over these putts; 1 where no
        slope was written.
    """

    stroke: Stroke
    line_error: float
    pace_error: float
    line_range: tuple[float, float]
    pace_range: tuple[float, float]
    covariance: Array
    putts: int
    misses: int
    leaves: int
    slope_factor: float
    level: float = LEVEL

    @property
    def tour_pace(self) -> float:
        """The tour's pace spread on the level, to compare with.

        The tour's spread comes from putts over all slopes without a word of them; where slopes
        were written here, their effect is taken out of it too.
        """
        return TOUR.pace / self.slope_factor


@dataclass(frozen=True)
class Outcomes:
    """Putts as the likelihood needs them.

    Attributes
    ----------
    distance_ft, leave_ft : ndarray, shape (n,)
        Feet; the leave is NaN when holed or unknown.
    made : ndarray of bool, shape (n,)
    slower : ndarray, shape (n,)
        Factor on the pace spread along the putt's slope.
    step_ft : float
        Step to which leaves were written, feet: 1, 0.5, 0.25, or 0 for finer.
    """

    distance_ft: Array
    leave_ft: Array
    made: NDArray[np.bool_]
    slower: Array
    step_ft: float

    def log_likelihood(self, line_rad: float, pace: float, form: Form) -> float:
        """Log likelihood of all outcomes at these spreads."""
        stroke = Stroke(line_rad, pace, form)
        spread = stroke.roll_spread_ft(self.distance_ft) * self.slower
        made, missed = log_make(line_rad, spread, self.distance_ft, form)
        seen = np.isfinite(self.leave_ft)
        total = made[self.made].sum() + missed[~self.made & ~seen].sum()
        if seen.any():
            leaves = (self.distance_ft[seen], self.leave_ft[seen])
            played = self._log_written(line_rad, spread[seen], form)
            stray = missed[seen] + _log_stray(*leaves)
            total += np.logaddexp(played + np.log1p(-STRAY_SHARE), stray).sum()
        return float(total)

    def _log_written(self, line_rad: float, spread: Array, form: Form) -> Array:
        """Log density of leaves as written: their mean over what was rounded to them.

        Nobody writes 0 for a miss, so the shortest leave stands for all from nothing on.
        """
        seen = np.isfinite(self.leave_ft)
        distance, leave = self.distance_ft[seen], self.leave_ft[seen]
        if self.step_ft == 0:
            return log_leave(line_rad, spread, distance, leave, form)
        shortest = leave < self.step_ft * (1 + _WHOLE)
        low = np.where(shortest, _LEAST_LEAVE_FT, leave - self.step_ft / 2)
        half = (leave + self.step_ft / 2 - low) / 2
        within = [low + half * (1 + node) for node in _NODES]
        logs = [log_leave(line_rad, spread, distance, each, form) for each in within]
        return np.asarray(logsumexp(logs, axis=0, b=_WEIGHTS[:, None] / 2), dtype=np.float64)


def _log_stray(distance_ft: Array, leave_ft: Array) -> Array:
    """Log density, per foot, of a leave that the model does not cover: exponential and wide."""
    usual = STRAY_LEAST_FT + STRAY_LENGTH_SHARE * distance_ft
    return np.asarray(np.log(STRAY_SHARE / usual) - leave_ft / usual, dtype=np.float64)


def outcomes(putts: pl.DataFrame) -> Outcomes:
    """Putts from the green, holed or missed, of known length.

    The slope's effect on pace is that of the putt's own grade and green speed where they were
    recorded, else of a grade of 2.5 % and a stimp of 10 ft; an unknown slope counts as level.

    Parameters
    ----------
    putts : polars.DataFrame
        The putts table.
    """
    used = putts.filter(
        (pl.col("surface") == "green")
        & (pl.col("result") != "conceded")
        & pl.col("distance_ft").is_not_null()
    )
    made = (used["result"] == "holed").to_numpy()
    distance = used["distance_ft"].to_numpy()
    leave = used["leave_ft"].fill_null(np.nan).to_numpy()
    told = ~made & (leave > 0) & (distance >= _LEAST_TOLD_FT)
    leave = np.where(told, leave, np.nan)
    return Outcomes(distance, leave, made, _slower(used), _step(leave[told]))


def _step(leave_ft: Array) -> float:
    """The coarsest step that nearly all leaves are whole numbers of."""
    for step in _STEPS_FT:
        whole = np.abs(leave_ft / step - np.round(leave_ft / step)) < _WHOLE
        if len(leave_ft) and whole.mean() >= _NEARLY_ALL:
            return step
    return 0.0


def _slower(used: pl.DataFrame) -> Array:
    places = used.select(
        pl.col("slope").cast(pl.String).replace_strict(_SIGNS, default=0.0).alias("sign"),
        pl.col("grade").fill_null(USUAL_GRADE),
        pl.col("stimp_ft").fill_null(USUAL_STIMP_FT),
    )
    kinds = places.unique().with_columns(
        pl.struct("sign", "grade", "stimp_ft")
        .map_elements(
            lambda at: _factor(at["sign"] * at["grade"], at["stimp_ft"]), return_dtype=pl.Float64
        )
        .alias("slower")
    )
    return (
        places.join(kinds, on=places.columns, how="left", maintain_order="left")["slower"]
    ).to_numpy()


def _factor(grade: float, stimp_ft: float) -> float:
    """Factor on the pace spread; at most that of the usual slope where a ball would not stop."""
    try:
        return sloped_pace(1.0, grade, stimp_ft)
    except ValueError:
        return sloped_pace(1.0, -USUAL_GRADE, USUAL_STIMP_FT)


@dataclass(frozen=True)
class Prior:
    """What is taken for likely before any putt: these spreads, within this share of themselves."""

    stroke: Stroke
    share: float


def fit_stroke(
    putts: pl.DataFrame, form: Form = MENDED, level: float = LEVEL, prior: Prior | None = None
) -> StrokeFit:
    """Most likely line and pace spreads of one player.

    Maximum likelihood on the logarithms of both; standard errors from the curvature there.

    Parameters
    ----------
    putts : polars.DataFrame
        The putts table of one player.
    form : Form
        Constants of the model.
    level : float
        Coverage of the intervals.
    prior : Prior, optional
        Shrinks the spreads toward others' (normal in their logarithms); then any number of putts
        will do.

    Raises
    ------
    TooFewError
        Without a prior: fewer than 60 putts or 15 misses, or putts that are too much
        alike or do not tell line and pace apart.
    """
    data = outcomes(putts)
    misses = int((~data.made).sum())
    if prior is None and (len(data.made) < FEWEST_PUTTS or misses < FEWEST_MISSES):
        raise TooFewError(
            f"Too few putts to fit a stroke: {len(data.made)} putts, {misses} misses.",
            f"It takes {FEWEST_PUTTS} putts with {FEWEST_MISSES} misses, two to three rounds.",
        )
    centre = prior.stroke if prior else TOUR
    start = np.log([centre.line_rad, centre.pace])

    def cost(logs: Array) -> float:
        line, pace = np.exp(logs)
        doubt = np.sum((logs - start) ** 2) / (2 * prior.share**2) if prior else 0.0
        return float(doubt) - data.log_likelihood(float(line), float(pace), form)

    best = minimize(cost, start, method="Nelder-Mead", options={"xatol": 1e-4, "fatol": 1e-4}).x
    bounds = np.log([_LEAST_SPREADS, _MOST_SPREADS])
    if prior is not None:
        best = np.clip(best, *bounds)
    # Never less sure than before any putt, where the likelihood is no hill at its best point.
    strengths, directions = np.linalg.eigh(_curvature(cost, best))
    strengths = np.maximum(strengths, 1 / prior.share**2 if prior else np.finfo(np.float64).tiny)
    covariance = np.asarray((directions / strengths) @ directions.T, dtype=np.float64)
    if prior is None and not np.all((bounds[0] < best) & (best < bounds[1])):
        raise TooFewError(
            "These putts are too much alike to fit a stroke.",
            "It takes putts of several lengths, some holed and some missed.",
        )
    if prior is None and not np.all(np.diag(covariance) < _LARGEST_ERROR**2):
        raise TooFewError(
            "These putts do not tell start line and pace apart.",
            "Write the lengths of second putts too: what a miss leaves tells the pace.",
        )
    return _report(best, covariance, data, form, level)


def _curvature(cost: object, at: Array) -> Array:
    """Second derivatives by central differences."""
    assert callable(cost)
    steps = np.eye(2) * _STEP
    matrix = np.empty((2, 2))
    for i in range(2):
        for j in range(2):
            corners = [
                cost(at + a * steps[i] + b * steps[j]) * a * b for a in (1, -1) for b in (1, -1)
            ]
            matrix[i, j] = sum(corners) / (4 * _STEP**2)
    return matrix


def _report(best: Array, covariance: Array, data: Outcomes, form: Form, level: float) -> StrokeFit:
    line, pace = (float(each) for each in np.exp(best))
    errors = np.sqrt(np.diag(covariance))
    reach = float(ndtri((1 + level) / 2)) * errors
    low, high = np.exp(best - reach), np.exp(best + reach)
    missed = ~data.made
    return StrokeFit(
        stroke=Stroke(line, pace, form),
        line_error=line * float(errors[0]),
        pace_error=pace * float(errors[1]),
        line_range=(float(low[0]), float(high[0])),
        pace_range=(float(low[1]), float(high[1])),
        covariance=covariance,
        putts=len(data.made),
        misses=int(missed.sum()),
        leaves=int(np.isfinite(data.leave_ft).sum()),
        slope_factor=float(np.sqrt(np.mean(data.slower**2))) if len(data.slower) else 1.0,
        level=level,
    )
