"""Exposure: what a bench lets through of the place's weather, and by what."""

from collections.abc import Mapping
from dataclasses import dataclass

from arbuscula.kinds.values import Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Glazing:
    """Panes or plastics between the sky and a bench."""

    names: tuple[str, ...] = ()  # as people call it
    panes_n: int  # sheets, one behind the other
    visible_frac: Value  # of light that leaves use, straight on
    solar_frac: Value  # of the sun's whole energy, straight on
    loss_w_m2_k: Value  # of warmth, from air to air


@dataclass(frozen=True, slots=True, kw_only=True)
class LightFigures:
    """How far light that was computed may be off, and one that was metered."""

    computed_ratio: Value
    metered_ratio: Value
    meter_ln: Value  # how far a light meter may be off, one standard deviation
    moment_ln: Value  # and a moment at one leaf from the hour on the bench
    unnamed_umol_lux_s_m2: Value  # what a lux is worth of a light without a name
    too_dark_umol_m2_s: Value  # to compare a reading with
    ground_albedo_frac: Value
    under_roof_frac: Value  # of the rain, under an overhang


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowFigures:
    """A window of which little was said, and the room behind it."""

    glazing: str
    width_cm: Value
    height_cm: Value
    distance_cm: Value
    sill_cm: Value
    crown_height_cm: Value  # of its middle, over where the pot stands
    crown_half_cm: Value
    clean_frac: Value  # of the light, past dirt and frame
    opposite_ratio: Value  # brightness of a wall opposite, over the sky's
    room_surface_m2: Value
    room_reflected_frac: Value
    inside_w_m2_k: Value  # from the room to the pane
    near_frac: Value  # of the pane's warmth, in the air that touches it
    near_cm: Value  # over which this falls to a third


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomFigures:
    """A room of which little was said."""

    winter_c: Value
    summer_c: Value
    winter_below_c: Value  # mean of the day outside
    summer_above_c: Value
    own_vapour_kpa: Value  # of people and plants, in winter
    own_until_c: Value  # outside: windows stand open
    crown_wind_m_s: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class LampFigures:
    """A lamp of which little was said."""

    lit_h: Value
    lit_from_h: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class VentFigures:
    """What one way of airing does."""

    changes_per_h: Value  # of the house's air
    crown_wind_m_s: Value
    turbulence_ratio: Value  # over a smooth plate in a wind tunnel


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseFigures:
    """A glasshouse or a cold frame of which little was said."""

    cover: str
    cover_ratio: Value  # over the floor
    height_m: Value
    light_frac: Value  # past frame and dirt
    roof_frac: Value  # of the cover, that looks at the sky
    outside_w_m2_k: Value  # from the cover to air and sky
    latent_frac: Value  # of the sun inside, that goes into vapour
    store_w_m2_k: Value
    screen_ratio: Value  # loss under a drawn screen, over that without
    vent_at_c: Value
    closed: VentFigures
    vents: VentFigures
    fan: VentFigures


@dataclass(frozen=True, slots=True, kw_only=True)
class WallFigures:
    """What share of the sun a pot's walls take up, by their colour."""

    dark_frac: Value
    medium_frac: Value
    light_frac: Value
    unknown_frac: Value  # nobody told the colour


@dataclass(frozen=True, slots=True, kw_only=True)
class PotFigures:
    """How a pot takes up heat."""

    absorbed: WallFigures
    soil_absorbed_frac: Value
    walls_lit_frac: Value  # neighbours shade the others
    below_crown_frac: Value  # of the sun, that reaches the soil
    water_frac: Value  # of the ball's volume, once watered
    dry_heat_j_cm3_k: Value
    conductivity_w_m_k: Value
    wind_ratio: Value  # at the pot, over that at the crown
    floor_w_m2_k: Value  # from a pot's foot into what it stands on
    concrete_absorbed_frac: Value
    concrete_outside_w_m2_k: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class RootLines:
    """How warm a root ball may become."""

    warn_above_c: Value
    damage_above_c: Value
    lasts_h: Value  # before it counts


@dataclass(frozen=True, slots=True, kw_only=True)
class LightLines:
    """How little light a fig lives by, and by how little it is watered by hand."""

    by_hand_below_mol_m2_d: Value
    dies_below_mol_m2_d: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchFigures:
    """The numbers behind benches, from `benches.toml`."""

    light: LightFigures
    window: WindowFigures
    room: RoomFigures
    lamp: LampFigures
    glasshouse: HouseFigures
    cold_frame: HouseFigures
    pot: PotFigures
    roots: RootLines
    fig: LightLines


@dataclass(frozen=True, slots=True, kw_only=True)
class Built:
    """What panes and walls are made of, wherever a bench stands."""

    glazings: Mapping[str, Glazing]
    figures: BenchFigures


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelter:
    """What one exposure makes of the weather outside, until it is measured."""

    light_frac: Value
    rain_frac: Value
    wind_ratio: Value
    sky_seen_frac: Value  # longwave to the open sky
    outside_frac: Value  # of the air's warmth; the rest is the room's
    room_c: Value
    own_vapour_kpa: Value  # of people, plants and wet floors
    outdoors: bool  # trees here feel tonight's cold
    built: Built | None = None  # None: shares are all that is known
