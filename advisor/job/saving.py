"""Saving: files get names that every system takes, and are written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import re
import stat
import tempfile
import unicodedata
from pathlib import Path

from rules.errors import BadInputError

__all__ = ["refuse_unwritable", "safe_name", "save_file"]

LONGEST_PREFIX = LONGEST_STEM = 40

# Letters that do not come apart into a plain one and a mark.
_SPELT = str.maketrans({"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "þ": "th"})

# Names that some systems keep for devices, whatever the ending.
_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)")


def safe_name(text: str, *, otherwise: str = "job") -> str:
    """A text as a file name, or part of one, of letters, digits and hyphens.

    Args:
        otherwise: the name where nothing of the text is left.

    >>> safe_name("Harbour Kites / 2026"), safe_name("Zoë Ø"), safe_name("../../etc")
    ('harbour-kites-2026', 'zoe-o', 'etc')
    >>> safe_name("漢"), safe_name("CON")
    ('job', 'con-')
    """
    spelt = text.lower().translate(_SPELT)
    plain = unicodedata.normalize("NFKD", spelt).encode("ascii", "ignore").decode()
    stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:LONGEST_STEM].strip("-")
    return f"{stem}-" if _RESERVED.fullmatch(stem) else stem or otherwise


def save_file(path: Path, content: str | bytes) -> None:
    """Write ``content`` (text as UTF-8) beside ``path``, then put it in its place.

    Whoever opens ``path`` meanwhile sees the old file or the new one, never half of it; when
    writing fails the old file stays. A link is followed; what is no plain file, such as a pipe,
    is written to as it is.

    Raises:
        BadInputError: the file cannot be written; the message names it and says why.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     save_file(Path(folder) / "plan.json", "{}")
    ...     (Path(folder) / "plan.json").read_text(), len(os.listdir(folder))
    ('{}', 1)
    >>> save_file(Path("no-such-folder/plan.json"), "{}")
    Traceback (most recent call last):
    rules.errors.BadInputError: no-such-folder/plan.json: cannot be written: there is no folder ...
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    try:
        target = _target(path)
        if target.exists():
            if target.is_file():
                _replace(target, data, stat.S_IMODE(target.stat().st_mode))
            else:
                target.write_bytes(data)
        else:
            _replace(target, data, 0o666 & ~_umask())
    except OSError as error:
        raise _unwritable(path, error.strerror or str(error)) from None


def refuse_unwritable(path: Path) -> None:
    """Say now that ``path`` cannot be written, before an answer is worked out for it.

    Raises:
        BadInputError: its folder is missing or closed to us, or it is itself a folder.
    """
    try:
        target = _target(path)
        folder_ok = os.access(target.parent, os.W_OK)
        file_ok = not target.exists() or os.access(target, os.W_OK)
    except OSError as error:
        raise _unwritable(path, error.strerror or str(error)) from None
    if not (folder_ok and file_ok):
        raise _unwritable(path, "you have no permission to write there")


def _target(path: Path) -> Path:
    target = Path(os.path.realpath(path))
    if target.is_dir():
        raise _unwritable(path, "it is a folder")
    if not target.parent.is_dir():
        raise _unwritable(path, f"there is no folder {str(path.parent)!r}")
    return target


def _replace(target: Path, data: bytes, mode: int) -> None:
    descriptor, name = tempfile.mkstemp(
        dir=target.parent, prefix=f".{target.name[:LONGEST_PREFIX]}.", suffix=".part"
    )
    beside = Path(name)
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.chmod(mode)
        beside.replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise


def _umask() -> int:
    # It can only be read by setting it; it is set back at once.
    current = os.umask(0o022)
    os.umask(current)
    return current


def _unwritable(path: Path, why: str) -> BadInputError:
    return BadInputError(f"cannot be written: {why[:1].lower()}{why[1:]}", source=str(path))
