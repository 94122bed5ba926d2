"""The script that draws the charts of a page: Vega, bundled once a version and kept."""

from __future__ import annotations

import contextlib
from functools import cache
from importlib.metadata import version
from pathlib import Path

import platformdirs
import vl_convert

from sgputt.files import half_written

_EXPORT = "window.vegaEmbed = vegaEmbed;"
_TEMPLATES = Path(__file__).parent / "templates"
_DRAW = _TEMPLATES / "draw.js"
_NOTICES = _TEMPLATES / "notices.txt"


@cache
def runtime() -> str:
    """Vega with the few lines that draw the charts of a page, as one inline script.

    The bundle comes without the notices that its licences want kept in every copy, and a page is a
    copy: they stand at the head.

    Raises
    ------
    ValueError
        The script holds characters that would end its element or change its hash.
    """
    notices = _NOTICES.read_text("utf-8")
    if "*/" in notices:
        raise ValueError("The notices would end their comment.")
    script = f"/*!\n{notices}*/\n{_vega()}\n{_DRAW.read_text('utf-8')}"
    if any(mark in script.lower() for mark in ("</script", "<!--", "\r", "\0")):
        raise ValueError("The chart script cannot stand inside a page.")
    return script


def _vega() -> str:
    """The bundle from the user's cache; making it takes a second, longer than all else a page does.

    Without a cache that can be read or written it is made anew.
    """
    kept = Path(platformdirs.user_cache_dir("sgputt", appauthor=False)) / _file_name()
    with contextlib.suppress(OSError, UnicodeDecodeError):
        text = kept.read_text(encoding="utf-8")
        if text.endswith(_end()):
            return text
    text = vl_convert.javascript_bundle(_EXPORT) + _end()
    with contextlib.suppress(OSError):
        _keep(kept, text)
    return text


def _file_name() -> str:
    versions = (version("vl-convert-python"), vl_convert.get_vega_version())
    return f"vega-{'-'.join(versions)}.js"


def _end() -> str:
    """Last line of a bundle that was kept whole."""
    return f"\n// end of {_file_name()}\n"


def _keep(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with half_written(path) as half:
        half.write_bytes(text.encode("utf-8"))
