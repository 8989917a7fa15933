"""Names and places of everything that goes into and comes out of the night model.

Arrays are used, so that the model runs over thousands of members; these names are the only way to fill and read them.
Each name in `PARAM_NAMES` is the heading of a number in the knowledge file `frost.toml`, but for those in
`SOIL_NAMES`, which stand under the kind of soil in `frost_soil.toml`.
"""

from __future__ import annotations

from barkslip.kernels.soil import N_LAYERS

# -- parameters of a member --------------------------------------------------------------------------------

#: name -> unit of the number in the knowledge base, in the order of the columns of `params`; a column holds the SI
#: value, that is the number times the factor in `PARAM_FACTORS`, 1 if it is not there
PARAM_UNITS = {
    # sky and air
    "sky_prata_share": "1",
    "sky_emissivity_error": "1",
    "surroundings_above_air": "K",
    "wind_site_factor": "1",
    "wind_min": "m/s",
    "wind_inside": "m/s",
    "enhancement": "1",
    "crown_exchange": "1",
    # tree
    "tree_height": "m",
    "tree_width": "m",
    "leaf_area_index": "1",
    "leaf_exposed_share": "1",
    "leaf_width": "m",
    "leaf_heat": "J/(m² K)",
    "leaf_emissivity": "1",
    "leaf_sky_view": "1",
    "leaf_ground_view": "1",
    "inner_sky_view": "1",
    "inner_horizon_view": "1",
    "inner_ground_view": "1",
    "twig_diameter": "m",
    "twig_length": "m",
    "twig_sky_view": "1",
    "twig_horizon_view": "1",
    "twig_ground_view": "1",
    "trunk_diameter": "m",
    "trunk_height": "m",
    "trunk_bark_share": "1",
    "trunk_sky_view": "1",
    "trunk_horizon_view": "1",
    "trunk_ground_view": "1",
    "wood_density": "kg/m³",
    "wood_heat": "J/(kg K)",
    "wood_conductivity": "W/(m K)",
    "wood_emissivity": "1",
    "fruit_radius": "m",
    "fruit_count": "1",
    "fruit_density": "kg/m³",
    "fruit_heat": "J/(kg K)",
    "fruit_water_share": "1",
    "fruit_freezing": "°C",
    "fruit_conductivity": "W/(m K)",
    "fruit_sky_view": "1",
    "fruit_horizon_view": "1",
    "fruit_ground_view": "1",
    # ground
    "soil_conductivity": "W/(m K)",
    "soil_heat": "MJ/(m³ K)",
    "soil_water": "1",
    "soil_wetness": "1",
    "ground_layer_resistance": "m² K/W",
    "ground_layer_heat": "J/(m² K)",
    "ground_emissivity": "1",
    "ground_sky_view": "1",
    "ground_horizon_view": "1",
    "ground_wind_share": "1",
    # cover, lamps, bucket, water
    "cover_top_sky_view": "1",
    "cover_side_sky_view": "1",
    "cover_gap_flow": "1",
    "wet_film": "g/m²",
    "lamp_on_canopy": "1",
    "lamp_on_cover": "1",
    "bucket_transfer": "W/(m² K)",
    "bucket_radiant_share": "1",
    "bucket_side_area": "m²",
    "bucket_top_area": "m²",
    "water_kept": "1",
    "water_film": "g/m²",
    "water_drain_time": "s",
    "spray_air_share": "1",
    # sun in the morning
    "sun_on_leaf": "1",
    "sun_on_wood": "1",
    "sun_on_ground": "1",
    "sun_on_cover": "1",
}
PARAM_FACTORS = {"soil_heat": 1e6, "wet_film": 1e-3, "water_film": 1e-3}
PARAM_NAMES = tuple(PARAM_UNITS)
N_PARAMS = len(PARAM_NAMES)
(
    P_SKY_PRATA_SHARE,
    P_SKY_EMISSIVITY_ERROR,
    P_SURROUNDINGS_ABOVE_AIR,
    P_WIND_SITE_FACTOR,
    P_WIND_MIN,
    P_WIND_INSIDE,
    P_ENHANCEMENT,
    P_CROWN_EXCHANGE,
    P_TREE_HEIGHT,
    P_TREE_WIDTH,
    P_LEAF_AREA_INDEX,
    P_LEAF_EXPOSED_SHARE,
    P_LEAF_WIDTH,
    P_LEAF_HEAT,
    P_LEAF_EMISSIVITY,
    P_LEAF_SKY_VIEW,
    P_LEAF_GROUND_VIEW,
    P_INNER_SKY_VIEW,
    P_INNER_HORIZON_VIEW,
    P_INNER_GROUND_VIEW,
    P_TWIG_DIAMETER,
    P_TWIG_LENGTH,
    P_TWIG_SKY_VIEW,
    P_TWIG_HORIZON_VIEW,
    P_TWIG_GROUND_VIEW,
    P_TRUNK_DIAMETER,
    P_TRUNK_HEIGHT,
    P_TRUNK_BARK_SHARE,
    P_TRUNK_SKY_VIEW,
    P_TRUNK_HORIZON_VIEW,
    P_TRUNK_GROUND_VIEW,
    P_WOOD_DENSITY,
    P_WOOD_HEAT,
    P_WOOD_CONDUCTIVITY,
    P_WOOD_EMISSIVITY,
    P_FRUIT_RADIUS,
    P_FRUIT_COUNT,
    P_FRUIT_DENSITY,
    P_FRUIT_HEAT,
    P_FRUIT_WATER_SHARE,
    P_FRUIT_FREEZING,
    P_FRUIT_CONDUCTIVITY,
    P_FRUIT_SKY_VIEW,
    P_FRUIT_HORIZON_VIEW,
    P_FRUIT_GROUND_VIEW,
    P_SOIL_CONDUCTIVITY,
    P_SOIL_HEAT,
    P_SOIL_WATER,
    P_SOIL_WETNESS,
    P_GROUND_LAYER_RESISTANCE,
    P_GROUND_LAYER_HEAT,
    P_GROUND_EMISSIVITY,
    P_GROUND_SKY_VIEW,
    P_GROUND_HORIZON_VIEW,
    P_GROUND_WIND_SHARE,
    P_COVER_TOP_SKY_VIEW,
    P_COVER_SIDE_SKY_VIEW,
    P_COVER_GAP_FLOW,
    P_WET_FILM,
    P_LAMP_ON_CANOPY,
    P_LAMP_ON_COVER,
    P_BUCKET_TRANSFER,
    P_BUCKET_RADIANT_SHARE,
    P_BUCKET_SIDE_AREA,
    P_BUCKET_TOP_AREA,
    P_WATER_KEPT,
    P_WATER_FILM,
    P_WATER_DRAIN_TIME,
    P_SPRAY_AIR_SHARE,
    P_SUN_ON_LEAF,
    P_SUN_ON_WOOD,
    P_SUN_ON_GROUND,
    P_SUN_ON_COVER,
) = range(N_PARAMS)

