"""
Write what trials say of `energysim learn`: `python -m tests.learn.table`.

Takes some ten minutes; the tests run a part of it again.
"""

from pathlib import Path

from . import moving, trials

WHERE = Path(__file__).with_name("table.md")

HEAD = """\
# What trials say of `energysim learn`

Written by `python -m tests.learn.table`; do not edit by hand.

## Does the interval hold the truth?

Of 200 logs of amperes and volts from our own model: in how many the 95 % interval held the
true factor, of those in which the log told it (narrowed what was known before). The wind
wandered about the scenario's by 8 % of its speed and the stream by 4 % (one standard
deviation), fading over the time given (a span: another time within it for each log); each row
had 2 % and 0.2 A, or 0.03 V, of its own; the voltmeter's zero was out by 0.05 V in 12.
True factors were spread by 20 % (drag, wind), 15 % (resistance) and evenly over 70 to 100 %
(capacity). The headland has two strings, so that no bank runs empty; there wind and stream
oppose each other most of the day.
"""

MIDDLE = """
## A boat that moves

Logs strung together from the watches of tests/dynamic, where boat and helm swing in gusts; the
true factors are 1. What is off is the quasi-steady model, not the fit. Amperes "off before" are
those computed with factors of 1, against those logged.
"""


def main() -> None:
    """Write the tables."""
    parts = [HEAD, *trials.table_lines(), MIDDLE, *moving.table_lines()]
    WHERE.write_text("\n".join(parts) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
