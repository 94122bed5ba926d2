from __future__ import annotations

import base64
import hashlib
import json
import os
import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest

from sgputt.practice.drills import load_caution, load_drills
from sgputt_reports import page
from tests.reports.cases import HOSTILE, Case

SNAPSHOTS = Path(__file__).parent / "snapshots"
MOST_BYTES = 400_000
VOID = {"meta", "link", "img", "br", "input"}


class Reader(HTMLParser):
    """What a browser would take from a page: tags, attributes, text outside scripts."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.blocks: dict[str, list[str]] = {"script": [], "style": [], "data": []}
        self.text = ""
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append("data" if tag == "script" and attrs else tag)
        if self.open[-1] in self.blocks and tag in ("script", "style"):
            self.blocks[self.open[-1]].append("")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert {"data": "script"}.get(self.open[-1], self.open[-1]) == tag
        self.open.pop()

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] in self.blocks:
            self.blocks[self.open[-1]][-1] += data
        else:
            self.text += data


def sha256(block: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(block.encode()).digest()).decode()


PAGES = {
    "forty": ("forty", Case.season_page),
    "one": ("one", Case.season_page),
    "hostile": ("hostile", Case.season_page),
    "round": ("one", Case.round_page),
    "squad": ("forty", Case.squad_page),
    "hostile squad": ("hostile", Case.squad_page),
    "course": ("forty", Case.course_page),
    "practice": ("forty", Case.practice_page),
}


# Only the plan has a script: it counts balls on the practice green.
SCRIPTED = "practice"


@pytest.fixture(scope="module", params=PAGES)
def html(request: pytest.FixtureRequest) -> str:
    fixture, write = PAGES[request.param]
    case: Case = request.getfixturevalue(fixture)
    return write(case)


def test_policy_allows_exactly_the_style_of_the_page_and_of_scripts_that_of_the_plan(
    html: str, request: pytest.FixtureRequest
) -> None:
    reader = Reader(html)
    scripts = reader.blocks["script"]
    assert len(scripts) == len(reader.blocks["data"])
    assert len(scripts) == (request.node.callspec.params["html"] == SCRIPTED)
    [policy] = [a["content"] for _, a in reader.tags if a.get("http-equiv")]
    assert policy is not None
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules == {
        "default-src": "'none'",
        "script-src": f"'{sha256(scripts[0])}'" if scripts else "'none'",
        "style-src": f"'{sha256(reader.blocks['style'][0])}'",
        "img-src": "data:",
        "base-uri": "'none'",
        "form-action": "'none'",
    }
    assert len(reader.blocks["style"]) == 1


def test_nothing_is_fetched_and_nothing_is_styled_or_run_inline(html: str) -> None:
    reader = Reader(html)
    for tag, attributes in reader.tags:
        assert not {name for name in attributes if name.startswith("on")}, tag
        assert "style" not in attributes
        for name in ("src", "href"):
            assert (attributes.get(name) or "#").startswith(("#", "data:"))
    assert "http://" not in html
    assert "https://" not in html


def test_page_is_small_enough(html: str) -> None:
    assert len(html.encode()) < MOST_BYTES


def test_headings_are_in_order_and_tables_can_be_heard(html: str) -> None:
    reader = Reader(html)
    names = [tag for tag, _ in reader.tags]
    levels = [int(name[1]) for name in names if re.fullmatch("h[1-6]", name)]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))
    assert names.count("table") == names.count("caption")
    assert all(a.get("scope") for tag, a in reader.tags if tag == "th")
    assert ("html", {"lang": "en"}) in reader.tags
    ids = [a["id"] for _, a in reader.tags if "id" in a]
    assert len(ids) == len(set(ids))
    named = [a["aria-labelledby"] for _, a in reader.tags if "aria-labelledby" in a]
    assert set(named) <= set(ids)


def test_hostile_text_is_text(hostile: Case) -> None:
    for html in (hostile.season_page(), hostile.round_page()):
        reader = Reader(html)
        shown = HOSTILE.replace("\u202e", "").replace("\x07", "")
        assert shown in reader.text
        assert "\u202e" not in html
        assert "alert(1)" not in "".join(reader.blocks["script"] + reader.blocks["data"])


def test_script_json_cannot_leave_its_element() -> None:
    written = page.script_json({"a": "</script><!--&\u2028"})
    assert not re.search("[<>&\u2028]", written)
    assert json.loads(written) == {"a": "</script><!--&\u2028"}


def test_season_starts_with_the_decision(forty: Case) -> None:
    first = forty.priorities[0]
    text = " ".join(Reader(forty.season_page()).text.replace("\u00a0", " ").split())
    order = [first.drill.name, "Pass mark", first.drill.setup, "Strokes gained a round"]
    places = [text.index(part) for part in order]
    assert places == sorted(places)
    assert "For use after the round (Rule 4.3a and local rules)." in text
    assert text.count(load_caution()) == 1


def test_a_default_is_called_one_and_what_stands_out_is_not(forty: Case) -> None:
    first = forty.priorities[0]
    for default, words in ((True, "A default for your level"), (False, "Next drill")):
        decided = replace(
            forty.analysis.decision,
            stands_out=not default,
            note="Nothing can be told yet." if default else "",
            priorities=[replace(first, default=default)],
        )
        text = " ".join(Reader(forty.with_parts(decision=decided).season_page()).text.split())
        assert words in text
        assert ("Nothing can be told yet." in text) == default


def test_one_round_claims_no_interval(one: Case) -> None:
    text = " ".join(Reader(one.season_page()).text.split())
    assert "One round has no interval" in text
    assert "None" not in text
    assert "nan" not in text


def test_set_up_of_a_drill_is_written_once(forty: Case) -> None:
    twice = [forty.priorities[0], replace(forty.priorities[0], rank=2)]
    text = Reader(forty.with_priorities(twice).season_page()).text.replace("\u00a0", " ")
    assert text.count(forty.priorities[0].drill.setup) == 1


def test_round_says_what_is_kept_apart_only_when_there_is_any(patchy: Case, one: Case) -> None:
    text = " ".join(Reader(patchy.round_page()).text.split())
    assert "from off the green" in text
    assert "left out of strokes gained" in text
    assert "Not split" in text
    assert "conceded" in text
    plain = " ".join(Reader(one.round_page()).text.split())
    for word in ("off green", "left out", "Not split", "concessions"):
        assert word not in plain


def test_decision_snapshot(forty: Case) -> None:
    """Rewrite with SGPUTT_SNAPSHOTS=write after a change that is meant."""
    first = forty.priorities[0]
    count = next(each for each in load_drills() if each.id == "circle-of-eight-7ft")
    drill = replace(
        count,
        name="Circle at 7 ft",
        setup="Push in tees.",
        do="Putt.",
        success="The ball drops.",
        dose="Daily.",
        safety="",
        minutes=12,
        balls=32,
    )
    priority = replace(
        first,
        why="You play about 40 % of the break too little",
        mark=replace(first.mark, text="18 of 32: The ball drops.", set_up="", drill=drill),
        drill=drill,
        need=replace(first.need, told=True),
        worth_per_round=0.14,
        low=0.1,
        high=0.2,
        worth_per_set=0.02,
        chance_best=0.92,
        default=False,
    )
    parts = page.template_module("parts")
    decided = replace(
        forty.analysis.decision,
        stands_out=True,
        note="",
        priorities=[priority],
        since=["The mark moved on."],
    )
    same_as_kept("decision", str(parts.decision(decided, "Mind your back.")))


def same_as_kept(name: str, html: str) -> None:
    kept = SNAPSHOTS / f"{name}.html"
    if os.environ.get("SGPUTT_SNAPSHOTS") == "write":
        kept.write_text(html, encoding="utf-8")
    assert html == kept.read_text(encoding="utf-8")
