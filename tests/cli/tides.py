"""A tide of our own from harmonic constants, in place of the table of `conftest.DAY`."""

TIDE = """
[stream]
flood_toward = "230 deg"
ebb_toward = "050 deg"
[[stream.constituent]]
name = "M2"
amplitude = "1.3 kn"
phase = "40 deg"
"""
SHORT = f"""{TIDE}[[leg]]
name = "The pier"
do = "hold"
start = "06:30"
for = "20 min"
"""