#: parameters that come from the kind of soil: name -> field in `frost_soil.toml`
SOIL_NAMES = {"soil_conductivity": "conductivity", "soil_heat": "heat", "soil_water": "water"}
#: parameters given by the grower's tree where they are known
TREE_NAMES = ("tree_height", "tree_width", "trunk_diameter", "trunk_height", "fruit_radius", "fruit_count")
#: parameters drawn on a logarithmic scale
DRAWN_LOG = ("wind_inside", "soil_conductivity", "ground_layer_resistance")
#: parameters whose low and high are one standard deviation of a normal distribution
DRAWN_NORMAL = ("sky_emissivity_error",)

# -- measures ----------------------------------------------------------------------------------------------

#: name -> unit of the columns of `measures`. All zero is the bare tree; times are seconds after the first row.
MEASURE_UNITS = {
    "cover": "1",  # 1 if there is one
    "cover_on": "s",
    "cover_off": "s",  # 0: stays on
    "cover_height": "m",
    "cover_width": "m",
    "cover_skirt": "m",  # how far the foot stands out beyond the width, on each side
    "cover_gap": "m",  # open height above the ground, 0 if it reaches it
    "cover_tau": "1",
    "cover_tau_wet": "1",
    "cover_tau_sun": "1",
    "cover_eps_out": "1",
    "cover_eps_out_wet": "1",
    "cover_eps_in": "1",
    "cover_resistance": "m² K/W",
    "cover_heat": "J/(m² K)",
    "cover_leak": "1/h",
    "cover_leak_wind": "1/h per m/s",
    "lamp_power": "W",
    "lamp_radiant": "1",
    "lamp_on": "s",
    "lamp_off": "s",  # 0: stays on
    "bucket_count": "1",
    "bucket_litres": "L",
    "bucket_temp": "°C",
    "bucket_lid": "1",
    "bucket_placed": "s",
    "bucket_refill": "s",  # renewed each so many seconds, 0: never
    "water_rate": "kg/s",
    "water_temp": "°C",
    "water_area": "m²",
    "water_spray": "1",  # 0 dripped, 1 sprayed
    "water_on": "s",
    "water_off": "s",
    "wrap_resistance": "m² K/W",
    "wrap_heat": "J/(m² K)",
    "wrap_to_ground": "W/(m² K)",
    "soil_changed": "1",  # 1: the five that follow stand in for those of the parameters
    "soil_conductivity": "W/(m K)",
    "soil_heat": "J/(m³ K)",
    "soil_water": "1",
    "soil_wetness": "1",
    "ground_layer_resistance": "m² K/W",
}
MEASURE_NAMES = tuple(MEASURE_UNITS)
N_MEASURES = len(MEASURE_NAMES)
(
    M_COVER,
    M_COVER_ON,
    M_COVER_OFF,
    M_COVER_HEIGHT,
    M_COVER_WIDTH,
    M_COVER_SKIRT,
    M_COVER_GAP,
    M_COVER_TAU,
    M_COVER_TAU_WET,
    M_COVER_TAU_SUN,
    M_COVER_EPS_OUT,
    M_COVER_EPS_OUT_WET,
    M_COVER_EPS_IN,
    M_COVER_RESISTANCE,
    M_COVER_HEAT,
    M_COVER_LEAK,
    M_COVER_LEAK_WIND,
    M_LAMP_POWER,
    M_LAMP_RADIANT,
    M_LAMP_ON,
    M_LAMP_OFF,
    M_BUCKET_COUNT,
    M_BUCKET_LITRES,
    M_BUCKET_TEMP,
    M_BUCKET_LID,
    M_BUCKET_PLACED,
    M_BUCKET_REFILL,
    M_WATER_RATE,
    M_WATER_TEMP,
    M_WATER_AREA,
    M_WATER_SPRAY,
    M_WATER_ON,
    M_WATER_OFF,
    M_WRAP_RESISTANCE,
    M_WRAP_HEAT,
    M_WRAP_TO_GROUND,
    M_SOIL_CHANGED,
    M_SOIL_CONDUCTIVITY,
    M_SOIL_HEAT,
    M_SOIL_WATER,
    M_SOIL_WETNESS,
    M_GROUND_LAYER_RESISTANCE,
) = range(N_MEASURES)

