"""What to believe of each cell: a normal model of bands and their slopes.

A band's true value is the player's own mean plus a departure of the band, shared among its
slopes as their chances to gain are, plus a departure of each slope. The mean and the variance
between bands come from Paule and Mandel's equation; the posterior is exact for that model, so the
slopes of a band always add up to the band.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sgputt.inference.shrink import gaussian_posterior, paule_mandel
from sgputt.stroke.model import Array

# Strokes a round. Least spread of true values between bands, and between the slopes of a band:
# from a few rounds Paule and Mandel's equation often finds none, and then nothing could ever
# stand out. Chosen with invented seasons; not published.
LEAST_BAND_SPREAD = 0.15
SLOPE_SPREAD = 0.15


@dataclass(frozen=True)
class Posterior:
    """Posterior mean and variance of strokes gained a round.

    Attributes
    ----------
    mean, variance : ndarray, shape (bands, k)
    """

    mean: Array
    variance: Array


@dataclass(frozen=True)
class CellPosterior:
    """Joint posterior of the slopes of each band.

    Attributes
    ----------
    mean : ndarray, shape (bands, slopes)
    covariance : ndarray, shape (bands, slopes, slopes)
    """

    mean: Array
    covariance: Array

    def by_slope(self) -> Posterior:
        """Every slope of every band."""
        return Posterior(self.mean, np.diagonal(self.covariance, axis1=1, axis2=2))

    def by_band(self) -> Posterior:
        """Every band as a whole; arrays of shape (bands, 1)."""
        return Posterior(
            self.mean.sum(axis=1, keepdims=True), self.covariance.sum(axis=(1, 2))[:, None]
        )


def posterior(values: Array, noise: Array, scale: Array, seen: NDArray[np.bool_]) -> CellPosterior:
    """Shrink the cells of one component.

    Parameters
    ----------
    values, noise : ndarray, shape (bands, slopes)
        Strokes gained a round, and the variance of its luck.
    scale : ndarray, shape (bands, slopes)
        Chances to gain or lose; only their shares within a band matter.
    seen : ndarray of bool, shape (bands, slopes)
        Cells with at least one putt; the others come back as zero.
    """
    mean, covariance = np.zeros(values.shape), np.zeros((*values.shape, values.shape[1]))
    bands = np.flatnonzero(seen.any(axis=1))
    if len(bands) == 0:
        return CellPosterior(mean, covariance)
    own_mean, between = paule_mandel(
        np.where(seen, values, 0.0).sum(axis=1)[bands],
        np.where(seen, noise, 0.0).sum(axis=1)[bands],
    )
    between = max(between, LEAST_BAND_SPREAD**2)
    for band in bands:
        slopes = np.flatnonzero(seen[band])
        share = scale[band, slopes] / scale[band, slopes].sum()
        prior = between * np.outer(share, share) + np.diag(SLOPE_SPREAD**2 * share)
        mean[band, slopes], covariance[np.ix_([band], slopes, slopes)] = gaussian_posterior(
            values[band, slopes], noise[band, slopes], own_mean * share, prior
        )
    return CellPosterior(mean, covariance)
