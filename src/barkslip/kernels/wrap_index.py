"""Names and places of everything that goes into and comes out of the model of a wrapped graft.

Arrays are used, so that the model runs over thousands of members; these names are the only way to fill and read them.
"""

from __future__ import annotations

# -- air and sun of the hours, shared by all members ---------------------------------------------------------

#: name -> unit of the columns of `hours`
HOUR_UNITS = {
    "air": "°C",
    "vapour": "Pa",
    "wind": "m/s",
    "sky": "1",  # emissivity of the clear sky
    "cloud_factor": "1",
    "beam_front": "W/m²",  # across the upright axis, while the sun is on the graft's side of the tree
    "beam_behind": "W/m²",  # while it is behind
    "diffuse": "W/m²",  # on the level
    "level": "W/m²",  # direct and diffuse on the level
}
N_HOUR = len(HOUR_UNITS)
(F_AIR, F_VAPOUR, F_WIND, F_SKY, F_CLOUD_FACTOR, F_BEAM_FRONT, F_BEAM_BEHIND, F_DIFFUSE, F_LEVEL) = range(N_HOUR)

# -- parameters of a member ----------------------------------------------------------------------------------

#: name -> unit of the columns of `params`
PARAM_UNITS = {
    # air, sky, sun
    "air_error": "K",
    "wind_factor": "1",
    "wind_min": "m/s",
    "enhancement": "1",
    "sky_error": "1",
    "sky_view": "1",
    "surroundings_above_air": "K",
    "surroundings_sun": "K per 1000 W/m²",
    "ground_reflects": "1",
    "behind": "1",
    "sun_share": "1",
    # scion
    "scion_d": "m",
    "scion_length": "m",
    "scion_alpha": "1",
    "scion_eps": "1",
    "scion_heat": "J/(m³ K)",
    "scion_k": "W/(m K)",
    "scion_along": "W/(m K)",
    "bud_height": "m",
    # limb
    "limb_d": "m",
    "limb_alpha": "1",
    "limb_eps": "1",
    # cover
    "holds_air": "1",
    "cover_d": "m",
    "cover_length": "m",
    "cover_alpha": "1",
    "cover_tau": "1",
    "cover_beam": "1",  # share of the light let through that still comes from one side
    "cover_eps_out": "1",
    "cover_eps_in": "1",
    "cover_tau_long": "1",
    "cover_r": "m² K/W",
    "vent": "W/K",
    "wind_inside": "m/s",
    "contact_g": "W/(m² K)",  # over the contact share, per area of the whole scion; 0: not touching
    "contact_rise": "1",
    # water
    "bark_g": "mol/(m² s)",
    "bark_hot_share": "1",  # conductance at 50 °C over that at 20 °C
    "leaky_factor": "1",
    "leaky_line": "°C",
    "sustained_line": "°C",  # degree-minutes are counted above this and above the line before
    "film_g": "mol/(m² s)",  # 0: no film
    "open_share": "1",
    "cut_g": "mol/(m² s)",  # of the open end, per area of bark
    "water": "kg/m²",  # water of the scion per area of bark
    # heat dose
    "dose_enthalpy": "J/mol",
    "dose_entropy": "J/(mol K)",
    "dose_shift": "K",
    "dose_repair": "1/s",
}
PARAM_NAMES = tuple(PARAM_UNITS)
N_PARAMS = len(PARAM_NAMES)
(
    P_AIR_ERROR,
    P_WIND_FACTOR,
    P_WIND_MIN,
    P_ENHANCEMENT,
    P_SKY_ERROR,
    P_SKY_VIEW,
    P_SURROUNDINGS_ABOVE_AIR,
    P_SURROUNDINGS_SUN,
    P_GROUND_REFLECTS,
    P_BEHIND,
    P_SUN_SHARE,
    P_SCION_D,
    P_SCION_LENGTH,
    P_SCION_ALPHA,
    P_SCION_EPS,
    P_SCION_HEAT,
    P_SCION_K,
    P_SCION_ALONG,
    P_BUD_HEIGHT,
    P_LIMB_D,
    P_LIMB_ALPHA,
    P_LIMB_EPS,
    P_HOLDS_AIR,
    P_COVER_D,
    P_COVER_LENGTH,
    P_COVER_ALPHA,
    P_COVER_TAU,
    P_COVER_BEAM,
    P_COVER_EPS_OUT,
    P_COVER_EPS_IN,
    P_COVER_TAU_LONG,
    P_COVER_R,
    P_VENT,
    P_WIND_INSIDE,
    P_CONTACT_G,
    P_CONTACT_RISE,
    P_BARK_G,
    P_BARK_HOT_SHARE,
    P_LEAKY_FACTOR,
    P_LEAKY_LINE,
    P_SUSTAINED_LINE,
    P_FILM_G,
    P_OPEN_SHARE,
    P_CUT_G,
    P_WATER,
    P_DOSE_ENTHALPY,
    P_DOSE_ENTROPY,
    P_DOSE_SHIFT,
    P_DOSE_REPAIR,
) = range(N_PARAMS)

# -- out -----------------------------------------------------------------------------------------------------

#: name -> unit of what the model returns: temperatures at the hour; loss, dose and degree-minutes over the hour that
#: begins with it, peaks within that hour
OUT_UNITS = {
    "union": "°C",
    "scion": "°C",
    "strip": "°C",
    "air_inside": "°C",
    "cover": "°C",
    "loss": "1",
    "dose": "1",
    "over_38": "K min",
    "over_44": "K min",
}
N_OUT = len(OUT_UNITS)
(O_UNION, O_SCION, O_STRIP, O_AIR_INSIDE, O_COVER, O_LOSS, O_DOSE, O_OVER_38, O_OVER_44) = range(N_OUT)
