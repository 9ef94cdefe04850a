"""
What was learned, as lines of TOML and as a whole scenario that `energysim day` runs.

Depends on: results.learn, scenario.
"""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING

from energysim.scenario.overlay import overlay

if TYPE_CHECKING:
    from collections.abc import Iterator

    from energysim.results.learn import Learned, LearnResult
    from energysim.scenario.load import LoadedScenario


def settings(result: LearnResult) -> tuple[str, ...]:
    """
    Return what was learned as `energysim day --set` takes it: KEY=VALUE.

    Parameters
    ----------
    result : LearnResult
        The answer.

    Returns
    -------
    tuple of str
        Of the factors the log tells; none where it tells nothing.
    """
    return tuple(f"{one.key}={one.written.strip(chr(34))}" for one in _told(result))


def overlay_text(result: LearnResult) -> str:
    """
    Return what was learned as tables of TOML, to lay over any day of this boat.

    Parameters
    ----------
    result : LearnResult
        The answer.

    Returns
    -------
    str
        With where it comes from and how sure it is, in comments.
    """
    lines = [
        f"# Learned from {result.log_name}: {result.title}, {result.first:%Y-%m-%d}.",
        "# Put these keys into the tables of the same name of a scenario of this boat, or",
        "# give them to one run:",
        "#   energysim day FILE " + " ".join(f'--set "{one}"' for one in settings(result)),
    ]
    table = ""
    for one in _told(result):
        name, _, key = one.key.partition(".")
        if name != table:
            lines += ["", f"[{name}]"]
            table = name
        lines.append(f"{key} = {one.written}  # {how_sure(one)}")
    return "\n".join(lines) + "\n"


def how_sure(one: Learned) -> str:
    """Return a factor's interval in words."""
    words = f"95 %: {one.low:.2f} to {one.high:.2f}"
    if one.key == "bank.resistance":
        words += " times the scenario's own"
    return f"{words}; {one.note}" if one.note else words


def scenario_text(loaded: LoadedScenario, result: LearnResult) -> str | None:
    """
    Return the whole scenario with the learned factors in it, its comments kept.

    Parameters
    ----------
    loaded : LoadedScenario
        The scenario the log was held against.
    result : LearnResult
        The answer.

    Returns
    -------
    str or None
        None where the file is written in a way this cannot change safely; the text is only
        given when it reads as the old one with the new keys and nothing else.
    """
    text = loaded.source_text
    for one in _told(result):
        table, _, key = one.key.partition(".")
        text = _with_key(text, table, key, f"{one.written}  # learned; {how_sure(one)}")
    wanted = overlay(
        loaded.raw, {one.key: tomllib.loads(f"x = {one.written}")["x"] for one in _told(result)}
    )
    try:
        return text if tomllib.loads(text) == wanted else None
    except tomllib.TOMLDecodeError:
        return None


def _with_key(text: str, table: str, key: str, written: str) -> str:
    """Set a key below its table's header: in place of what stands there, or as its first."""
    header = re.search(rf"^[ \t]*\[[ \t]*{table}[ \t]*\][^\n]*\n", text, re.MULTILINE)
    if header is None:
        return text
    after = text[header.end() :]
    end = re.search(r"^[ \t]*\[", after, re.MULTILINE)
    own = after[: end.start()] if end else after
    rest = after[len(own) :]
    line = f"{key} = {written}"
    there = re.compile(rf"^[ \t]*{key}[ \t]*=[^\n]*$", re.MULTILINE)
    own = there.sub(lambda _: line, own, count=1) if there.search(own) else f"{line}\n{own}"
    return text[: header.end()] + own + rest


def _told(result: LearnResult) -> Iterator[Learned]:
    """Return the factors that are to be written."""
    return (one for one in result.factors if one.written)
