"""
How long a comparison takes, and that it grows in a line with the options.

    python tests/benchmarks/compare.py [workers] [rounds]

The shop's day in full (its own steps), with 25, 50, 100 and 200 options that share nothing:
each has its own case, strings, age, boat's weight and wind factor, so that no two ask the laws
the same. The best of the rounds is told, processes started anew in each.

Aim: 200 options in under 5 s on two cores.
"""

from functools import partial
from pathlib import Path

from measure import argument, in_turn, say

from energysim.comparison import compare
from energysim.results.compare import CompareResult
from energysim.scenario.load import LoadedScenario, load_scenario, validate

SCENARIO = Path(__file__).parents[2] / "scenarios" / "shop" / "shop.toml"
OPTIONS = (25, 50, 100, 200)
BATTERIES = ("24-agm", "27-agm", "31-agm", "24-lfp", "31-lfp")
WORKERS, ROUNDS = 2, 3


def with_options(count: int) -> LoadedScenario:
    """Return the shop's day with so many options, no two alike."""
    raw = {
        key: value
        for key, value in load_scenario(SCENARIO).raw.items()
        if key not in {"option", "options"}
    }
    raw["option"] = [
        {
            "name": f"option {number}",
            "bank": {
                "battery": BATTERIES[number % len(BATTERIES)],
                "parallel": 1 + number // len(BATTERIES) % 3,
                "capacity_fraction": 1.0 - 0.001 * number,
            },
            "boat": {"wind_factor": 1.0 + 0.001 * number, "mass": f"{2000 + number} lb"},
        }
        for number in range(count - 1)  # the file itself is one of them
    ]
    return LoadedScenario(scenario=validate(raw), raw=raw, source_text="", path=SCENARIO)


def whole(loaded: LoadedScenario, *, workers: int) -> CompareResult:
    """Compare, and insist that every option could be run."""
    result = compare(loaded, workers=workers)
    if result.impossible:
        raise SystemExit(f"{len(result.impossible)} options could not be run")
    return result


def main() -> None:
    """Time comparisons of growing size and print what one option costs in each."""
    workers, rounds = argument(1, WORKERS), argument(2, ROUNDS)
    works = {count: partial(whole, with_options(count), workers=workers) for count in OPTIONS}
    each = {}
    for count, spent in in_turn(works, rounds).items():
        each[count] = spent.wall / count
        say(
            f"{count:4} options  {spent.wall:6.2f} s  {spent.processor:6.2f} s of processor"
            f"  {1000.0 * each[count]:6.1f} ms each"
        )
    ratio = each[OPTIONS[-1]] / each[OPTIONS[1]]
    say(f"an option among {OPTIONS[-1]} costs {ratio:.2f} of one among {OPTIONS[1]}")


if __name__ == "__main__":
    main()
