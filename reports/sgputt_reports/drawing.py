"""Charts drawn: a Vega-Lite specification as SVG or PNG, and the SVG as a page wants it.

The drawing engine needs nothing else of the program, so that a process of its own can start it.
"""

from __future__ import annotations

import atexit
import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from functools import cache
from multiprocessing import get_context
from multiprocessing.pool import Pool
from typing import Any

import vl_convert

# Contrast of ink, soft, gain and loss on the sheet is at least 4.5 to 1, here and in the dark.
COLOURS = {
    "ink": "#1c2130",
    "soft": "#5d6474",
    "rule": "#c9cdd6",
    "sheet": "#ffffff",
    "gain": "#0b65a3",
    "loss": "#b54708",
}
_DROPPED = re.compile(
    r' (?:class|role|aria-[a-z]+|pointer-events|font-family|xmlns(?::xlink)?|version)="[^"]*"'
    r'|<path[^>]* d="(?:M0,0h0v0h0Z)?"[^>]*/>|<rect[^>]* fill="transparent"/>'
    r'| (?:stroke-miterlimit="10"|opacity="1"|transform="translate\(0,0\)")'
)
_CIRCLE = re.compile(r'<path([^>]*?) d="M([\d.]+),0A\2,\2,0,1,1,-\2,0A\2,\2,0,1,1,\2,0"')
_LONG_FRACTION = re.compile(r"(\d\.\d\d)\d+")
_TAG = re.compile(r"<[^>]*>")
_EMPTY = re.compile(r"<g[^>]*(?<!/)></g>|<g[^>]*/>")
_SIZE = re.compile(r'<svg([^>]*?) (width="[\d.]+") (height="[\d.]+")')
_PIXELS_A_PIXEL = 2.0
_processes: list[Pool] = []


def get_ready() -> None:
    """Start the drawing engine in a process of its own, beside other work.

    Its start takes as long as twenty charts. Only for a program whose main module may be imported
    again; without it charts are drawn by a thread of this process.
    """
    if not _processes:
        # Where a system has no room for shared locks the thread draws.
        with suppress(OSError):
            pool = get_context("spawn").Pool(1)
            atexit.register(pool.terminate)
            _processes.append(pool)
            start_drawing({"mark": "point", "data": {"values": []}})


def start_drawing(spec: dict[str, Any]) -> Callable[[], str]:
    """Draw a specification while the next is thought about; what it gives waits for the SVG."""
    if _processes:
        return _processes[0].apply_async(draw, (spec,)).get
    return _thread().submit(draw, spec).result


@cache
def _thread() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(1, thread_name_prefix="charts")


def draw(spec: dict[str, Any]) -> str:
    """SVG of a specification."""
    svg: str = vl_convert.vegalite_to_svg(spec)
    return svg


def in_page(svg: str, at_its_size: bool = False) -> str:
    """SVG with the page's colours, without what a page has no use for, as wide as its place."""
    svg = _DROPPED.sub("", svg)
    svg = _CIRCLE.sub(r'<circle\1 r="\2"', svg)
    svg = _TAG.sub(lambda tag: _LONG_FRACTION.sub(r"\1", tag[0]), svg)
    for name, colour in COLOURS.items():
        svg = svg.replace(f'"{colour}"', f'"var(--{name})"')
    before = ""
    while before != svg:
        before, svg = svg, _EMPTY.sub("", svg)
    sized = r" \2 \3" if at_its_size else ""
    return _SIZE.sub(rf'<svg\1{sized} aria-hidden="true" focusable="false"', svg, count=1)


def as_png(svg: str, pixels_a_pixel: float = _PIXELS_A_PIXEL) -> bytes:
    """SVG as PNG."""
    png: bytes = vl_convert.svg_to_png(svg, scale=pixels_a_pixel)
    return png
