"""Writing results to disk so that a reader never sees half a file and nothing is lost by accident."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from pathlib import Path
from typing import Literal

from pipeline.errors import OutputError

Outcome = Literal["written", "unchanged"]


def make_folder(path: Path) -> None:
    """Create the folder `path` with its parents where missing; raise OutputError where that cannot be done."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise OutputError(f"the folder cannot be made: {_reason(fault)}", file=str(path)) from fault


def compare(path: Path, text: str) -> Literal["missing", "same", "different"]:
    """How `path` stands to `text` as UTF-8; raise OutputError where it is there and cannot be read."""
    try:
        return "same" if path.read_bytes() == text.encode() else "different"
    except FileNotFoundError:
        return "missing"
    except OSError as fault:
        raise OutputError(f"cannot be compared with the new content: {_reason(fault)}", file=str(path)) from fault


def write_text(path: Path, text: str, *, force: bool) -> Outcome:
    """Write `text` as UTF-8 to `path` in one step, keeping the mode of a file that is already there.

    The new content goes to a temporary file in the same folder, which then takes the name of the old one. A file
    that has this content already is left untouched ("unchanged"). One with other content is replaced only with
    `force`; a link is followed. Raises OutputError where the file would be lost, or cannot be written.
    """
    standing = compare(path, text)
    if standing == "same":
        return "unchanged"
    if standing == "different" and not force:
        raise OutputError("exists with other content and was left as it is; use --force to replace it", file=str(path))
    try:
        _replace(path.resolve(), text.encode())
    except OSError as fault:
        raise OutputError(f"cannot be written: {_reason(fault)}", file=str(path)) from fault
    return "written"


def _replace(target: Path, content: bytes) -> None:
    mode = target.stat().st_mode & 0o7777 if target.exists() else None
    temporary = target.with_name(f".{target.name[:200]}.{secrets.token_hex(4)}.part")
    try:
        with temporary.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if mode is not None:
            temporary.chmod(mode)
        temporary.replace(target)
    except BaseException:
        with suppress(OSError):
            temporary.unlink()
        raise


def _reason(fault: OSError) -> str:
    if isinstance(fault, FileNotFoundError):
        return "the folder does not exist"
    return (fault.strerror or type(fault).__name__).lower()
