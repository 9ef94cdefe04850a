"""
Write files whole or not at all, and never over an existing one unless told to.

Depends on: errors.
"""

import os
from pathlib import Path

from energysim.errors import FileError


def refuse_existing(path: Path | None, *, force: bool) -> None:
    """
    Refuse a file that exists: before long work, so that it is not for nothing.

    Parameters
    ----------
    path : Path or None
        Where something is to be written; None where nothing is.
    force : bool
        Existing files may be replaced.

    Raises
    ------
    FileError
        The file exists and may not be replaced.
    """
    if path is not None and path.exists() and not force:
        raise FileError(f"{path}: already exists (use --force to replace it)")


def write_whole(path: Path, content: str | bytes, *, force: bool = False) -> None:
    """
    Write a file so that a reader sees all of it or none of it.

    The content goes to a temporary file in the same folder first. Without `force` the last move
    is one that fails on an existing file, so two writers cannot both believe they made it.

    Parameters
    ----------
    path : Path
        Where to write.
    content : str or bytes
        What to write; text goes in UTF-8.
    force : bool
        Replace an existing file.

    Raises
    ------
    FileError
        The file exists (and `force` is off), or the folder cannot be written.
    """
    if path.is_dir():
        raise FileError(f"{path}: is a folder; name a file")
    refuse_existing(path, force=force)
    octets = content.encode() if isinstance(content, str) else content
    temporary = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with temporary.open("xb") as stream:
            stream.write(octets)
            stream.flush()
            os.fsync(stream.fileno())
        if force:
            temporary.replace(path)
        else:
            _link_new(temporary, path, octets)
    except OSError as error:
        raise FileError(f"{path}: cannot be written: {error.strerror}") from error
    finally:
        temporary.unlink(missing_ok=True)


def _link_new(temporary: Path, path: Path, octets: bytes) -> None:
    """Give the finished file its name, refusing one that exists by now."""
    try:
        path.hardlink_to(temporary)
    except FileExistsError as error:
        raise FileError(f"{path}: already exists (use --force to replace it)") from error
    except OSError:
        # Some memory cards and network shares have no hard links; this is next best.
        try:
            with path.open("xb") as stream:
                stream.write(octets)
        except FileExistsError as error:
            raise FileError(f"{path}: already exists (use --force to replace it)") from error
