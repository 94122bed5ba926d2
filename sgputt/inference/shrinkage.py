"""Shrinkage: how much of a difference to believe, of groups and of cells in bands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sgputt.physics.roll import Array

_STEPS = 200
_CLOSE = 1e-12


def paule_mandel(values: Array, variances: Array) -> tuple[float, float]:
    """Mean and between-group variance of noisy values.

    The variance solves ``sum w (y - mean)^2 = n - 1`` with ``w = 1 / (v + tau2)``; 0 when the
    values differ no more than their noise (Paule & Mandel 1982, *J. Res. NBS* 87(5); from memory).

    Parameters
    ----------
    values, variances : ndarray, shape (n,)
        Each value with the variance of its noise, > 0.

    Returns
    -------
    mean, tau2 : float
    """
    tau2 = 0.0
    for _ in range(_STEPS):
        weight = 1 / (variances + tau2)
        weighted = weight * (values - np.average(values, weights=weight)) ** 2
        surplus = float(weighted.sum()) - (len(values) - 1)
        if surplus <= _CLOSE * len(values):
            break
        # Newton's steps: what is left over falls ever more slowly, so that none goes too far.
        tau2 += surplus / float((weight * weighted).sum())
    return float(np.average(values, weights=1 / (variances + tau2))), tau2


def shrink(values: Array, variances: Array, mean: float, tau2: float) -> tuple[Array, Array]:
    """Normal-normal posterior mean and variance of each value (Efron & Morris 1975).

    Parameters
    ----------
    values, variances : ndarray, shape (n,)
        Each value with the variance of its noise.
    mean, tau2 : float
        Centre and variance of the true values.
    """
    kept = tau2 / (tau2 + variances)
    return mean + kept * (values - mean), kept * variances


def shrink_among(values: Array, variances: Array, spread: float) -> tuple[Array, Array]:
    """Posterior mean and variance of each value, the spread of the true values being unknown too.

    Normal-normal, averaged over the standard deviation of the true values, which has a
    half-Cauchy prior (Gelman 2006, *Bayesian Analysis* 1(3), 515-534), and over their mean, which
    has a flat one (Gelman et al., *Bayesian Data Analysis*, section 5.4; both from memory). So
    among few values, or alike ones, nothing is called certain.

    Parameters
    ----------
    values, variances : ndarray, shape (n,)
        Each value with the variance of its noise, > 0.
    spread : float
        Scale of the half-Cauchy prior: how far true values may well lie apart.
    """
    # Even steps of probability under the prior.
    spreads = spread * np.tan(np.pi / 2 * (np.arange(_STEPS) + 0.5) / _STEPS)
    heights = np.array([_height(values, variances, tau2) for tau2 in spreads**2])
    shares = np.exp(heights - heights.max())
    shares /= shares.sum()
    centre, square = np.zeros(len(values)), np.zeros(len(values))
    for share, tau2 in zip(shares, spreads**2, strict=True):
        weight = 1 / (variances + tau2)
        mean, left = shrink(values, variances, float(np.average(values, weights=weight)), tau2)
        left = left + (variances * weight) ** 2 / weight.sum()
        centre += share * mean
        square += share * (left + mean**2)
    return centre, square - centre**2


def _height(values: Array, variances: Array, tau2: float) -> float:
    """Log likelihood of a variance of the true values, their mean integrated out."""
    weight = 1 / (variances + tau2)
    mean = np.average(values, weights=weight)
    off = np.sum(weight * (values - mean) ** 2) - np.log(weight).sum() + np.log(weight.sum())
    return float(-off / 2)


def gaussian_posterior(
    values: Array, noise: Array, prior_mean: Array, prior_covariance: Array
) -> tuple[Array, Array]:
    """Posterior mean and covariance of correlated true values seen with independent noise.

    Parameters
    ----------
    values, noise, prior_mean : ndarray, shape (n,)
        ``noise`` holds variances.
    prior_covariance : ndarray, shape (n, n)
    """
    gain = np.linalg.solve(prior_covariance + np.diag(noise), prior_covariance).T
    mean = prior_mean + gain @ (values - prior_mean)
    return mean, prior_covariance - gain @ prior_covariance


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
