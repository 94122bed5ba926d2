"""A table of a drill file, read key by key, with every problem noted and none raised."""

from __future__ import annotations

import difflib
import reprlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class DrillProblem:
    """One thing wrong in a drill file: where, what stood there, what may stand there."""

    file: str
    drill: str
    key: str
    found: str
    allowed: str
    hint: str = ""

    def __str__(self) -> str:
        place = f"{self.file}, drill {self.drill!r}" if self.drill else self.file
        text = f"{place}, {self.key}: {self.found} stands there; allowed: {self.allowed}."
        return f"{text} {self.hint}".rstrip()


class DrillTable:
    """A table of a drill file. Each reader notes what is wrong, gives a blank and goes on."""

    def __init__(
        self,
        file: str,
        drill: str,
        data: dict[str, Any],
        problems: list[DrillProblem],
        at: str = "",
    ) -> None:
        self.file, self.drill, self.data, self.problems, self.at = file, drill, data, problems, at

    def wrong(self, key: str, allowed: str, hint: str = "", found: str = "") -> None:
        """Note a problem of a key; without ``found`` its value is quoted."""
        quoted = reprlib.repr(self.data[key]) if key in self.data else "nothing"
        self.problems.append(
            DrillProblem(self.file, self.drill, self.at + key, found or quoted, allowed, hint)
        )

    def get(self, key: str, fits: Callable[[Any], bool], allowed: str, blank: Any) -> Any:
        """Give the value of a key if it fits; else note what is allowed and give the blank."""
        value = self.data.get(key)
        if value is not None and fits(value):
            return value
        self.wrong(key, allowed)
        return blank

    def text(self, key: str) -> str:
        """Read words that are not empty."""
        return str(self.get(key, lambda v: isinstance(v, str) and bool(v.strip()), "words", ""))

    def one_of(self, key: str, words: tuple[str, ...]) -> str:
        """Read one of the words."""
        return str(self.get(key, lambda v: v in words, " or ".join(words), ""))

    def some_of(self, key: str, words: tuple[str, ...]) -> tuple[str, ...]:
        """Read a list of one or more of the words."""

        def fits(value: Any) -> bool:
            return isinstance(value, list) and bool(value) and all(v in words for v in value)

        return tuple(self.get(key, fits, f"a list of {', '.join(words)}", ()))

    def whole(self, key: str, most: int) -> int:
        """Read a whole number from 1 to ``most``."""

        def fits(value: Any) -> bool:
            return isinstance(value, int) and is_number(value, 1, most)

        return int(self.get(key, fits, f"a whole number from 1 to {most}", 0))

    def number(self, key: str, low: float, high: float) -> float:
        """Read a number within a range, in the unit of its key."""
        allowed = f"a number from {low:g} to {high:g}"
        return float(self.get(key, lambda v: is_number(v, low, high), allowed, 0))

    def numbers(self, key: str, low: float, high: float) -> tuple[float, ...]:
        """Read a list of one or more numbers within a range, in the unit of the key."""

        def fits(value: Any) -> bool:
            filled = isinstance(value, list) and bool(value)
            return filled and all(is_number(v, low, high) for v in value)

        allowed = f"a list of numbers from {low:g} to {high:g}"
        return tuple(map(float, self.get(key, fits, allowed, ())))

    def tables(self, key: str) -> list[DrillTable]:
        """Read an array of one or more tables."""

        def fits(value: Any) -> bool:
            return (
                isinstance(value, list) and bool(value) and all(isinstance(v, dict) for v in value)
            )

        found = self.get(key, fits, "one table or more", [])
        return [self.inner(table, f"{key}[{n}].") for n, table in enumerate(found, 1)]

    def table(self, key: str) -> DrillTable | None:
        """Read a table that is not empty; None where there is none."""
        found = self.get(key, lambda v: isinstance(v, dict) and bool(v), "a table", None)
        return None if found is None else self.inner(found, f"{key}.")

    def inner(self, data: dict[str, Any], at: str) -> DrillTable:
        """Give a table inside this one; the first level down is the drill itself."""
        name = self.drill or data.get("id") or at.rstrip(".")
        return DrillTable(self.file, str(name), data, self.problems, at if self.drill else "")

    def close(self, known: set[str]) -> None:
        """Note every key that is not known."""
        for key in sorted(self.data.keys() - known):
            near = difflib.get_close_matches(key, known, n=1)
            hint = f"Did you mean {near[0]!r}?" if near else ""
            self.wrong(key, f"only the keys {', '.join(sorted(known))}", hint)


def is_number(value: Any, low: float, high: float) -> bool:
    """Tell whether a value is a number within a range; true and false are none."""
    return isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high
