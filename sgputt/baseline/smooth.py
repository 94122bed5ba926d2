"""A monotone smooth of make shares through published counts."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import BSpline
from scipy.optimize import lsq_linear
from scipy.special import expit, logit

from sgputt.physics.roll import Array

_DEGREE = 3
_SEGMENTS = 14
_SHORTEST_FT, _LONGEST_FT = 0.25, 100.0


def smooth_make_shares(
    tries_ft: Array, tries: Array, holed: Array, at_ft: Array, stiffness: float = 1.0
) -> Array:
    """Make shares that fall with distance, smooth in its logarithm.

    A cubic B-spline in ``log(distance)`` for the logit of the share, its coefficients falling
    (which makes the curve monotone), fitted by weighted least squares with a penalty on the second
    differences of the coefficients (Eilers & Marx 1996, *Statist. Sci.* 11(2); from memory).
    Weights are binomial, on the logit scale ``n p (1 - p)``.

    Parameters
    ----------
    tries_ft, tries, holed : ndarray, shape (n,)
        Mean distance of each bin in feet, putts and makes.
    at_ft : ndarray, shape (m,)
        Distances wanted, 0.25 to 100 ft.
    stiffness : float
        Weight of the penalty; larger is smoother.

    Returns
    -------
    ndarray, shape (m,)
    """
    share = (holed + 0.5) / (tries + 1)
    weight = np.sqrt(tries * share * (1 - share))
    basis = _basis(tries_ft)
    count = basis.shape[1]
    falling = np.tril(-np.ones((count, count)))
    falling[:, 0] = 1.0
    penalty = np.sqrt(stiffness) * np.diff(np.eye(count), n=2, axis=0)
    rows = np.vstack([weight[:, None] * basis, penalty]) @ falling
    target = np.concatenate([weight * logit(share), np.zeros(len(penalty))])
    lower = np.concatenate([[-np.inf], np.zeros(count - 1)])
    steps = lsq_linear(rows, target, bounds=(lower, np.inf), tol=1e-12).x
    return np.asarray(expit(_basis(at_ft) @ (falling @ steps)), dtype=np.float64)


def _basis(distance_ft: Array) -> Array:
    low, high = np.log(_SHORTEST_FT), np.log(_LONGEST_FT)
    inner = np.linspace(low, high, _SEGMENTS + 1)
    knots = np.concatenate([[low] * _DEGREE, inner, [high] * _DEGREE])
    return np.asarray(
        BSpline.design_matrix(np.log(distance_ft), knots, _DEGREE).toarray(), dtype=np.float64
    )
