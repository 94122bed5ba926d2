from __future__ import annotations

import datetime as dt

import pytest

from sgputt.putts.values import CellError
from sgputt.scorecard.cells import DateOrder, DateReader

TODAY = dt.date(2026, 6, 1)
DAY = dt.date(2026, 5, 3)


def reader(*written: str, order: DateOrder | None = None) -> DateReader:
    return DateReader(written, order, TODAY)


@pytest.mark.parametrize(
    "text",
    [
        "2026-05-03",
        "2026/5/3",
        "2026.05.03",
        "2026-05-03 00:00:00",
        "2026-05-03T00:00:00",
        "3 May 2026",
        "3rd May 2026",
        "03-May-2026",
        "May 3, 2026",
        "May 3rd 2026",
        "Sunday 3 May 2026",
        "Sun, 3. MAY 2026",
        "03.05.2026",
        "3. 5. 2026",
    ],
)
def test_reads_dates(text: str) -> None:
    assert reader().read(text) == DAY


@pytest.mark.parametrize(
    ("text", "order", "date"),
    [
        ("3/5/2026", "dmy", DAY),
        ("5/3/2026", "mdy", DAY),
        ("03-05-2026", "dmy", DAY),
        ("5/5/2026", None, dt.date(2026, 5, 5)),
        ("25/3/2026", None, dt.date(2026, 3, 25)),
        ("3/25/2026", None, dt.date(2026, 3, 25)),
    ],
)
def test_order_of_day_and_month(text: str, order: DateOrder | None, date: dt.date) -> None:
    assert reader(order=order).read(text) == date


def test_one_plain_date_settles_the_others() -> None:
    assert reader("3/5/2026", "25/3/2026").read("3/5/2026") == DAY
    assert reader("5/3/2026", "3/25/2026").read("5/3/2026") == DAY


@pytest.mark.parametrize("written", [("3/5/2026",), ("3/5/2026", "25/3/2026", "3/25/2026")])
def test_never_guesses(written: tuple[str, ...]) -> None:
    with pytest.raises(CellError, match="may be day first or month first") as caught:
        reader(*written).read("3/5/2026")
    assert "--date-order dmy" in caught.value.hint
    assert "--date-order mdy" in caught.value.hint


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("3/5/26", "a year of two digits"),
        ("2026-02-30", "there is no such date"),
        ("31.04.2026", "there is no such date"),
        ("2026-06-03", "lies in the future"),
        ("1949-12-31", "is before 1950"),
        ("3 Mai 2026", "a date"),
        ("yesterday", "a date"),
        ("46145", "a date"),
    ],
)
def test_refuses_other_dates(text: str, said: str) -> None:
    with pytest.raises(CellError, match=said):
        reader().read(text)


def test_tomorrow_may_be_today_elsewhere() -> None:
    assert reader().read("2026-06-02") == dt.date(2026, 6, 2)


def test_the_given_order_holds() -> None:
    with pytest.raises(CellError, match="no such date"):
        reader(order="mdy").read("25/3/2026")
