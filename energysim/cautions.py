"""
The cautions a day's answer carries, each where it concerns the bank at hand.

They are reminders, never an approval, and each defers to the standard, the local code and a
qualified marine electrician.

Depends on: nothing.
"""

PLANNING = (
    "A planning estimate, not an approval. Keep a way home that does not depend on this bank: "
    "an engine, oars, an anchor with enough line, and a radio or phone that works out there."
)
AFLOAT = (
    "The way home on the bow motor is what the bank might do on its worst day, not a plan for "
    "an emergency. Wear the lifejacket, tell somebody ashore, and call for help early."
)
WIRING = (
    "Every positive lead wants a fuse or breaker at the battery, sized for the wire, and a "
    "plug rated for the load and the charging voltage (ABYC E-11, ISO 13297, 33 CFR 183.455). "
    "Leave the wiring to a qualified marine electrician and follow the local code."
)
GAS = (
    "Lead-acid batteries give off hydrogen on charge, sealed ones too when overcharged: vent "
    "the locker high, keep sparks and the charger away from it (IEC 62485, ABYC E-10)."
)
LITHIUM_CUT = (
    "A lithium battery's protection board may cut the power without warning, and its resting "
    "voltage says little about what is left: go by a shunt's ampere-hours (ABYC E-13)."
)
LITHIUM_COLD = "Do not charge lithium cells below freezing (ABYC E-13, ISO/TS 23625)."
HIGH_VOLTAGE = (
    "A 36 V or 48 V bank charges near 50 V or above: treat it as a shock and arc hazard, and "
    "disconnect it before work (ABYC E-11, ISO 13297)."
)
SHORE = (
    "Charge from an outlet with earth-leakage protection through a heavy, uncoiled cord, and "
    "never swim near a boat on shore power (NFPA 303, local code)."
)
WEIGHT = (
    "Count motor, batteries and people against the capacity plate; weight at the bow lowers "
    "the freeboard there (33 CFR 183 subparts B and C, ISO 12217-3)."
)


def cautions_for(*, family: str, nominal_voltage_v: float, charged: bool) -> tuple[str, ...]:
    """
    Return the cautions that concern this bank, the general ones first.

    Parameters
    ----------
    family : str
        "lead-acid" or "lithium".
    nominal_voltage_v : float
        Of the whole bank. [V]
    charged : bool
        Whether a charger is part of the scenario.

    Returns
    -------
    tuple of str
        Sentences to print as they are.
    """
    chosen = [PLANNING, AFLOAT, WIRING, WEIGHT]
    if family == "lithium":
        chosen += [LITHIUM_CUT, LITHIUM_COLD]
    else:
        chosen.append(GAS)
    if nominal_voltage_v >= 32.0:
        chosen.append(HIGH_VOLTAGE)
    if charged:
        chosen.append(SHORE)
    return tuple(chosen)
