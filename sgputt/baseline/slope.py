"""A baseline that allows for slope: a model beside the measured, distance-only one.

``E(d, slope) - 1 = (E(d) - 1) * ratio(d, slope)``, where the ratio is the stroke model's own on a
grade, divided by its mean over a usual mix of slopes; the miss share ``1 - P`` likewise. So the
usual mix gives back the distance-only baseline exactly, whatever the model.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from sgputt.baseline.curve import Baseline
from sgputt.stroke.chain import slope_chain
from sgputt.stroke.green import USUAL_GRADE, USUAL_STIMP_FT
from sgputt.stroke.model import TOUR, Array, Stroke

# Shares of slopes along the line in a usual mix: an assumption, common practice, no source.
USUAL_MIX: Mapping[str, float] = {"uphill": 0.4, "level": 0.2, "downhill": 0.4}


@dataclass(frozen=True)
class SlopeFair:
    """A baseline by slope, with the assumptions it was made of.

    Attributes
    ----------
    by_slope : dict of Baseline
        ``uphill``, ``level`` and ``downhill``.
    grade, stimp_ft : float
        Rise over run along the putt; green speed, feet.
    mix : mapping
        Shares of slopes over which the distance-only baseline comes back.
    """

    by_slope: dict[str, Baseline]
    grade: float
    stimp_ft: float
    mix: Mapping[str, float]

    @property
    def assumption(self) -> str:
        """What the model assumes, in words."""
        shares = ", ".join(f"{100 * share:g} % {slope}" for slope, share in self.mix.items())
        return (
            f"Model: slopes of {100 * self.grade:g} %, stimp {self.stimp_ft:g} ft, "
            f"a mix of {shares}; pace errors from reading and the green grow downhill."
        )


def slope_fair(
    baseline: Baseline,
    stroke: Stroke = TOUR,
    grade: float = USUAL_GRADE,
    stimp_ft: float = USUAL_STIMP_FT,
    mix: Mapping[str, float] = USUAL_MIX,
) -> SlopeFair:
    """Split a baseline by slope.

    Parameters
    ----------
    baseline : Baseline
        On the grid of :mod:`sgputt.stroke.chain`.
    stroke : Stroke
        Spreads of the players it describes.
    grade, stimp_ft : float
        Rise over run; feet.
    mix : mapping
        Share of each slope; they add to 1.
    """
    chains = slope_chain(stroke, grade, stimp_ft)
    missed = {slope: 1 - chains[slope].one_putt for slope in chains}
    beyond = {slope: chains[slope].expected_putts - 1 for slope in chains}
    three = {slope: chains[slope].three_putt for slope in chains}
    table = baseline.table
    own = {name: table[name].to_numpy() for name in table.columns}
    by_slope = {}
    for slope in chains:
        columns = {
            "one_putt": 1 - (1 - own["one_putt"]) * _ratio(missed, slope, mix),
            "expected_putts": 1 + (own["expected_putts"] - 1) * _ratio(beyond, slope, mix),
            "three_putt": own["three_putt"] * _ratio(three, slope, mix),
            "leave_spread": chains[slope].leave_spread,
        }
        fair = table.select("distance_ft").with_columns(**columns)
        by_slope[slope] = replace(baseline, name=f"{baseline.name}, {slope}", table=fair)
    return SlopeFair(by_slope, grade, stimp_ft, mix)


def _ratio(values: dict[str, Array], slope: str, mix: Mapping[str, float]) -> Array:
    mean = np.sum([share * values[name] for name, share in mix.items()], axis=0)
    sure = mean > np.finfo(np.float64).eps
    return np.where(sure, values[slope] / np.where(sure, mean, 1.0), 1.0)
