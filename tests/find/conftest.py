"""A short day in smooth water whose odds lie well between 0 and 1."""

import pytest

from energysim.scenario.overlay import overlay

SHORT = {
    "bank": {"battery": "31-agm"},
    "wind": {"speed": "14 kn", "from": "NE", "gust": "18 kn"},
    "stream": {
        "flood_toward": "230 deg",
        "ebb_toward": "50 deg",
        "event": [
            {"at": "04:10", "kind": "slack"},
            {"at": "07:10", "kind": "flood", "speed": "1.2 kn"},
            {"at": "10:20", "kind": "slack"},
        ],
    },
    "leg": [
        {"name": "the mark", "do": "hold", "start": "06:00", "until": "07:15"},
        {"name": "lunch", "do": "rest", "start": "07:30", "for": "15 min"},
        {"name": "the reef", "do": "hold", "until": "08:15", "wind_shelter": 0.5},
    ],
}


@pytest.fixture(scope="session")
def short(plain_day, load_raw):
    """Return the short day with keys changed, loaded."""

    def loaded(**changes):
        keys = {key.replace("__", "."): value for key, value in changes.items()}
        return load_raw(overlay(overlay(plain_day(), SHORT), keys))

    return loaded
