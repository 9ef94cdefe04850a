"""
The standards the checks rest on, each with its edition, and how its text came to us.

Federal rules were read in the public code, which has no editions. ABYC, ISO, IEC and NFPA texts
are sold, not public: what is used of them came through excerpts, transcriptions and
paraphrases, or from memory, and each entry says which.

Depends on: nothing.
"""

from typing import Final

SIZE: Final = "ABYC E-11 (2008) formula and areas, as transcribed; 33 CFR 183.425 Table 5"
DROP: Final = "copper by IEC 60287; classes of ABYC E-11 (2008), as quoted; 5 % common practice"
AMPACITY: Final = (
    "33 CFR 183.425 Table 5; bundles by ABYC E-11 (2008) Table VI-B, as transcribed"
)
CONDUCTOR: Final = "33 CFR 183.425; tinning: common practice, no source"
OVERCURRENT: Final = "33 CFR 183.455(c); to pass only within 100 % is our choice"
BREAKER: Final = "33 CFR 183.455(a); ABYC E-11 and ISO 13297 ask for the same"
BREAKER_LOAD: Final = "common practice, no source; ABYC E-11 and ISO 13297 ask for a device"
BREAKER_VOLTAGE: Final = (
    "33 CFR 183.455(d) for nominal voltage; charging voltage instead: common practice"
)
BREAKER_PLACE: Final = "33 CFR 183.455(b); 72 in: ABYC E-11, second-hand, edition not told"
INTERRUPTING: Final = "ABYC E-11 (2008) Table V-A, from memory; lithium: common practice"
STRINGS: Final = "common practice; basis in ABYC E-11 and ISO 13297 from memory"
PLUG: Final = "common practice; ABYC E-11 and ISO 13297 from memory"
VENT: Final = "EN 50272-3:2002 (IEC 62485-3), vented cells at 2.4 V, as quoted"
VENT_SEALED: Final = "EN 50272-3:2002 (IEC 62485-3), sealed cells at 2.4 V, from memory"
SHUT: Final = "Faraday's law; 4 % of EN 50272-2:2001, as quoted"
LITHIUM_GAS: Final = "ISO 23625:2025, as summarised in public"
RESTRAINT: Final = "33 CFR 183.420(a); ABYC E-10 the same, as paraphrased, edition not told"
FUEL: Final = "33 CFR 183.420(c) to (e), 183.410; ISO 13297 from memory"
CHARGER_PLACE: Final = "ABYC E-10 and A-31, from memory, edition not told"
CIRCUIT: Final = (
    "NEC 210.20(A), edition not told, as quoted: four fifths of a circuit for hours"
)
CORD: Final = "NEC 400-5, edition not told, as quoted; power factor, 5 %: common practice"
SHAFT: Final = "common practice, no source"
