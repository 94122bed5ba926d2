"""Writing files: whole or not at all, never over what is not a file, and nothing left behind."""

from __future__ import annotations

import errno
import os
import re
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sgputt.errors import SgputtError

try:
    import fcntl
except ImportError:  # Windows, where files left by a killed run stay
    fcntl = None  # type: ignore[assignment]

_LONGEST_NAME = 200
_BINARY = getattr(os, "O_BINARY", 0)
_HALF = ".sgputt-half-"
# What tempfile makes of that, and the logs that SQLite lays beside a file.
_OUR_HALF = re.compile(rf"({re.escape(_HALF)}[a-z0-9_]{{8}})(-wal|-shm|-journal)?")
OWNER_ONLY = 0o600
_TRIES = 20


def settled(path: Path) -> Path:
    """The ordinary file that a name stands for, behind any links; it need not exist yet.

    Raises
    ------
    SgputtError
        A folder, device, pipe or circle of links is there, or there is no folder to write it in.
    """
    try:
        there: os.stat_result | None = path.stat()
    except (FileNotFoundError, NotADirectoryError):
        there = None
    except OSError as exc:
        what = (
            "is a link that leads back to itself"
            if exc.errno == errno.ELOOP
            else f"cannot be looked at ({exc.strerror})"
        )
        raise SgputtError(f"{path} {what}.", "Name an ordinary file.") from exc
    if there is not None and stat.S_ISDIR(there.st_mode):
        raise SgputtError(f"{path} is a folder.", "Name a file in it.")
    if there is not None and not stat.S_ISREG(there.st_mode):
        raise SgputtError(
            f"{path} is a device or a pipe, which a file may not replace.",
            "Name an ordinary file.",
        )
    target = Path(os.path.realpath(path))
    if not target.parent.is_dir():
        raise SgputtError(
            f"There is no folder {path.parent} to write {path.name} in.",
            "Make the folder, or name another place.",
        )
    return target


@contextmanager
def half_written(path: Path, private: bool = False) -> Iterator[Path]:
    """A file in the same folder, to be filled; becomes the target if nothing goes wrong.

    Parameters
    ----------
    path : Path
        What stands there keeps its permissions; through a link its target is replaced.
    private : bool
        A file that was not there before may be read by its owner only.

    Raises
    ------
    SgputtError
        As :func:`settled`, or what stands there may not be written to.
    """
    target = settled(path)
    before = target.stat() if target.exists() else None
    if before is not None and not os.access(target, os.W_OK):
        raise SgputtError(f"{path} may not be written to.", "Change its permissions.")
    with scratch_file(target.parent) as half:
        yield half
        with half.open("rb+") as file:
            os.fsync(file.fileno())
        if before is not None:
            made = half.stat()
            if (made.st_uid, made.st_gid) != (before.st_uid, before.st_gid):
                with suppress(OSError):
                    os.chown(half, before.st_uid, before.st_gid)
            half.chmod(stat.S_IMODE(before.st_mode))
        else:
            half.chmod(OWNER_ONLY if private else 0o666 & ~_umask())
        half.replace(target)


@contextmanager
def scratch_file(folder: Path) -> Iterator[Path]:
    """An empty file for a while, which the next run removes should this one be killed."""
    clear_orphans(folder)
    half, handle = _held(folder)
    try:
        yield half
    finally:
        for end in ("", "-wal", "-shm", "-journal"):
            Path(f"{half}{end}").unlink(missing_ok=True)
        os.close(handle)


def clear_orphans(folder: Path) -> None:
    """Remove scratch files in a folder whose run was killed: nobody holds them any more."""
    try:
        names = [each.name for each in folder.iterdir()]
    except OSError:
        return
    found = {match[1] for name in names if (match := _OUR_HALF.fullmatch(name))}
    for name in sorted(found):
        half = folder / name
        with suppress(OSError):
            if half.is_symlink() or (half.exists() and not half.is_file()) or not _let_go(half):
                continue
            for end in ("-wal", "-shm", "-journal"):
                Path(f"{half}{end}").unlink(missing_ok=True)


def _let_go(half: Path) -> bool:
    """Remove a scratch file that no process holds; whether it is gone."""
    try:
        handle = os.open(half, os.O_RDWR)
    except FileNotFoundError:
        return True
    try:
        if not _lock(handle):
            return False
        half.unlink(missing_ok=True)
        return True
    finally:
        os.close(handle)


def _held(folder: Path) -> tuple[Path, int]:
    """A new scratch file, held by this process until the handle is closed or the process ends."""
    for _ in range(_TRIES):
        handle, name = tempfile.mkstemp(dir=folder, prefix=_HALF)
        # Between the making and the holding another run may have taken it for an orphan.
        if _lock(handle) and os.fstat(handle).st_nlink:
            return Path(name), handle
        if fcntl is None:
            return Path(name), handle
        os.close(handle)
        Path(name).unlink(missing_ok=True)
    raise OSError(errno.EAGAIN, "no file could be made", str(folder))


def _lock(handle: int) -> bool:
    if fcntl is None:
        return False
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _umask() -> int:
    umask = os.umask(0)
    os.umask(umask)
    return umask


def read_small(path: Path, most: int) -> bytes:
    """Contents of an ordinary file that is no larger than so many bytes.

    Raises
    ------
    SgputtError
        There is none, it is a folder, device or pipe, it is too large, or it may not be read.
    """
    try:
        # Not waiting, for a pipe may never be written to; looked at when open, for it may change.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | _BINARY)
        with os.fdopen(handle, "rb") as file:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise SgputtError(f"{path} is not an ordinary file.", "Name a file.")
            content = file.read(most + 1)
    except (OSError, ValueError) as exc:
        said = getattr(exc, "strerror", None) or str(exc)
        raise SgputtError(f"{path} cannot be read ({said}).", "Check its name.") from exc
    if len(content) > most:
        raise SgputtError(f"{path} is larger than {most // 1024} KiB.", "Write a smaller file.")
    return content


def write_whole(path: Path, content: bytes) -> None:
    """Put the content under that name in one step, so that a reader never sees half of it.

    Raises
    ------
    SgputtError
        As :func:`half_written`.
    """
    with half_written(path) as half:
        half.write_bytes(content)


def write_beside(path: Path, ending: str, content: bytes, private: bool = False) -> Path:
    """Write ``NAME.ending`` beside a file; a file of other content there is left alone.

    Parameters
    ----------
    path : Path
        The file to write beside, whose name without its suffix begins the new one.
    ending : str
        Rest of the name, with its suffix.
    content : bytes
        Written whole or not at all.
    private : bool
        It may be read by its owner only.

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
            with half_written(target, private) as half:
                half.write_bytes(content)
            return target
    raise FileExistsError(errno.EEXIST, "too many files of this name", str(path))
