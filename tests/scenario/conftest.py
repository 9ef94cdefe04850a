"""One invented day that every scenario test starts from."""

import tomllib

import pytest

PLAIN_DAY = """\
title = "Two marks off the point"

[day]
date = 2026-05-16
timezone = "America/New_York"

[boat]
hull = "skiff"
length = "17 ft 6 in"
beam = "7 ft"
freeboard = "18 in"
mass = "1500 lb"

[motor]
voltage = "24 V"
thrust = "80 lbf"
max_current = "56 A"

[bank]
battery = "31-agm"
series = 2

[wind]
speed = "12 kn"
from = "SW"
gust = "17 kn"

[stream]
flood_toward = "310 deg"
ebb_toward = "140 deg"

[[stream.event]]
at = "04:50"
kind = "slack"

[[stream.event]]
at = "08:02"
kind = "flood"
speed = "1.9 kn"

[[stream.event]]
at = 11:20:00
kind = "slack"

[[leg]]
name = "the outer mark"
do = "hold"
start = "06:30"
for = "2 h"

[[leg]]
do = "creep"
for = "1 h 30 min"
course = "300 deg"
speed = "1.5 kn"
"""


@pytest.fixture
def day_text():
    """The day as a file."""
    return PLAIN_DAY


@pytest.fixture
def raw_day():
    """The day as the parser gives it; each test may change its own copy."""
    return tomllib.loads(PLAIN_DAY)
