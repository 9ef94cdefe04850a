"""
How many member-steps of the odds of a day are run in a second, and where the time goes.

    python tests/benchmarks/odds.py [members] [workers]

An invented day of twelve hours, 720 steps, held under a wind that veers over a tide that turns:
in smooth water, where loads come from the table of the boat, and in chop, where they are closed
in on from there. Counted is the whole of it, draws too: weather, loads in five winds, powers,
the loop, off station, home, percentiles. Not counted: building the day and its table.
The profile is of one process; its rows add up to its total.

Aim: 10 million member-steps a second at 10,000 members on two cores. Seen: 3.5 to 4 million a
second of one core's time in smooth water, 1.3 million in chop; twice that on two cores that do
nothing else. It falls short of the aim by a quarter and more. What bounds it: the loads in five
winds take a third (look-ups in a table of 14 MB that no cache near the core holds), the loop a
quarter (some sixty short operations a step, half of each the calling of it), powers a tenth,
draws, home, weather and gusts a fifteenth each.
"""

import cProfile
import pstats
import resource
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

from measure import argument, say

from energysim.build.members import SOURCES, draw_block, plan_members
from energysim.odds import odds_result, run_members
from energysim.physics.draws import BLOCK
from energysim.scenario.load import LoadedScenario, validate

MEMBERS = 10_000
WORKERS = 2
STEPS = 720
DAY: dict[str, Any] = {
    "title": "Twelve hours held in smooth water (invented)",
    "day": {"date": "2026-05-16", "timezone": "America/New_York"},
    "boat": {
        "hull": "bay-boat",
        "length": "18 ft 2 in",
        "beam": "7 ft 8 in",
        "freeboard": "22 in",
        "mass": "2050 lb",
    },
    "motor": {"voltage": "24 V", "thrust": "80 lbf", "max_current": "56 A"},
    "bank": {"battery": "31-agm", "parallel": 2},
    "home": {"distance": "1 nmi"},
    "wind": {
        "hour": [
            {"at": "05:00", "speed": "8 kn", "from": "SW"},
            {"at": "12:00", "speed": "12 kn", "from": "W"},
            {"at": "19:00", "speed": "7 kn", "from": "NW"},
        ]
    },
    "stream": {
        "flood_toward": "30 deg",
        "ebb_toward": "200 deg",
        "event": [
            {"at": "04:30", "kind": "slack"},
            {"at": "07:30", "kind": "flood", "speed": "1.2 kn"},
            {"at": "10:40", "kind": "slack"},
            {"at": "13:45", "kind": "ebb", "speed": "1.3 kn"},
            {"at": "16:50", "kind": "slack"},
            {"at": "20:00", "kind": "flood", "speed": "1.1 kn"},
        ],
    },
    "leg": [{"name": "all day", "do": "hold", "start": "06:00", "for": "12 h"}],
}
PARTS = (
    ("draws", "draws.py", "draw_block"),
    ("weather", "weather.py", "weather_of"),
    ("loads", "loads.py", "loads_of"),
    ("powers at the instants", "asked.py", "asked_of"),
    ("banks", "bank.py", "banks_of"),
    ("the loop", "carry.py", "carry"),
    ("both books", "books.py", "plain_books"),
    ("gusts too strong", "read.py", "gust_short_s"),
    ("home", "reach.py", "in_reach_m"),
)


def loaded(**more: Any) -> LoadedScenario:
    """Return the day, with more tables."""
    raw = DAY | more
    return LoadedScenario(
        scenario=validate(raw), raw=raw, source_text="", path=Path("day.toml")
    )


def timed(name: str, members: int, *, workers: int, day: LoadedScenario) -> None:
    """Time the members of a day in so many processes."""
    begin = time.perf_counter()
    plan = plan_members(day, seed=1, members=members)
    made = time.perf_counter() - begin
    begin = time.perf_counter()
    if workers == 1:
        read = run_members(plan, members)
    else:
        with ProcessPoolExecutor(workers) as pool:
            read = run_members(plan, members, executor=pool)
    odds_result(plan, read)
    wall = time.perf_counter() - begin
    most = max(
        resource.getrusage(who).ru_maxrss / 1e3
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    say(
        f"{name:28} {members:7,} members, {workers} of processes  {wall:7.2f} s  "
        f"{STEPS * members / wall / 1e6:6.2f} million a second  "
        f"(made ready in {made:.1f} s; at most {most:.0f} MB each)"
    )


def profile(members: int) -> None:
    """Print where the time of one process goes."""
    plan = plan_members(loaded(), seed=1, members=members, from_table=True)
    run_members(plan, BLOCK)  # warm
    watch = cProfile.Profile()
    watch.enable()
    run_members(plan, members)
    watch.disable()
    stats = pstats.Stats(watch)
    rows: dict[tuple[str, int, str], Any] = stats.stats  # type: ignore[attr-defined]
    total = stats.total_tt  # type: ignore[attr-defined]
    say(f"\nOne process, {members:,} members: {total:.2f} s under the profiler")
    known = 0.0
    for name, file, function in PARTS:
        spent = sum(
            row[3]
            for (path, _, called), row in rows.items()
            if called == function and Path(path).name == file
        )
        known += spent
        say(f"  {name:28} {spent:7.2f} s  {spent / total:6.1%}")
    say(f"  {'the rest':28} {total - known:7.2f} s  {1.0 - known / total:6.1%}")


def draws_alone(members: int) -> None:
    """Time the draws by themselves."""
    plan = plan_members(loaded(), seed=1, members=1)
    begin = time.perf_counter()
    for block in range(-(-members // BLOCK)):
        draw_block(plan.spreads, seed=1, block=block, at_s=plan.instants.at_s)
    wall = time.perf_counter() - begin
    say(f"{len(SOURCES)} sources drawn for {members:,} members in {wall:.2f} s")


def main() -> None:
    """Print rates and the profile."""
    members, workers = argument(1, MEMBERS), argument(2, WORKERS)
    for count in sorted({1, workers}):
        timed("smooth water, from the table", members, workers=count, day=loaded())
    chop = loaded(chop={"fetch": "1 km"})
    timed("chop, from there", members, workers=workers, day=chop)
    draws_alone(members)
    profile(min(members, 4096))


if __name__ == "__main__":
    main()
