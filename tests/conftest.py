"""What holds for every test."""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable
from functools import lru_cache, wraps
from importlib import import_module
from typing import Any

# Two workers that each start a thread for every core wait for one another. Before NumPy loads.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import pytest
from hypothesis import settings

# An example may take long because another program has the processor; that is no fault of ours.
settings.register_profile("patient", settings.default, deadline=None)
settings.load_profile("patient")

# Hundreds of tests analyse the same few seasons. These functions give the same for the same
# arguments, and no caller changes what it gets, so that each season is worked out once a worker.
# In the order in which the rooms import one another, before anything else imports them.
_WORKED_OUT_ONCE = (
    ("sgputt.stroke.outcomes", "outcomes_from"),
    ("sgputt.stroke.invented", "invented_season"),
    ("sgputt.stroke.fitting", "fit_putting_stroke"),
    ("sgputt.stroke.causes", "stroke_causes"),
    ("sgputt.practice.decision", "decide"),
    ("sgputt_reports.drawing", "draw"),
)
_KEPT = 32


def _remembered(function: Callable[..., Any]) -> Callable[..., Any]:
    @lru_cache(_KEPT)
    def worked_out(arguments: bytes) -> Any:
        positional, named = pickle.loads(arguments)
        return function(*positional, **named)

    @wraps(function)
    def remembered(*positional: Any, **named: Any) -> Any:
        return worked_out(pickle.dumps((positional, named)))

    return remembered


# Charts already drawn are not drawn again in a process of their own.
vars(import_module("sgputt_reports.drawing"))["get_ready"] = lambda: None
for _module, _name in _WORKED_OUT_ONCE:
    setattr(import_module(_module), _name, _remembered(getattr(import_module(_module), _name)))


@pytest.fixture(scope="session", autouse=True)
def _cache_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> None:
    """What commands keep from one time to the next lies in a folder of the run."""
    os.environ["XDG_CACHE_HOME"] = str(tmp_path_factory.mktemp("cache"))
