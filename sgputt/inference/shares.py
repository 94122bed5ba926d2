"""Intervals for shares (makes out of tries)."""

from __future__ import annotations

import numpy as np
from scipy.special import ndtri

LEVEL = 0.90


def wilson_interval(successes: int, tries: int, level: float = LEVEL) -> tuple[float, float]:
    """Wilson's score interval for a share.

    Source: Wilson (1927); checked on Newcombe, R. G. (1998) *Statist. Med.* 17, 857-872.

    Parameters
    ----------
    successes, tries : int
        0 <= successes <= tries.
    level : float
        Coverage aimed at.

    Returns
    -------
    low, high : float
        0 and 1 when there were no tries.
    """
    if tries == 0:
        return 0.0, 1.0
    z = float(ndtri((1 + level) / 2))
    share = successes / tries
    centre = (share + z**2 / (2 * tries)) / (1 + z**2 / tries)
    spread = share * (1 - share) / tries + z**2 / (4 * tries**2)
    half = z * float(np.sqrt(spread)) / (1 + z**2 / tries)
    low = 0.0 if successes == 0 else centre - half
    high = 1.0 if successes == tries else centre + half
    return low, high
