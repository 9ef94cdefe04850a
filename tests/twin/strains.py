"""Changes to the shipped days that drive them into their corners."""

from energysim.simulate import CURRENT_LIMIT, CUT_OFF, DROP_OUT, FULL_THROTTLE


def gale():
    return [
        {"at": "05:00", "speed": "30 kn", "from": "SW"},
        {"at": "18:00", "speed": "34 kn", "from": "W"},
    ]


def steady(speed, where_from):
    return [{"at": at, "speed": speed, "from": where_from} for at in ("05:00", "18:00")]


# Nothing on one block alone: such a bank is held at its cut-off, an uneven one's board opens.
EVEN = {"bank.tapped": []}

# name of the strain: (day, what is changed, the limits it must meet)
STRAINS = {
    "a low current limit": ("estuary", {"motor.current_limit": "8 A"}, {CURRENT_LIMIT}),
    "a small motor wide open": (
        "headland",
        {"motor.thrust": "30 lbf", "motor.max_current": "14 A", "motor.current_limit": "60 A"},
        {FULL_THROTTLE},
    ),
    "a motor that lets go early": (
        "headland",
        {"motor.lowest_voltage": "39.4 V"},
        {DROP_OUT},
    ),
    "a bank cut off early": (
        "headland",
        EVEN | {"bank.cutoff_voltage": "13.16 V"},
        {CUT_OFF},
    ),
    "a bank too small": ("headland", EVEN | {"bank.capacity": "40 Ah"}, {CUT_OFF}),
    "a gale": ("headland", EVEN | {"wind.hour": gale()}, {FULL_THROTTLE, CUT_OFF}),
    "a house that takes more than the cut-off leaves": (
        "headland",
        EVEN | {"bank.house_load": "250 W", "bank.cutoff_voltage": "13.2 V"},
        {CUT_OFF},
    ),
    "steps and a low current limit": (
        "lake",
        {"motor.current_limit": "5 A"},
        {CURRENT_LIMIT},
    ),
    "steps wide open": (
        "lake",
        {
            "motor.thrust": "5 lbf",
            "motor.max_current": "5 A",
            "motor.propeller_diameter": "9 in",
            "motor.current_limit": "30 A",
        },
        {FULL_THROTTLE},
    ),
    "steps that let go early": ("lake", {"motor.lowest_voltage": "12.2 V"}, {DROP_OUT}),
    "steps cut off early": ("lake", {"bank.cutoff_voltage": "12.2 V"}, {CUT_OFF}),
    "cold water and two strings": (
        "lake",
        {"day.water_temperature": "38 degF", "bank.parallel": 2},
        set(),
    ),
    "wind against a strong stream": (
        "estuary",
        {"stream.flood_toward": "150 deg", "stream.ebb_toward": "330 deg"},
        set(),
    ),
    "wind against a weak stream": (
        "estuary",
        {
            "stream.flood_toward": "140 deg",
            "stream.ebb_toward": "325 deg",
            "stream.scale": 0.6,
        },
        set(),
    ),
    "a drift held down by the motor": (
        "headland",
        {"wind.hour": steady("12 kn", "NE"), "leg[5].drift_speed": "0.3 kn"},
        set(),
    ),
    "a circuit that starves the charger": ("estuary", {"charger.circuit": "150 W"}, set()),
    "a drift left to itself": ("lake", {"leg[3].drift_speed": "5 kn"}, set()),
    "a creep through the water": ("headland", {"leg[3].over": "water"}, set()),
    "another propeller, fouled": (
        "headland",
        {
            "motor.fouling": 0.2,
            "motor.pitch_ratio": 0.7,
            "motor.thrust_deduction": 0.0,
            "motor.blades": 2,
        },
        set(),
    ),
    "a bank without memory": ("estuary", {"bank.memory": "0 s"}, set()),
    "a calm": ("lake", {"wind.speed": "0 kn", "wind.gust": "1 kn"}, set()),
    "a wind read in the hand": ("lake", {"wind.height": "2 m"}, set()),
    "a fetch in the deep, and a short shaft": (
        "estuary",
        {"chop": {"fetch": "3 km", "depth": None}, "motor.shaft_length": "44 in"},
        set(),
    ),
    "a shoal under the keel": ("estuary", {"chop.depth": "2 ft"}, set()),
    "open water without end": (
        "lake",
        {"chop": {"fetch": "150 km", "depth": None}, "wind.speed": "4 kn", "wind.gust": "7 kn"},
        set(),
    ),
    "reaches across north in the deep, and a long shaft": (
        "headland",
        {
            "chop": {
                "depth": None,
                "reach": [
                    {"from": "350 deg", "length": "9 km"},
                    {"from": "200 deg", "length": "2 km"},
                    {"from": "100 deg", "length": "700 m"},
                ],
            },
            "motor.shaft_length": "72 in",
            "wind.hour": steady("14 kn", "N"),
        },
        set(),
    ),
    "one reach, a short shaft on a high bow": (
        "headland",
        {
            "chop.reach": [{"from": "W", "length": "3 nmi"}],
            "motor.shaft_length": "54 in",
            "boat.bow_height": "34 in",
        },
        set(),
    ),
    "a shaft too short for a jon boat": ("lake", {"motor.shaft_length": "34 in"}, set()),
    "a shaft in flat water": ("headland", {"chop": None}, set()),
    "the bow kept to the wind": ("headland", {"leg[2].heading": "wind"}, set()),
    "the bow kept to the stream": (
        "estuary",
        {"leg[2].heading": "stream", "leg[5].heading": "stream"},
        set(),
    ),
    "the bow kept to a bearing": (
        "estuary",
        {"leg[2].heading": "135 deg", "leg[5].heading": "350 deg"},
        set(),
    ),
    "bursts of a chopper, half the time": (
        "estuary",
        {
            "leg[2].style": "burst",
            "leg[2].duty": 0.7,
            "leg[5].style": "burst",
        },
        set(),
    ),
    "bursts too short for a small motor": (
        "lake",
        {
            "leg[2].duty": 0.1,
            "leg[5].style": "burst",
            "leg[5].duty": 0.05,
            "motor.thrust": "14 lbf",
            "motor.max_current": "14 A",
            "motor.propeller_diameter": "9 in",
        },
        set(),
    ),
    "bursts held down by a current limit": (
        "estuary",
        {"leg[2].style": "burst", "leg[2].duty": 0.2, "motor.current_limit": "12 A"},
        set(),
    ),
    "gusts off the land, none forecast": (
        "lake",
        {"wind.gust": None, "wind.exposure": "off-land"},
        set(),
    ),
    "steady air far out": (
        "estuary",
        {"wind.exposure": "at-sea"},
        set(),
    ),
    "squalls": ("lake", {"wind.gust": "30 kn", "motor.thrust": "30 lbf"}, set()),
    "wind against stream, held in gusts": (
        "estuary",
        {
            "stream.flood_toward": "140 deg",
            "stream.ebb_toward": "325 deg",
            "wind.exposure": "in-land",
        },
        set(),
    ),
    "a short shaft in a blow, on another hull": (
        "lake",
        {
            "boat.hull": "skiff",
            "motor.shaft_length": "30 in",
            "wind.speed": "16 kn",
            "wind.gust": "28 kn",
        },
        {CUT_OFF},
    ),
    "a drift stopped dead in gusts": (
        "headland",
        {"leg[5].drift_speed": "0 kn"},
        set(),
    ),
    "two wells through a strained day": ("headland", {"bank.law": "kinetic"}, set()),
    "Peukert's law through the same lake": ("lake", {"bank.law": "peukert"}, set()),
    "two wells run empty": (
        "headland",
        EVEN | {"bank.law": "kinetic", "bank.capacity": "40 Ah", "bank.cutoff_voltage": "6 V"},
        {DROP_OUT},
    ),
    "a weak block in the string": (
        "estuary",
        {"bank.block": [{"string": 1, "number": 2, "capacity_fraction": 0.8}]},
        set(),
    ),
    "a load tapped off one block": (
        "estuary",
        {"bank.tapped": [{"name": "heading sensor", "load": "12 W", "number": 2}]},
        set(),
    ),
    "strings of unlike age and charge": (
        "estuary",
        {
            "bank.parallel": 2,
            "bank.block": [
                {"string": 1, "number": 1, "capacity_fraction": 0.7},
                {"string": 2, "number": 1, "start_soc": 0.6},
                {"string": 2, "number": 2, "start_soc": 0.6},
            ],
        },
        set(),
    ),
    "a string that gives up at noon": (
        "estuary",
        {
            "bank.parallel": 2,
            "bank.cutoff_voltage": "8 V",
            "bank.block": [{"string": 2, "number": 2, "capacity_fraction": 0.12}],
            "bank.tapped": [{"name": "pump", "load": "20 W", "string": 2, "number": 2}],
        },
        set(),
    ),
    "a gale, and a block that is tapped": (
        "headland",
        {"wind.hour": gale()},
        {FULL_THROTTLE},
    ),
    "a board that opens": (
        "headland",
        {
            "bank.block": [{"number": 3, "capacity_fraction": 0.6, "resistance": "60 mohm"}],
            "bank.cutoff_voltage": "11.8 V",
        },
        set(),
    ),
    "a block in the sun": (
        "estuary",
        {"bank.block": [{"number": 1, "temperature": "30 degC"}], "bank.temperature": "5 degC"},
        set(),
    ),
}
