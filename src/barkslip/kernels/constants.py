"""Constants of physics, water and air. SI; derived ones are derived.

Air is taken at 0 °C and the standard pressure: over a frost night its properties change by some per cent, which is
far inside the range of the convection coefficients.
"""

from __future__ import annotations

#: what the compiler may do with sums and quotients of the night model; not that NaN never comes, for it marks what is
#: not there
FAST = {"contract", "arcp", "nsz", "reassoc"}

#: Stefan-Boltzmann constant [W/m2K4], rounded as in the check values
STEFAN_BOLTZMANN = 5.670e-8
#: 0 °C [K]
ZERO_C = 273.15
#: standard gravity [m/s2]
GRAVITY = 9.80665
#: standard pressure [Pa]
PRESSURE_STD = 101325.0
#: gas constant of water vapour [J/kgK]: 8.314462618 / 0.01801528
R_VAPOUR = 8.314462618 / 0.01801528
#: mass of water vapour over mass of dry air, per mole
VAPOUR_RATIO = 0.621945

#: heat of vaporisation of water at 0 °C [J/kg] (frost.fao-2005 p. 65)
LATENT_VAPORISATION = 2.501e6
#: heat of fusion of ice [J/kg] (frost.fao-2005 p. 65)
LATENT_FUSION = 0.334e6
#: heat of sublimation of ice [J/kg]
LATENT_SUBLIMATION = LATENT_VAPORISATION + LATENT_FUSION
#: heat capacity of liquid water [J/kgK]
HEAT_WATER = 4186.0
#: heat capacity of ice [J/kgK]
HEAT_ICE = 2100.0
#: density of water [kg/m3]
DENSITY_WATER = 1000.0

#: volumetric heat capacity of air at 0 °C [J/m3K]
AIR_HEAT = 1297.0
#: kinematic viscosity of air at 0 °C [m2/s]
AIR_VISCOSITY = 1.33e-5
#: thermal diffusivity of air at 0 °C [m2/s]
AIR_DIFFUSIVITY = 1.89e-5
#: thermal conductivity of air at 0 °C [W/mK]
AIR_CONDUCTIVITY = 0.0241
#: Prandtl number of air
PRANDTL = AIR_VISCOSITY / AIR_DIFFUSIVITY
#: transfer of vapour relative to that of heat, (diffusivity of heat / of vapour)^(-2/3) for air near 0 °C
LEWIS_FACTOR = 0.93
