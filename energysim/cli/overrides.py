"""
What-ifs from the command line, laid over a scenario before it is validated again.

Depends on: scenario, catalogue, errors.
"""

from __future__ import annotations

import re
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from energysim.errors import Problem, ScenarioError
from energysim.scenario.bank import OF_THE_BLOCK
from energysim.scenario.whatif import changed, shift_to_start

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from energysim.scenario.load import LoadedScenario

WIND_PARTS = r"^\s*(?P<speed>[\d.,]+\s*[^\W\d]\S*)(?:\s+(?:from\s+)?(?P<from>.+))?$"
BANK_PARTS = r"^\s*(?:(?P<strings>\d+)\s*x\s*)?(?P<battery>\S+)\s*$"


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """What the options of the command line change; None where one is left out."""

    wind: str | None = None
    stream_scale: float | None = None
    start: str | None = None
    bank: str | None = None
    people: int | None = None
    settings: tuple[str, ...] = ()  # KEY=VALUE

    def keys(self) -> tuple[str, ...]:
        """Return the scenario's keys and tables that no longer stand as the file has them."""
        by_option = {
            "wind": self.wind,
            "stream.scale": self.stream_scale,
            "bank": self.bank,
            "boat.people": self.people,
        }
        given = [key for key, value in by_option.items() if value is not None]
        return (*given, *(setting.partition("=")[0].strip() for setting in self.settings))


@contextmanager
def without_places(what_if: WhatIf) -> Iterator[None]:
    """Take the line of the file out of a problem with something an option has changed."""
    try:
        yield
    except ScenarioError as error:
        keys = what_if.keys()

        def changed_here(problem: Problem) -> bool:
            return any(re.match(rf"{re.escape(key)}(?:[.\[]|$)", problem.path) for key in keys)

        raise ScenarioError(
            [
                replace(problem, file="", line=None, column=None)
                if changed_here(problem)
                else problem
                for problem in error.problems
            ]
        ) from None


def overrides(loaded: LoadedScenario, what_if: WhatIf) -> tuple[LoadedScenario, float]:
    """
    Lay the what-ifs over a scenario.

    Returns
    -------
    loaded : LoadedScenario
        The scenario as changed, validated again.
    shift_s : float
        How much later the whole plan starts. [s]

    Raises
    ------
    ScenarioError
        An option cannot be understood, or what it says is not valid.
    """
    raw: dict[str, Any] = dict(loaded.raw)
    changes: dict[str, object] = {}
    if what_if.wind is not None:
        raw = {**raw, "wind": _wind(what_if.wind, raw.get("wind", {}))}
    if what_if.stream_scale is not None:
        changes["stream.scale"] = what_if.stream_scale
    if what_if.bank is not None:
        raw = {**raw, "bank": _bank(what_if.bank, raw.get("bank", {}))}
    if what_if.people is not None:
        changes["boat.people"] = what_if.people
    for setting in what_if.settings:
        key, separator, value = setting.partition("=")
        if not separator or not key.strip():
            raise ScenarioError(
                Problem(
                    path="--set",
                    value=setting,
                    reason="is not KEY=VALUE",
                    hint='for example --set bank.start_soc=0.9 or --set "boat.mass=1900 lb"',
                )
            )
        changes[key.strip()] = _value(value.strip())
    if raw is not loaded.raw or changes:
        loaded = changed(replace(loaded, raw=raw), changes)
    return loaded, _shift_s(loaded, what_if.start)


def _shift_s(loaded: LoadedScenario, start: str | None) -> float:
    return 0.0 if start is None else shift_to_start(loaded.scenario, start)


def _wind(text: str, wind: Mapping[str, Any]) -> dict[str, Any]:
    """Replace the day's wind by one wind; its direction and height stay where none is given."""
    found = re.match(WIND_PARTS, text)
    if found is None:
        raise ScenarioError(
            Problem(
                path="--wind", value=text, reason="is not a wind", hint='for example "18 kn SW"'
            )
        )
    kept = {key: value for key, value in wind.items() if key in {"height", "from"}}
    direction = found["from"]
    if direction is not None:
        return {**kept, "speed": found["speed"], "from": direction}
    if "from" in kept:
        return {**kept, "speed": found["speed"]}
    if "hour" in wind:
        # Keep how the direction turns; a gust belongs to the speed that is being replaced.
        hours = [
            {**{k: v for k, v in hour.items() if k != "gust"}, "speed": found["speed"]}
            for hour in wind["hour"]
        ]
        return {**kept, "hour": hours}
    raise ScenarioError(
        Problem(
            path="--wind",
            value=text,
            reason="gives no direction, and the scenario's wind comes from a file",
            hint='for example "18 kn SW"',
        )
    )


def _bank(text: str, bank: Mapping[str, Any]) -> dict[str, Any]:
    """Put catalogue batteries in place of the scenario's, as many in series as it takes."""
    found = re.match(BANK_PARTS, text)
    if found is None:
        raise ScenarioError(
            Problem(
                path="--bank",
                value=text,
                reason="is not a battery of the list",
                hint='for example "31-agm", or "2x 31-agm" for two strings',
            )
        )
    kept = {key: value for key, value in bank.items() if key not in OF_THE_BLOCK}
    strings = int(found["strings"] or bank.get("parallel", 1))
    return {**kept, "battery": found["battery"], "parallel": strings}


def _value(text: str) -> object:
    """Read a value as TOML would, and as a string where TOML would not."""
    import tomllib

    try:
        return tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        return text
