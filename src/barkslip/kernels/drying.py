"""Water that a cut scion loses through bark, film, seams and its cut end.

Conductances [mol/m2s] by area of bark; E = g (e_s - e) / P, mass by the mole of water. Eq. W1 to W4.
"""

from __future__ import annotations

from numba import njit

from barkslip.kernels.constants import PRESSURE_STD

#: mole of water [kg/mol]
MOLE_WATER = 0.01801528
#: between these the bark's conductance falls [°C]; heal.S47
COOL_C, HOT_C = 20.0, 50.0


@njit(cache=True, nogil=True, error_model="numpy")
def bark_at(bark_g: float, hot_share: float, temp_c: float) -> float:
    """Conductance of bark at a temperature: as given up to 20 °C, `hot_share` of it from 50 °C, straight between.

    Eq. W1.
    """
    x = min(1.0, max(0.0, (temp_c - COOL_C) / (HOT_C - COOL_C)))
    return bark_g * (1.0 + (hot_share - 1.0) * x)


@njit(cache=True, nogil=True, error_model="numpy")
def whole(bark_g: float, film_g: float, open_share: float, cut_g: float) -> float:
    """Conductance of bark and film in series, open seams and the open end beside them; `film_g` 0: no film. Eq. W2."""
    if film_g <= 0.0:
        return bark_g + cut_g
    wrapped = bark_g * film_g / (bark_g + film_g)
    return wrapped + open_share * (bark_g - wrapped + cut_g)


@njit(cache=True, nogil=True, error_model="numpy")
def lost_kg_m2_s(conductance: float, deficit_pa: float) -> float:
    """Loss [kg/m2s] of a conductance [mol/m2s] at a deficit of vapour pressure [Pa]; nothing is gained. Eq. W3."""
    return conductance * max(0.0, deficit_pa) / PRESSURE_STD * MOLE_WATER
