"""
The questions, in the order a day is thought of: boat, bank, plan, then wind and water.

Depends on: cli.new.prompt, cli.new.draft, cli.new.phrases, cli.new.equipment, cli.new.water,
scenario, errors.
"""

from __future__ import annotations

import os
from contextlib import suppress
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any, Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from energysim.cli.new.draft import Draft, ask_key
from energysim.cli.new.equipment import ask_bank, ask_boat, ask_charger, ask_motor
from energysim.cli.new.phrases import LEG_EXAMPLES, read_leg, read_wind
from energysim.cli.new.water import ask_stream
from energysim.errors import ScenarioError
from energysim.scenario.timeline import leg_times

if TYPE_CHECKING:
    from collections.abc import Callable

    from energysim.cli.new.prompt import Prompt

USUAL_ZONE: Final = "America/New_York"
LOCAL_TIME_FILE: Final = "/etc/localtime"

# An invented day, whole, so that Enter all the way through makes a scenario that runs.
_PLAN: Final = ("run 20 min", "hold 3 h", "run 20 min")
_INVENTED: Final[dict[str, Any]] = {
    "boat": {
        "hull": "skiff", "length": "17 ft", "beam": "7 ft", "freeboard": "20 in",
        "mass": "1500 lb", "people": 2,
    },
    "motor": {"voltage": "24 V", "thrust": "80 lbf", "max_current": "56 A"},
    "bank": {"battery": "31-agm"},
    "charger": {"current": "10 A"},
    "wind": {"speed": "10 kn", "from": "SW"},
    "leg": [{"start": "06:30", **read_leg(_PLAN[0])}, *(read_leg(leg) for leg in _PLAN[1:])],
}  # fmt: skip


def title_of_the_day(prompt: Prompt) -> str:
    """Return what the day is called; asked first, because the file takes its name from it."""
    return prompt.ask("Name of the day", default="A day on the water", read=str)


def interview(prompt: Prompt, *, title: str) -> dict[str, Any]:
    """
    Ask everything a day needs, and return it as a raw scenario that builds.

    Parameters
    ----------
    prompt : Prompt
        Where to ask.
    title : str
        The answer to `title_of_the_day`.

    Raises
    ------
    EndOfAnswersError
        The answers end before the questions do.
    """
    tomorrow = (datetime.now().astimezone() + timedelta(days=1)).date()
    day = {"date": tomorrow, "timezone": _machine_zone()}
    draft = Draft({"title": title, "day": day, **_INVENTED})
    answered: list[str] = []
    for table, questions in (
        ("day", _ask_day),
        ("boat", ask_boat),
        ("motor", ask_motor),
        ("bank", ask_bank),
        ("charger", ask_charger),
        ("leg", _ask_plan),
        ("wind", _ask_wind),
        ("stream", ask_stream),
    ):
        answered.append(table)
        prompt.say()
        _until_it_fits(prompt, draft, answered, questions)
    return draft.raw


def _until_it_fits(
    prompt: Prompt,
    draft: Draft,
    answered: list[str],
    questions: Callable[[Prompt, Draft], None],
) -> None:
    """Ask a group of questions again while its answers do not go together."""
    while True:
        questions(prompt, draft)
        misfits = draft.misfits(answered)
        if not misfits:
            return
        prompt.refuse(ScenarioError(misfits))


def _ask_day(prompt: Prompt, draft: Draft) -> None:
    def read(answer: str) -> None:
        words = {"today": 0, "tomorrow": 1}
        if answer.lower() in words:
            today = datetime.now().astimezone().date()
            draft.lay({"day.date": today + timedelta(days=words[answer.lower()])})
            return
        draft.lay({"day.date": answer})
        draft.lay({"day.date": draft.scenario.day.date})  # as TOML's own date, without quotes

    present: date = draft.raw["day"]["date"]
    prompt.ask("Date", default=str(present), read=read, example="2026-05-16", key="day.date")
    ask_key(prompt, draft, "day.timezone", "Time zone of your clock", "Europe/Dublin")


def _ask_plan(prompt: Prompt, draft: Draft) -> None:
    prompt.ask(
        "When does the first leg begin",
        default=draft.raw["leg"][0]["start"],
        read=lambda answer: draft.lay({"leg[1].start": answer}),
        example="6:30 am",
        key="leg[1].start",
    )
    start = draft.raw["leg"][0]["start"]
    prompt.say("The plan, a leg on each line and an empty line at the end, such as:")
    for example in LEG_EXAMPLES.values():
        prompt.say(f"    {example}")
    prompt.say(f"An empty line at once takes: {', '.join(_PLAN)}.")
    legs: list[dict[str, str]] = []

    def read(line: str) -> str:
        leg = read_leg(line) | ({} if legs else {"start": start})
        draft.put("leg", [*legs, leg])
        legs.append(leg)
        when = leg_times(draft.scenario.day, draft.scenario.legs)[-1]
        return f"{when.start:%H:%M} to {when.end:%H:%M}: {leg['do']}"

    prompt.ask_lines(what="leg", read=read, finish=list)


def _ask_wind(prompt: Prompt, draft: Draft) -> None:
    present = draft.raw["wind"]
    gust = f" gusting {present['gust']}" if "gust" in present else ""
    prompt.ask(
        "Wind of the day: speed, where from, and gusts if you know them",
        default=f"{present['speed']} {present['from']}{gust}",
        read=lambda answer: draft.put("wind", read_wind(answer)),
        example="14 kn SW gusting 20 kn",
    )


def _machine_zone() -> str:
    """
    Return the time zone the machine is set to, where its name can be found out.

    A machine on universal time says nothing about anybody's clock, so that is passed over.
    """
    names = [os.environ.get("TZ", "").lstrip(":")]
    _, _, linked = os.path.realpath(LOCAL_TIME_FILE).partition("/zoneinfo/")
    names.append(linked)
    for name in names:
        if "/" not in name or name.startswith(("/", "Etc/")):
            continue
        with suppress(OSError, ValueError, ZoneInfoNotFoundError):
            return ZoneInfo(name).key
    return USUAL_ZONE
