"""What several test files share."""

import os

# As the command line does, before numpy loads: the tests are what is shared among the cores.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from collections.abc import Callable
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from energysim import catalogue
from energysim.physics.constituents import Constituents
from energysim.scenario.load import LoadedScenario, validate


@pytest.fixture(scope="session")
def constituents() -> Constituents:
    """Every tide the package knows."""
    return catalogue.constituents()


PLAIN_DAY: dict[str, Any] = {
    "title": "A still day",
    "day": {"date": "2026-05-16", "timezone": "America/New_York", "step": "60 s"},
    "boat": {
        "hull": "skiff",
        "length": "17 ft 6 in",
        "beam": "7 ft",
        "freeboard": "18 in",
        "mass": "1500 lb",
    },
    "motor": {"voltage": "24 V", "thrust": "80 lbf", "max_current": "56 A"},
    "bank": {"battery": "31-agm"},
    "wind": {"speed": "12 kn", "from": "SW", "gust": "17 kn"},
    "leg": [{"name": "the mark", "do": "hold", "start": "06:00", "for": "4 h"}],
}
"""An invented day with nothing odd about it, as the TOML parser would give it."""


@pytest.fixture(scope="session")
def plain_day() -> Callable[[], dict[str, Any]]:
    """A fresh copy of the plain day, as often as it is asked for."""
    return lambda: deepcopy(PLAIN_DAY)


@pytest.fixture(scope="session")
def load_raw() -> Callable[..., LoadedScenario]:
    """From a raw scenario, and where its files would lie, to a loaded one."""

    def load(raw: dict[str, Any], folder: Path | None = None) -> LoadedScenario:
        return LoadedScenario(
            scenario=validate(raw),
            raw=raw,
            source_text="",
            path=(folder or Path()) / "day.toml",
        )

    return load
