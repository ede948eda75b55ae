"""Physical constants used everywhere, stated once.

The exact values are those of the SI of 2019 (CODATA 2018/2022); the copper values are those of IEC 60028.
"""

from math import pi

VACUUM_PERMEABILITY = 1.25663706127e-6
"""Magnetic constant [H/m], CODATA 2022 (4 pi 1e-7 to within 2e-10)."""

SPEED_OF_LIGHT = 299_792_458.0
"""Speed of light in vacuum [m/s], exact."""

VACUUM_PERMITTIVITY = 1.0 / (VACUUM_PERMEABILITY * SPEED_OF_LIGHT**2)
"""Electric constant [F/m]."""

WAVE_IMPEDANCE = VACUUM_PERMEABILITY * SPEED_OF_LIGHT
"""Impedance of free space [ohm]."""

BOLTZMANN = 1.380649e-23
"""Boltzmann constant [J/K], exact."""

ELEMENTARY_CHARGE = 1.602176634e-19
"""Elementary charge [C], exact."""

COPPER_RESISTIVITY = 1.0 / 58e6
"""Resistivity of annealed copper at 20 degC [ohm m], IEC 60028."""

COPPER_TEMPERATURE_COEFFICIENT = 0.00393
"""Rise of copper's resistance per kelvin, referred to 20 degC [1/K], IEC 60028."""

COPPER_DENSITY = 8890.0
"""Density of annealed copper at 20 degC [kg/m3], IEC 60028."""

TWO_PI = 2.0 * pi
