"""The card: a page to type a round into on a phone, and a card on paper.

The page works nothing out. Its limits, words and messages are the importer's own: they are asked
of the importer here and stand in the page as data, so that the two cannot come apart.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from dataclasses import dataclass, field
from typing import Any

from markupsafe import Markup

from sgputt.putts import columns, table, units
from sgputt.putts.columns import BY_KEY, LAST_REGULAR
from sgputt.putts.rules import EARLIEST_YEAR
from sgputt.putts.values import DASHES, read_aim
from sgputt.safe_text import MAX_NAME
from sgputt.scorecard import CardOptions, questions, read_scorecard
from sgputt.scorecard.blank import PUTTS_HEADER
from sgputt_reports.page import TEMPLATES, policy, render, script_json, script_of

SCRIPTS = (
    "shared",
    *("card_lengths", "card_round", "card_checks", "card_file"),
    *("card_keep", "card_show", "card_paper", "card_page"),
)
HALF_ROUND = 9
# How far outside the hole the player aimed, as it is tapped and as the importer reads it.
AIMS = ("edge", "1 cup", "2 cups", "3 cups", "4 cups", "6 cups", "8 cups")
_VERSION = 1
_DAY = dt.date(2026, 5, 3)
_DATED = CardOptions(date=_DAY, today=_DAY)
_UNDATED = CardOptions(today=_DAY)
# Typed instead of what a message will name.
_TYPED = "@"


def _with(column: str, value: str) -> str:
    return f"{column},hole,putt,distance_ft\n{value},1,1,8"


@dataclass(frozen=True)
class Example:
    """A small card with one fault, to learn the importer's words for it.

    ``named`` says what stands in the words for what: a part of the example, and the name that the
    page fills in there. ``hint`` takes the place of a hint that would lead to a file or an option.
    """

    text: str
    named: dict[str, str] = field(default_factory=lambda: {_TYPED: "{value}"})
    hint: str | None = None
    options: CardOptions = _DATED


_ONE = "hole,putt,distance_ft,result\n1,1,"
_IS_IT = "Correct it, or say below that it is so."
_YEARS = f"Choose a day from {EARLIEST_YEAR} to today."
EXAMPLES = {
    "length": Example(_ONE + "@,"),
    "length_zero": Example(_ONE + "0 ft,", {"0 ft": "{value}"}),
    "length_long": Example(_ONE + "999 ft,", {"999 ft": "{value}"}),
    "first_length": Example(
        _ONE + ",holed",
        hint="Write it (12, 3.7 m, 8 paces); for a hole without a putt choose chipped in.",
    ),
    "count": Example(
        "hole,putts,putt1,result\n1,,,holed",
        hint="Choose how many putts the hole took, chipped in, or picked up.",
    ),
    "gap": Example(
        "hole,putt,distance_ft\n4,1,8\n6,1,8",
        {"hole 5": "hole {hole}", "hole 6": "hole {next}"},
        "Write it, or mark it as not played.",
    ),
    "gaps": Example(
        "hole,putt,distance_ft\n4,1,8\n7,1,8",
        {"holes 5-6": "{holes}"},
        "Write them, or mark them as not played.",
    ),
    "play_off": Example(
        "hole,putt,distance_ft\n1,1,8\n20,1,8", {"19": "{hole}", "20": "{next}"}, "Write it."
    ),
    "nothing": Example("hole,putt,distance_ft\n1,1,"),
    "later": Example(
        "hole,putt,distance_ft\n4,1,18\n4,2,45",
        {"hole 4": "hole {hole}", "45": "{after}", "18": "{before}"},
        _IS_IT,
    ),
    "given": Example(_ONE + "77,conceded", {"hole 1": "hole {hole}", "77": "{after}"}, _IS_IT),
    "many": Example("hole,putts,putt1\n4,9,18", {"hole 4": "hole {hole}", "9": "{count}"}, _IS_IT),
    "aim": Example(
        "hole,putt,distance_ft,break,aim\n4,1,18,L-R,1 cup right",
        {
            "hole 4": "hole {hole}",
            "aimed right": "aimed {side}",
            "left to right": "{break}",
        },
        _IS_IT,
    ),
    "no_date": Example(_ONE + "8,", hint="Choose the day of the round.", options=_UNDATED),
    "future": Example(_with("date", "2999-01-01"), {"2999-01-01": "{value}"}, _YEARS),
    "early": Example(_with("date", "1900-01-01"), {"1900-01-01": "{value}"}, _YEARS),
    "round": Example(_with("round", _TYPED)),
    "stimp": Example(_with("stimp", "99 ft"), {"99 ft": "{value}"}),
    "name": Example(
        _with("player", "W" * 999),
        {"W" * 30: "{start}", "999": "{count}"},
        "Write {allowed}.",
    ),
    "pace": Example(
        _ONE + "8,",
        {"99.0": "{value}"},
        "Step it out beside a tape once; 3 ft is usual.",
        CardOptions(date=_DAY, today=_DAY, pace_ft=99.0),
    ),
}


def card_page(
    player: str | None = None,
    course: str | None = None,
    date: dt.date | None = None,
    holes: int = LAST_REGULAR,
) -> str:
    """Write the page to type a round into, as one HTML document.

    Parameters
    ----------
    player, course : str, optional
        Filled in to begin with.
    date : datetime.date, optional
        Filled in to begin with; otherwise the day on which the page is opened.
    holes : int
        Nine or fewer begins as a card of nine holes, otherwise as one of eighteen.
    """
    begun = {
        "player": player or "",
        "course": course or "",
        "date": date.isoformat() if date else "",
        "length": str(HALF_ROUND if holes <= HALF_ROUND else LAST_REGULAR),
    }
    rules = card_rules()
    script = script_of(*SCRIPTS)
    return _document(
        "card",
        script,
        data=script_json({"rules": rules, "begun": begun, "id": _identity(begun)}),
        script=Markup(script),
        rules=rules,
        same={key: [(word, word) for word in words] for key, words in rules["words"].items()},
        aims=[(word, word) for word in AIMS],
        title="Putting card",
        rows=range(1, LAST_REGULAR + 1),
        written={"player": "", "course": "", "date": ""},
    )


def paper_card(
    player: str | None = None,
    course: str | None = None,
    date: dt.date | None = None,
    holes: int = LAST_REGULAR,
) -> str:
    """Write a card to print and fill in by hand, as one HTML document; parameters as above."""
    written = {"player": player or "", "course": course or "", "date": str(date or "")}
    return _document(
        "card_paper", "", title="Putting card", rows=range(1, holes + 1), written=written
    )


def card_rules() -> dict[str, Any]:
    """Limits, words and messages of the importer, for the page."""
    return {
        "version": _VERSION,
        "columns": (*PUTTS_HEADER, "as_written"),
        "lengths": _length_rules(),
        "words": {
            "slope": _known(table.SLOPES),
            "turn": _known(table.BREAKS),
            "pace": _known(table.PACES),
            "side": _known(table.SIDES),
            "cause": table.CAUSES,
            "par": [str(par) for par in _range("par")],
        },
        "aims": {word: read_aim(f"{word} left", "", "") for word in AIMS},
        "doubts": questions.LIMITS,
        "dashes": DASHES,
        "most_putts": max(_range("putts")),
        "rounds": [min(_range("round")), max(_range("round"))],
        "last_regular": LAST_REGULAR,
        "last_hole": max(_range("hole")),
        "longest_name": MAX_NAME,
        "stimp_ft": columns.STIMP_FT,
        "longest_pace_ft": _longest_pace(),
        "earliest": f"{EARLIEST_YEAR}-01-01",
        "says": {key: words_of(example) for key, example in EXAMPLES.items()},
    }


def words_of(example: Example) -> dict[str, str]:
    """What the importer says of the one fault of an example."""
    [problem] = read_scorecard(example.text.encode(), options=example.options).problems
    hint = problem.hint if example.hint is None else example.hint
    what = problem.what or f"'{problem.value}' is not {problem.allowed}"
    said = {"what": what, "hint": hint.replace("{allowed}", problem.allowed)}
    for part, name in example.named.items():
        said = {key: text.replace(part, name) for key, text in said.items()}
    return said


def _length_rules() -> dict[str, Any]:
    return {
        "one": units._ONE_UNIT.pattern,
        "both": units._FEET_AND_INCHES.pattern,
        "signs": {chr(sign): plain for sign, plain in units._PLAIN.items()},
        "words": units._UNIT_OF_WORD,
        "feet": {unit: units.parse_length(f"1 {unit}") for unit in units.UNITS},
        "longest_text": units._LONGEST_TEXT,
        "longest_ft": columns.LONGEST_FT,
        "pace_ft": units.PACE_FT,
    }


def _known(words: tuple[str, ...]) -> list[str]:
    return [word for word in words if word != "unknown"]


def _range(key: str) -> range:
    """Whole numbers that the importer takes in a column."""
    column = BY_KEY[key]
    return range(int(column.least or 0), int(column.most or 0) + 1)


def _longest_pace() -> float:
    """Longest pace that the importer takes, as it says it."""
    found = re.search(r"up to ([0-9.]+) ft", words_of(EXAMPLES["pace"])["what"])
    assert found is not None
    return float(found[1])


def _identity(begun: dict[str, str]) -> str:
    """Name under which a browser keeps this card, apart from the cards of other players."""
    return hashlib.sha256(repr(sorted(begun.items())).encode()).hexdigest()[:12]


def _document(template: str, code: str, **context: Any) -> str:
    style = (TEMPLATES / "card.css").read_text(encoding="utf-8")
    style += (TEMPLATES / "card_paper.css").read_text(encoding="utf-8")
    return str(render(template, style=Markup(style), policy=policy(style, code), **context))
