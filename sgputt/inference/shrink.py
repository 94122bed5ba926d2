"""Shrinkage: how much of a difference to believe."""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

from sgputt.stroke.model import Array


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
