"""Writing files beside others: whole or not at all, and never over something else."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_LONGEST_NAME = 200


def write_beside(path: Path, ending: str, content: bytes) -> Path:
    """Write ``NAME.ending`` beside a file; a file of other content there is left alone.

    Parameters
    ----------
    path : Path
        The file to write beside, whose name without its suffix begins the new one.
    ending : str
        Rest of the name, with its suffix.
    content : bytes
        Written whole or not at all.

    Returns
    -------
    Path
        The file written, or found with just this content; numbered if the plain name was taken.
    """
    stem = path.stem
    while len(os.fsencode(stem)) > _LONGEST_NAME:
        stem = stem[:-1]
    first, dot, suffix = ending.rpartition(".")
    for number in range(1, 10_000):
        counted = f"{first}-{number}" if number > 1 else first
        target = path.with_name(f"{stem}.{counted}{dot}{suffix}")
        if target.is_file() and target.read_bytes() == content:
            return target
        if not os.path.lexists(target):
            with half_written(target) as half:
                half.write_bytes(content)
            return target
    raise FileExistsError(17, "too many files of this name", str(path))


@contextmanager
def half_written(target: Path) -> Iterator[Path]:
    """A file in the same folder, to be filled; becomes the target if nothing goes wrong."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=".sgputt-")
    os.close(handle)
    half = Path(name)
    try:
        yield half
        with half.open("rb+") as file:
            os.fsync(file.fileno())
        umask = os.umask(0)
        os.umask(umask)
        half.chmod(0o666 & ~umask)
        half.replace(target)
    except BaseException:
        half.unlink(missing_ok=True)
        raise
