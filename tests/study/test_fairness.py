"""The study of the fair figures, in small."""

from __future__ import annotations

from sgputt.study.fairness import GREENS, PLAYERS, equally_good


def test_a_few_rounds_of_the_study() -> None:
    found = equally_good(PLAYERS["amateur"], GREENS["as believed"], 80)
    assert set(found) == {"slope", "break"}
    for apart in found.values():
        assert min(apart.distance, apart.same_level, apart.fair) >= 0
        assert apart.error > 0
    assert found["break"].fair < found["break"].distance
