"""
Files that a command writes, each told of on stderr in the same words.

Depends on: files.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path


def write(path: Path, content: str | bytes, *, force: bool) -> None:
    """
    Write a file whole, and say so on stderr: stdout is for the answer.

    Parameters
    ----------
    path : Path
        Where to write.
    content : str or bytes
        What to write.
    force : bool
        Replace an existing file.
    """
    from energysim.files import write_whole

    write_whole(path, content, force=force)
    print(f"wrote {path}", file=sys.stderr)
