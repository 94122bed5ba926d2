"""Student's t from SciPy's special functions: ``scipy.stats`` takes longer to load than to use.

Freedom may be any positive number, arrays broadcast.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import gammaln, stdtr, stdtrit

from sgputt.stroke.model import Array


def quantile(chance: ArrayLike, freedom: ArrayLike) -> Array:
    """Value that t stays under with that chance."""
    return np.asarray(stdtrit(np.asarray(freedom), np.asarray(chance)), dtype=np.float64)


def below(value: ArrayLike, freedom: ArrayLike) -> Array:
    """Chance that t stays under a value."""
    return np.asarray(stdtr(np.asarray(freedom), np.asarray(value)), dtype=np.float64)


def density(value: ArrayLike, freedom: ArrayLike) -> Array:
    """Density of t at a value."""
    nu = np.asarray(freedom, dtype=np.float64)
    scale = gammaln((nu + 1) / 2) - gammaln(nu / 2) - np.log(nu * np.pi) / 2
    return np.asarray(np.exp(scale - (nu + 1) / 2 * np.log1p(np.square(value) / nu)))
