"""
Read a file that a person names as text, or say in plain words why it cannot be read.

Depends on: errors.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from energysim.errors import FileError

if TYPE_CHECKING:
    from pathlib import Path


def read_text(path: Path, *, what: str, most_mb: int | None = None) -> str:
    """
    Return a file's text, a mark of its encoding left out, line ends as they stand.

    Parameters
    ----------
    path : Path
        The file.
    what : str
        What it should be, for messages: "a log".
    most_mb : int or None
        The largest that is read; no such file is larger. [MB]

    Raises
    ------
    FileError
        There is no such file, it is a folder, too large, or no text in UTF-8.
    """
    try:
        with path.open("rb") as stream:
            content = stream.read(-1 if most_mb is None else most_mb * 1_000_000 + 1)
    except FileNotFoundError:
        raise FileError(f"{path}: there is no such file") from None
    except IsADirectoryError:
        raise FileError(f"{path}: is a folder, not {what}") from None
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else error
        raise FileError(f"{path}: cannot be read: {why}") from None
    return decoded(content, str(path), what=what, most_mb=most_mb)


def decoded(content: bytes, name: str, *, what: str, most_mb: int | None = None) -> str:
    """
    Return what was read as text.

    Parameters
    ----------
    content : bytes
        The whole file, or more than the most of it.
    name : str
        What messages call it.
    what, most_mb
        As for `read_text`.

    Raises
    ------
    FileError
        It is too large, or no text in UTF-8.
    """
    if most_mb is not None and len(content) > most_mb * 1_000_000:
        raise FileError(f"{name}: is too large for {what} (more than {most_mb} MB)")
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise FileError(f"{name}: is saved as UTF-16; save it as UTF-8")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise FileError(f"{name}: is not UTF-8 text (line {line}); save it as UTF-8") from None
    if "\0" in text:
        raise FileError(f"{name}: is not a text file")
    return text
