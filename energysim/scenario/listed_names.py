"""
Names of batteries, chemistries and hulls in a raw file, looked up beside all other checks.

Depends on: listed, errors, scenario.paths.
"""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from energysim.errors import Problem
from energysim.listed import data_text, names, unlisted

NAMED: Final = (
    ("boat", "hull", "hull"),
    ("bank", "battery", "battery"),
    ("bank", "chemistry", "chemistry"),
    ("house_bank", "battery", "battery"),
    ("house_bank", "chemistry", "chemistry"),
)
"""Table, key, and the list its name is of."""


def name_problems(raw: Mapping[str, Any]) -> Iterator[Problem]:
    """
    Yield a problem for each name that is on no list.

    A kind of battery that is known and refused is passed over: the reason is told where it is
    looked up. So are names in [[option]] rows: an option that cannot be is told as such.

    Parameters
    ----------
    raw : mapping
        The file, as the TOML parser gives it.
    """
    for head, key, what in NAMED:
        table = raw.get(head)
        name = table.get(key) if isinstance(table, Mapping) else None
        if not isinstance(name, str) or not name:
            continue
        problem = unlisted(name, names(what), path=f"{head}.{key}", what=what)
        if problem is not None and not (what == "chemistry" and _is_refused(name)):
            yield problem


def _is_refused(name: str) -> bool:
    """Whether it is one of the batteries that are known, and not made for this work."""
    import tomllib  # noqa: PLC0415 - start-up

    wanted = name.strip().casefold()
    tables = tomllib.loads(data_text("not_for_propulsion.toml"))
    return any(wanted in (key, *row["aliases"]) for key, row in tables.items())