# -- states, in and out ------------------------------------------------------------------------------------

#: name -> unit of what the model returns for each time. The first `N_NODES` are temperatures.
STATE_UNITS = {
    "leaf_exposed": "°C",
    "leaf_inner": "°C",
    "twig": "°C",
    "bark": "°C",
    "core": "°C",
    "fruit": "°C",
    "air_inside": "°C",
    "cover_inside": "°C",
    "cover_outside": "°C",
    "ground": "°C",
    **{f"soil_{i + 1}": "°C" for i in range(N_LAYERS)},
    "bucket": "°C",
    "wet_ground": "°C",
    "air": "°C",
    "fruit_ice": "1",
    "bucket_ice": "1",
    "ground_ice": "kg",
    "leaf_dew": "kg/m²",
    "budget_error": "1",
}
STATE_NAMES = tuple(STATE_UNITS)
N_STATES = len(STATE_NAMES)
N_NODES = 10 + N_LAYERS + 2
(
    IX_LEAF_EXPOSED,
    IX_LEAF_INNER,
    IX_TWIG,
    IX_BARK,
    IX_CORE,
    IX_FRUIT,
    IX_AIR_INSIDE,
    IX_COVER_INSIDE,
    IX_COVER_OUTSIDE,
    IX_GROUND,
) = range(10)
IX_SOIL = 10
(
    IX_BUCKET,
    IX_WET_GROUND,
    IX_AIR,
    IX_FRUIT_ICE,
    IX_BUCKET_ICE,
    IX_GROUND_ICE,
    IX_LEAF_DEW,
    IX_BUDGET_ERROR,
) = range(IX_SOIL + N_LAYERS, N_STATES)
#: organs whose harm is judged
ORGANS = (IX_LEAF_EXPOSED, IX_LEAF_INNER, IX_TWIG, IX_BARK, IX_FRUIT)
