"""
Harmonic constants of a current from the agency's JSON.

Depends on: errors, `scenario.agency_answer`, `scenario.stream_record`.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from energysim.errors import Problem, ScenarioError
from energysim.scenario.agency_answer import (
    load_json,
    number_at,
    one_value,
    small_keys,
    speed_factor,
)
from energysim.scenario.stream_record import StreamConstants


def constants_from_json(text: str, *, file: str) -> StreamConstants:
    """
    Return the harmonic constants of an answer for one place and depth.

    Parameters
    ----------
    text : str
        The whole file.
    file : str
        Its name, for the problems.

    Returns
    -------
    StreamConstants
        Speeds in m/s; tides of no size left out.

    Raises
    ------
    ScenarioError
        If the answer holds something else, several depths, or constants of water level.
    """
    answer = load_json(text, file=file)
    listed = answer.get("harmonicconstituents")
    if not isinstance(listed, list) or not listed:
        raise ScenarioError(
            Problem(file=file, path="HarmonicConstituents", reason="holds no constants")
        )
    entries = [small_keys(entry) if isinstance(entry, dict) else {} for entry in listed]
    if "majoramplitude" not in entries[0]:
        raise ScenarioError(
            Problem(
                file=file,
                path="HarmonicConstituents[1]",
                reason="has no majorAmplitude; these are not the constants of a current",
                hint="fetch the constants of a current station, with its bin",
            )
        )
    factor = speed_factor(answer.get("units"), file=file, path="units")
    # Tides of no size may carry an axis of no meaning.
    sized = [entry for entry in entries if entry.get("majoramplitude") not in (0, "0", "0.0")]
    azimuth_deg = one_value(sized, "azi", file=file)
    one_value(entries, "binnbr", file=file)
    if azimuth_deg is None:
        raise ScenarioError(
            Problem(file=file, path="HarmonicConstituents[1].azi", reason="is missing")
        )
    mean = one_value(entries, "majormeanspeed", file=file) or 0.0
    minor_mean = one_value(entries, "minormeanspeed", file=file) or 0.0
    return _constants(
        entries, factor, file=file, azimuth_deg=azimuth_deg, means=(mean, minor_mean)
    )


def _constants(
    entries: Sequence[Mapping[str, Any]],
    factor: float,
    *,
    file: str,
    azimuth_deg: float,
    means: tuple[float, float],
) -> StreamConstants:
    """Return the entries as columns, without the tides of no size."""
    names: list[str] = []
    major: list[tuple[float, float]] = []
    minor: list[tuple[float, float]] = []
    problems: list[Problem] = []
    for index, entry in enumerate(entries):
        try:
            name = str(entry.get("constituentname", "")).strip()
            if not name:
                raise ValueError("has no constituentName")  # noqa: TRY301
            along = (number_at(entry, "majoramplitude"), number_at(entry, "majorphasegmt"))
            across = (
                number_at(entry, "minoramplitude", 0.0),
                number_at(entry, "minorphasegmt", 0.0),
            )
        except ValueError as error:
            path = f"HarmonicConstituents[{index + 1}]"
            problems.append(Problem(file=file, path=path, reason=str(error)))
            continue
        if along[0] == 0.0 and across[0] == 0.0:
            continue
        names.append(name)
        major.append(along)
        minor.append(across)
    if problems:
        raise ScenarioError(problems)
    rotary = any(amplitude for amplitude, _ in minor) or means[1] != 0.0
    return StreamConstants(
        name=tuple(names),
        amplitude_mps=tuple(amplitude * factor for amplitude, _ in major),
        phase_lag_deg=tuple(phase for _, phase in major),
        mean_mps=means[0] * factor,
        flood_toward_deg=azimuth_deg % 360.0,
        minor_amplitude_mps=tuple(a * factor for a, _ in minor) if rotary else None,
        minor_phase_lag_deg=tuple(phase for _, phase in minor) if rotary else None,
        minor_mean_mps=means[1] * factor,
    )
