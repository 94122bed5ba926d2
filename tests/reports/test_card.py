"""The card as it is written: what its policy allows, what the importer lends it, what it weighs."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from sgputt.putts.columns import BY_KEY, LAST_HOLE, LONGEST_FT, MAX_PUTTS, STIMP_FT
from sgputt.safe_text import MAX_NAME
from sgputt.scorecard.holes import read_miss
from sgputt_reports.card import EXAMPLES, card_page, card_rules, paper_card
from sgputt_reports.page import TEMPLATES
from tests.cli.conftest import Command, home, sgputt  # noqa: F401
from tests.reports.cases import HOSTILE
from tests.reports.test_pages import Reader as PageReader
from tests.reports.test_pages import sha256

MOST_BYTES = 100_000


class Reader(PageReader):
    """The same for a page with fields to type into."""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "input":
            self.handle_startendtag(tag, attrs)
        else:
            super().handle_starttag(tag, attrs)


@pytest.fixture(scope="module", params=["page", "hostile", "paper", "hostile paper"])
def html(request: pytest.FixtureRequest) -> str:
    make = paper_card if "paper" in request.param else card_page
    name = HOSTILE if "hostile" in request.param else "Mara Lindqvist"
    return make(name, name, date(2026, 5, 3))


def test_policy_names_exactly_the_blocks_of_the_card(html: str) -> None:
    reader = Reader(html)
    [policy] = [a["content"] for _, a in reader.tags if a.get("http-equiv")]
    assert policy is not None
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    scripts = [f"'{sha256(script)}'" for script in reader.blocks["script"]] or ["'none'"]
    assert [rules["script-src"]] == scripts
    assert rules["style-src"] == f"'{sha256(reader.blocks['style'][0])}'"
    assert rules["default-src"] == rules["base-uri"] == rules["form-action"] == "'none'"
    assert len(reader.blocks["style"]) == 1


def test_card_is_small_fetches_nothing_and_runs_nothing_inline(html: str) -> None:
    assert len(html.encode()) < MOST_BYTES
    assert "http://" not in html
    assert "https://" not in html
    for tag, attributes in Reader(html).tags:
        assert not {name for name in attributes if name.startswith("on")}, tag
        assert "style" not in attributes
        assert not {"src", "action"} & attributes.keys()
        assert (attributes.get("href") or "data:").startswith("data:")


def test_hostile_names_stay_out_of_the_script() -> None:
    reader = Reader(card_page(HOSTILE, HOSTILE))
    assert "alert(1)" not in "".join(reader.blocks["script"])
    assert "alert(1)" in "".join(reader.blocks["data"])
    assert not any(mark in "".join(reader.blocks["data"]) for mark in "<>&\u2028")
    assert HOSTILE.replace("\u202e", "").replace("\x07", "") in Reader(paper_card(HOSTILE)).text


def test_limits_are_those_of_the_importer() -> None:
    rules = card_rules()
    assert rules["lengths"]["longest_ft"] == LONGEST_FT
    assert rules["most_putts"] == MAX_PUTTS
    assert rules["last_hole"] == LAST_HOLE
    assert rules["longest_name"] == MAX_NAME
    assert rules["stimp_ft"] == STIMP_FT
    assert rules["rounds"] == [1, 99]
    assert rules["words"]["par"] == ["3", "4", "5", "6"]
    assert rules["longest_pace_ft"] == 10


def test_words_of_the_card_are_words_of_the_importer() -> None:
    spoken = card_rules()["words"]
    for word in spoken["slope"]:
        assert BY_KEY["slope"].read(word) == word
    for word in spoken["turn"]:
        assert BY_KEY["break"].read(word) == word
    for pace in spoken["pace"]:
        for side in spoken["side"]:
            written = f"{pace} {'on line' if side == 'none' else side}"
            assert read_miss(written, "unknown") == (pace, side)
    for word in spoken["cause"]:
        assert BY_KEY["cause"].read(word) == word


@pytest.mark.parametrize("key", EXAMPLES)
def test_every_message_says_what_and_what_may_stand_there(key: str) -> None:
    said = card_rules()["says"][key]
    assert said["what"]
    assert said["hint"].endswith((".", ")"))
    assert "--" not in said["hint"]
    assert "@" not in said["what"] + said["hint"]


def test_every_message_of_the_card_is_used_by_it() -> None:
    checks = (TEMPLATES / "card_checks.js").read_text(encoding="utf-8")
    assert [key for key in EXAMPLES if f"'{key}'" not in checks] == []


def test_scripts_are_small() -> None:
    for path in TEMPLATES.glob("card*"):
        assert len(path.read_text(encoding="utf-8").splitlines()) < 400, path.name


def test_the_suffix_chooses_the_page(sgputt: Command, home: Path) -> None:  # noqa: F811
    names = ["--player", "Ada Brook", "--course", "Heron Mere"]
    for name in ("card.html", "card.HTM"):
        assert sgputt("card", *names, "--out", name).out == f"Wrote {name}\n"
        assert 'id="given"' in (home / name).read_text(encoding="utf-8")
    sgputt("card", *names, "--out", "card.csv")
    assert (home / "card.csv").read_text(encoding="utf-8").startswith("date,player")


def test_paper_is_a_page_of_its_own(sgputt: Command, home: Path) -> None:  # noqa: F811
    ran = sgputt("card", "--paper", "--player", "Ada Brook", "--holes", "9", "--out", "p.html")
    assert ran.status == 0
    text = (home / "p.html").read_text(encoding="utf-8")
    assert text.count("<tbody") == 9
    assert "Ada Brook" in text
    assert "<script" not in text
    assert sgputt("card", "--paper").out.startswith("<!doctype html>")
    refused = sgputt("card", "--paper", "--out", "p.csv")
    assert refused.status == 2
    assert ".html" in refused.err
    assert not (home / "p.csv").exists()
