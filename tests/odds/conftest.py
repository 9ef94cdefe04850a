"""A short day in smooth water, so that a block of members takes a moment."""

import pytest

from energysim.build.members import plan_members
from energysim.scenario.overlay import overlay

SHORT = {
    "bank": {"battery": "31-agm"},
    "stream": {
        "flood_toward": "30 deg",
        "ebb_toward": "200 deg",
        "event": [
            {"at": "04:10", "kind": "slack"},
            {"at": "07:10", "kind": "flood", "speed": "1.3 kn"},
            {"at": "10:20", "kind": "slack"},
        ],
    },
    "leg": [
        {"name": "the mark", "do": "hold", "start": "06:00", "for": "75 min"},
        {"name": "lunch", "do": "rest", "for": "15 min"},
        {
            "name": "the reef",
            "do": "creep",
            "course": "60 deg",
            "speed": "1 kn",
            "for": "30 min",
        },
    ],
}


@pytest.fixture(scope="session")
def short(plain_day, load_raw):
    """Return the short day with keys changed, loaded."""

    def loaded(**changes):
        keys = {key.replace("__", "."): value for key, value in changes.items()}
        return load_raw(overlay(overlay(plain_day(), SHORT), keys))

    return loaded


@pytest.fixture(scope="session")
def plan(short):
    """The short day, ready for its members by the laws."""
    return plan_members(short(), seed=5, members=256)
