"""
Constants of nature and of definition, each with its source.

Depends on: nothing.
"""

from typing import Final

GRAVITY_MPS2: Final = 9.80665
"""Standard gravity (BIPM, SI brochure, 3rd CGPM 1901). [m/s^2]"""

KNOT_MPS: Final = 1852.0 / 3600.0
"""One international nautical mile an hour (SI brochure, table of non-SI units). [m/s]"""

ZERO_CELSIUS_K: Final = 273.15
"""The Celsius zero (SI brochure). [K]"""

DRY_AIR_GAS_CONSTANT_JPKGK: Final = 287.05
"""Specific gas constant of dry air (US Standard Atmosphere 1976, from memory). [J/(kg K)]"""

STANDARD_PRESSURE_PA: Final = 101325.0
"""One standard atmosphere (SI brochure). [Pa]"""

VON_KARMAN: Final = 0.4
"""Von Karman's constant, the value used with the neutral drag law in `physics.wind`. [1]"""
