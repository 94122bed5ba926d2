"""Shrinkage: how much of a difference to believe."""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

from sgputt.stroke.model import Array

_STEPS = 200


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

    def surplus(tau2: float) -> float:
        weight = 1 / (variances + tau2)
        mean = np.average(values, weights=weight)
        return float(np.sum(weight * (values - mean) ** 2) - (len(values) - 1))

    tau2 = 0.0
    if len(values) > 1 and surplus(0.0) > 0:
        widest = float(np.var(values) * len(values) + 1e-12)
        tau2 = float(brentq(surplus, 0.0, widest))
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
