"""
The questions about what stands in the yard: boat, bow motor, batteries and charger.

Depends on: cli.new.prompt, cli.new.draft, cli.new.phrases, cli.overrides, catalogue.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from energysim.catalogue import batteries, chemistry_tables, hull_tables
from energysim.cli.new.draft import ask_key
from energysim.cli.new.phrases import is_no, picked, whole_number
from energysim.cli.overrides import BANK_PARTS

if TYPE_CHECKING:
    from energysim.cli.new.draft import Draft
    from energysim.cli.new.prompt import Prompt

OWN_LABEL: Final = "label"
NEW: Final = "new"
_OWN_BLOCK: Final = {"chemistry": "agm", "capacity": "100 Ah", "block_voltage": "12 V"}

_BOAT: Final = (
    ("length", "Length of the hull", "17 ft 6 in or 5.3 m"),
    ("beam", "Beam, the greatest width", "7 ft or 2.1 m"),
    ("freeboard", "Height of the side above the water, amidships", "20 in or 50 cm"),
    ("mass", "Loaded weight without people and batteries", "1500 lb or 700 kg"),
)
_MOTOR: Final = (
    ("voltage", "Voltage of the bow motor, from its label", "12 V"),
    ("thrust", "Its rated thrust", "55 lbf or 245 N"),
    ("max_current", "Its current at full thrust", "50 A"),
)
# The cases a bow motor's bank mostly comes in; so few rows that "24" is never a row's number.
USUAL_CASES: Final = {"24", "27", "31", "GC2"}


def ask_boat(prompt: Prompt, draft: Draft) -> None:
    """Ask what is held: the hull, its few dimensions, and who is aboard."""
    kinds = [(name, kind["label"]) for name, kind in hull_tables()["types"].items()]
    prompt.show(kinds)
    prompt.ask(
        "Kind of boat, by name or number",
        default=draft.raw["boat"]["hull"],
        read=lambda answer: draft.lay({"boat.hull": picked(answer, kinds)}),
    )
    for key, question, example in _BOAT:
        ask_key(prompt, draft, f"boat.{key}", question, example)
    prompt.ask(
        "People aboard",
        default=str(draft.raw["boat"]["people"]),
        read=lambda answer: draft.lay({"boat.people": whole_number(answer)}),
        key="boat.people",
    )


def ask_motor(prompt: Prompt, draft: Draft) -> None:
    """Ask what the label of the bow motor says."""
    for key, question, example in _MOTOR:
        ask_key(prompt, draft, f"motor.{key}", question, example)


def ask_bank(prompt: Prompt, draft: Draft) -> None:
    """Ask which batteries there are: from the list, or from their own label."""
    rows = [
        (row.name, f"{row.voltage_v:g} V, {row.capacity_ah:g} Ah")
        for row in batteries().values()
        if row.case in USUAL_CASES
    ]
    rows.append((OWN_LABEL, "none of these: ask me what the label of mine says"))

    def read(answer: str) -> bool:
        found = re.match(BANK_PARTS, answer)
        wanted = found["battery"] if found else answer
        listed = wanted.lower() in batteries()
        name = wanted.lower() if listed else picked(wanted, rows)
        strings = {"parallel": int(found["strings"])} if found and found["strings"] else {}
        if name != OWN_LABEL:
            draft.put("bank", {"battery": name, **strings})
            return False
        kept = draft.raw["bank"] if "chemistry" in draft.raw["bank"] else _OWN_BLOCK
        draft.put("bank", {**kept, **strings})
        return True

    present = draft.raw["bank"]
    strings = f"{present['parallel']}x " if "parallel" in present else ""
    prompt.show(rows)
    prompt.say("  More cases, by name: energysim list cases")
    own = prompt.ask(
        "Battery, by name or number; as many as the motor's voltage takes are put in series",
        default=f"{strings}{present.get('battery', OWN_LABEL)}",
        read=read,
        example="27-agm, 2x 27-agm for two such strings side by side, or label",
        key="bank.parallel",
    )
    if own:
        _ask_label(prompt, draft)
    _ask_age(prompt, draft)


def _ask_age(prompt: Prompt, draft: Draft) -> None:
    """Ask how much of the batteries is left: measured, guessed from their age, or all of it."""

    def read(answer: str) -> None:
        measured = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9]*)?)\s*%", answer)
        if measured:
            draft.lay({"bank.capacity_fraction": float(measured[1]) / 100.0, "bank.age": None})
            return
        age = None if answer.lower() == NEW or is_no(answer) else answer
        draft.lay({"bank.age": age, "bank.capacity_fraction": None})

    present = draft.raw["bank"]
    measured = present.get("capacity_fraction")
    prompt.ask(
        "Their age, or how much of their capacity is left if you have measured it",
        default=present.get("age", NEW) if measured is None else f"{measured:.0%}",
        read=read,
        example="3 yr, or 85 %, or new",
        key="bank.age",
    )


def _ask_label(prompt: Prompt, draft: Draft) -> None:
    """Ask what the label of the user's own battery says."""
    kinds = [(name, kind["label"]) for name, kind in chemistry_tables().items()]
    prompt.show(kinds)
    prompt.ask(
        "Chemistry, by name or number",
        default=draft.raw["bank"]["chemistry"],
        read=lambda answer: draft.lay({"bank.chemistry": picked(answer, kinds)}),
    )
    ask_key(prompt, draft, "bank.block_voltage", "Volts of one battery", "6 V, 12 V or 24 V")
    ask_key(prompt, draft, "bank.capacity", "Its ampere-hours at the 20-hour rate", "105 Ah")
    prompt.ask(
        "Its reserve minutes at 25 A",
        default=draft.raw["bank"].get("reserve", "none"),
        read=lambda answer: draft.lay({"bank.reserve": None if is_no(answer) else answer}),
        example="180 min, or none when the label has none",
        key="bank.reserve",
    )


def ask_charger(prompt: Prompt, draft: Draft) -> None:
    """Ask for the charger; without one the night is left out."""
    prompt.ask(
        "Charger, amperes into each battery",
        default=draft.raw.get("charger", {}).get("current", "none"),
        read=lambda answer: draft.put(
            "charger", None if is_no(answer) else {"current": answer}
        ),
        example="15 A, or none to leave the night out",
        key="charger.current",
    )
