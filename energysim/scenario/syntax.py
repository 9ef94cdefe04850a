"""
What stops a text from being TOML, in words for someone who has never heard of TOML.

Depends on: errors.
"""

import re
import tomllib
from typing import Any, Final

from energysim.errors import Problem

# Patterns stay text here: nearly every file is sound and needs none of them compiled.
_PLACE: Final = r"\s*\(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)"
_CURLY: Final = "\u201c\u201d\u201e\u2018\u2019\u00ab\u00bb"
_MOST: Final = 20  # after that many the file is not meant for this program

# The look of a line -> reason and hint; the first that fits.
_SLIPS: Final = (
    (
        f".*[{_CURLY}]",
        "a curly quote, as word processors and phones make them",
        'type plain ones: "',
    ),
    (
        r"([A-Za-z0-9_-]+)\s*:\s*(.*)",
        "a colon where an equals sign is wanted",
        r"write \1 = \2",
    ),
    (r"([A-Za-z0-9_.-]+)\s*=\s*(?:#.*)?$", "a key without a value", r'write \1 = "..."'),
    (
        r"([A-Za-z0-9_.-]+)\s*=\s*([^\"'\[{#]*?)\s*(?:#.*)?$",
        "a value without quotes",
        r'write \1 = "\2"',
    ),
    (
        r"([A-Za-z0-9_-]+)$",
        "a word on its own",
        r"write [\1] for a table, or \1 = and its value",
    ),
    (
        r"[^=]*=\s*([\"'])(?!\1\1)(?:(?!\1).)*$",
        "a quote that is not closed",
        r"end the value with \1",
    ),
    (
        r".*=\s*\"[^\"]*[0-9]\s*'\s*[0-9.]+\s*\"\s*\"",
        "an inch mark inside quotes",
        'write "17 ft 6 in"',
    ),
)

# The beginning of the parser's message -> reason and hint. These say more than the line does:
_REPEATS: Final = (
    ("cannot overwrite a value", "this key stands here twice", "keep one of the two lines"),
    (
        "cannot declare",
        "this table stands here twice",
        "put its keys under one header, or write [[...]] for each row of a list",
    ),
    ("cannot mutate", "this adds to something already complete", "put it in one place"),
)
# and these less:
_OTHERS: Final = (
    ("unescaped", "a text with a backslash in it", "write '...' around it in place of \"...\""),
    ("unterminated", "a text or list that is not closed", "add the closing quote or bracket"),
    ("expected '='", "a line that is neither a table nor key = value", ""),
    ("unclosed", "a list that is not closed", "add the closing bracket"),
)


def parse_toml(text: str) -> tuple[dict[str, Any], list[Problem]]:
    """
    Return what a TOML text says, and every line that keeps it from saying anything.

    Parameters
    ----------
    text : str
        The file.

    Returns
    -------
    raw : dict
        Empty when there are problems.
    problems : list of Problem
        With line and column. After a line that is wrong on its own the rest is read as if
        that line were not there, so that all such lines show at once.
    """
    problems: list[Problem] = []
    lines = text.split("\n")
    while len(problems) < _MOST:
        try:
            raw = tomllib.loads("\n".join(lines))
        except tomllib.TOMLDecodeError as error:
            problem, alone = _explained(str(error), lines)
            problems.append(problem)
            if not alone or problem.line is None:
                break
            lines[problem.line - 1] = ""
        else:
            return ({} if problems else raw), problems
    return {}, problems


def _explained(message: str, lines: list[str]) -> tuple[Problem, bool]:
    """Put one parser message into plain words; say whether its line can be set aside."""
    match = re.search(_PLACE, message)
    bare = re.sub(_PLACE, "", message)
    number = int(match["line"]) if match and match["line"] else len(lines)
    column = int(match["column"]) if match and match["column"] else None
    while number > 1 and not lines[number - 1].strip():
        number, column = number - 1, None
    line = lines[number - 1]
    reason, hint = (
        _from_message(bare, _REPEATS)
        or _from_line(line)
        or _from_message(bare, _OTHERS)
        or (f"this cannot be read as TOML: {bare[:1].lower()}{bare[1:]}", "")
    )
    alone = not re.search(r"[\[\]{}]|\"\"\"|'''", line) and not bare.casefold().startswith(
        "cannot declare"
    )
    return Problem(reason=reason, hint=hint, line=number, column=column), alone


def _from_line(line: str) -> tuple[str, str] | None:
    """Recognise the slips people make, by the look of the line."""
    for pattern, reason, hint in _SLIPS:
        match = re.match(pattern, line.strip())
        if match:
            return reason, match.expand(hint)
    return None


def _from_message(
    message: str, known: tuple[tuple[str, str, str], ...]
) -> tuple[str, str] | None:
    """Translate the parser's own words, where they are known."""
    for beginning, reason, hint in known:
        if beginning in message.casefold():
            return reason, hint
    return None
