from __future__ import annotations

from collections.abc import Iterator

import polars as pl
import pytest
from selenium import webdriver

from tests.browser import start_browser
from tests.reports.cases import HOSTILE, Case, made_hostile, make, putts


@pytest.fixture(scope="session")
def forty() -> Case:
    return make(putts(40))


@pytest.fixture(scope="session")
def one() -> Case:
    return make(putts(1))


@pytest.fixture(scope="session")
def hostile() -> Case:
    table = putts(6, HOSTILE, HOSTILE).with_columns(pl.lit(HOSTILE).alias("event"))
    return made_hostile(make(table, HOSTILE, HOSTILE))


@pytest.fixture(scope="session")
def patchy() -> Case:
    """A round with a concession, a putt from off the green, unknown lengths and a pick-up."""
    at, last = pl.col("hole"), pl.col("result") == "holed"
    unknown = (at == 7) & (pl.col("putt") > 1)
    table = (
        putts(1)
        .with_columns(
            pl.when((at == 5) & last).then(pl.lit("conceded")).otherwise("result").alias("result"),
            pl.when(at == 3).then(pl.lit("off green")).otherwise("surface").alias("surface"),
            pl.when(unknown).then(None).otherwise("distance_ft").alias("distance_ft"),
            pl.when(at.is_in([7, 9])).then(None).otherwise("leave_ft").alias("leave_ft"),
            pl.lit(4).cast(pl.Int8).alias("par"),
        )
        .filter(~((at == 9) & last))
    )
    return make(table)


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[webdriver.Chrome]:
    started = start_browser(tmp_path_factory.mktemp("profile"))
    yield started
    started.quit()
