"""The shell of every page: one file, no network, and nothing runs but what its policy names."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape

from sgputt import wording
from sgputt.inference.intervals import LEVEL
from sgputt.putts import units
from sgputt.putts.units import said_in_metres
from sgputt.safe_text import on_a_page

METRES = "metres"
_TAGS = re.compile(r"(<[^>]*>)")
_READ_ALOUD = re.compile(r'(?<=aria-label=")[^"]*')
TEMPLATES = Path(__file__).parent / "templates"
# Quotes of foreign text are escaped, so that this stands in drawings only.
_CLIP = re.compile(r'( id="|="url\(#)(clip\d+)')
_IN_SCRIPT = {
    "<": "\\u003c",
    ">": "\\u003e",
    "&": "\\u0026",
    "\u2028": "\\u2028",
    "\u2029": "\\u2029",
}


@dataclass(frozen=True)
class Page:
    """A page: its title, what stands in it, and the style and script that only it has, if any."""

    title: str
    body: Markup
    style: str = ""
    script: str = ""
    shown_in: str = "feet"

    def html(self) -> str:
        """Write the page as one HTML document."""
        style = (TEMPLATES / "style.css").read_text(encoding="utf-8") + self.style
        title, body = on_a_page(self.title), self.body
        if self.shown_in == METRES:
            title, body = said_in_metres(title), in_metres(body)
        html = str(
            render(
                "page",
                title=title,
                body=body,
                style=Markup(style),
                script=Markup(self.script),
                policy=policy(style, self.script),
            )
        )
        return _numbered(html)


def in_metres(html: Markup) -> Markup:
    """Markup with the lengths in its texts, and in what is read aloud of it, said in metres."""
    parts = _TAGS.split(html)
    said = [
        _READ_ALOUD.sub(lambda words: said_in_metres(words[0]), part)
        if part.startswith("<")
        else said_in_metres(part)
        for part in parts
    ]
    return Markup("".join(said))


def _numbered(html: str) -> str:
    """The same with clips of drawings numbered as they come.

    The drawing engine counts on from page to page; the same data are to give the same page.
    """
    met: dict[str, str] = {}
    return _CLIP.sub(lambda clip: clip[1] + met.setdefault(clip[2], f"clip{len(met)}"), html)


@dataclass(frozen=True)
class Link:
    """A way to another page; ``here`` when it is the page itself."""

    words: str
    target: str
    here: bool = False


def with_links(html: str, links: Sequence[Link]) -> str:
    """A page with ways to others at its head."""
    return html.replace("<body>\n", f"<body>\n{render('links', links=links)}\n", 1)


def policy(style: str, script: str = "") -> str:
    """Content-Security-Policy that allows this style, this script if any, and nothing else."""
    allowed = f"'{digest(script)}'" if script else "'none'"
    return (
        f"default-src 'none'; script-src {allowed}; style-src '{digest(style)}'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )


@cache
def digest(block: str) -> str:
    """Hash of an inline block, as a policy writes it."""
    return "sha256-" + base64.b64encode(hashlib.sha256(block.encode()).digest()).decode()


def script_of(*names: str) -> str:
    """One script of some files beside the templates, in a scope of its own."""
    parts = [(TEMPLATES / f"{name}.js").read_text(encoding="utf-8") for name in names]
    script = "(() => {\n'use strict';\n" + "\n".join(parts) + "})();\n"
    if any(mark in script.lower() for mark in ("</script", "<!--", "\r", "\0")):
        raise ValueError(f"The script of {names} cannot stand inside a page.")
    return script


def script_json(value: Any) -> Markup:
    """JSON for a data block in a page; no text in it can close the block."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for char, written in _IN_SCRIPT.items():
        text = text.replace(char, written)
    return Markup(text)


def render(template: str, **context: Any) -> Markup:
    """Fill a template of this package; every text is cleaned and escaped."""
    return Markup(_environment().get_template(f"{template}.html.j2").render(**context))


def template_module(template: str) -> Any:
    """Macros of a template of this package, as attributes."""
    return _environment().get_template(f"{template}.html.j2").module


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_finished,
    )
    environment.filters.update(
        name=name,
        number=wording.number,
        signed=wording.signed,
        estimate=wording.estimate,
        percent=wording.percent,
        chances=wording.chances,
        length=units.length_shown,
        lengths=units.lengths_shown,
        tidy=wording.tidy,
        first_up=wording.first_up,
        day=wording.day,
        count=wording.plural,
    )
    environment.globals.update(
        interval=wording.reached,
        digits_for=wording.digits_for,
        few_rounds=wording.few_rounds,
        interval_level=LEVEL,
    )
    return environment


def name(text: str | None) -> Markup:
    """Name somebody typed, kept from turning the text around it."""
    return Markup("<bdi>{}</bdi>").format(escape(on_a_page(text or "")))


def _finished(value: Any) -> Any:
    return on_a_page(value) if isinstance(value, str) and not isinstance(value, Markup) else value
