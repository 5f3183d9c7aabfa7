"""Nursery: Stone Stair as it began. A place, trees and work that nobody ever saw."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

YARD: Final = "Stone Stair"
TOWN: Final = "Trieste"
TERRACE, TUNNEL, HOUSE = "Terrace", "Netting tunnel", "Glasshouse"
WINDOW, SHELF = "East window", "Lamp shelf"
BENCHES: Final[Mapping[str, Mapping[str, str]]] = {  # in the order of the walk
    TERRACE: {"exposure": "open", "facing_deg": "180", "sky_frac": "0.9"},
    TUNNEL: {"exposure": "shade netting", "shade_frac": "0.4"},
    HOUSE: {"exposure": "glasshouse", "ventilation": "vents", "heat_to_c": "12"},
    WINDOW: {"exposure": "window", "facing_deg": "90", "glazing": "double"},
    SHELF: {"exposure": "lamp", "ppfd_umol_m2_s": "180", "lit_h": "14"},
}
CAPACITY_N: Final = {TERRACE: 30, TUNNEL: 20, HOUSE: 24, WINDOW: 6, SHELF: 6}
BUYERS: Final = ("Protea Windows", "Seven Rains", "Monsoon Figs")  # far away
BUYERS_TOWNS: Final = ("Cape Town", "Bergen", "Kuala Lumpur")
GRITTY, MOIST = "3 pumice, 3 lava, 2 pine-bark", "3 akadama, 2 pumice, 2 pine-bark"
RICH: Final = "2 akadama, 2 pumice, 3 potting-mix"
AIRY: Final = "1 perlite, 1 coir"


@dataclass(frozen=True, slots=True, kw_only=True)
class Began:
    """One plant as it stood when the book was opened."""

    label: str
    species: str
    bench: str
    pot: str
    mix: str
    crown: str
    form: str | None = None  # of a group
    plants_n: int | None = None
    summers_out: bool = False  # carried to the tunnel for the warm months
    note: str = ""


def _tree(
    label: str, species: str, bench: str, pot: str, mix: str, **more: str
) -> Began:
    return Began(
        label=label,
        species=species,
        bench=bench,
        pot=pot,
        mix=mix,
        crown=more.get("crown", "medium"),
        note=more.get("note", ""),
    )


def _fig(label: str, species: str, pot: str, crown: str = "medium") -> Began:
    """Return a fig of the glasshouse, which spends its summers under the nets."""
    return Began(
        label=label,
        species=species,
        bench=HOUSE,
        pot=pot,
        mix=RICH,
        crown=crown,
        summers_out=True,
    )


PLANTS: Final = (
    _tree("J-1", "juniperus-chinensis", TERRACE, "oval 30 cm", GRITTY),
    _tree("J-2", "juniperus-chinensis", TERRACE, "oval 26 cm", GRITTY),
    _tree("J-3", "juniperus-chinensis", TERRACE, "round 15 cm", GRITTY, crown="small"),
    _tree("BP-1", "pinus-thunbergii", TERRACE, "box 30 cm", GRITTY),
    _tree("BP-2", "pinus-thunbergii", TERRACE, "box 25 cm", GRITTY, crown="small"),
    _tree("BP-3", "pinus-thunbergii", TERRACE, "oval 30 cm", GRITTY),
    _tree("Oil-1", "olea-europaea", TERRACE, "round 22 cm", GRITTY, crown="small"),
    _tree("Z-2", "zelkova-serrata", TERRACE, "oval 26 cm", MOIST),
    _tree("Kadota", "ficus-carica", TERRACE, "round 26 cm", MOIST, crown="small",
          note="Two people to lift it."),
    _tree("M-1", "acer-palmatum", TUNNEL, "oval 30 cm", MOIST),
    _tree("M-2", "acer-palmatum", TUNNEL, "oval 23 cm", MOIST, crown="small"),
    _tree("E-1", "ulmus-parvifolia", TUNNEL, "oval 23 cm", MOIST),
    _tree("E-2", "ulmus-parvifolia", TUNNEL, "oval 23 cm", MOIST),
    _tree("E-3", "ulmus-parvifolia", TUNNEL, "round 12 cm", MOIST, crown="small"),
    _tree("Z-1", "zelkova-serrata", TUNNEL, "oval 26 cm", MOIST),
    _tree("Z-3", "zelkova-serrata", TUNNEL, "box 25 cm", MOIST),
    _tree("M-3", "acer-palmatum", TUNNEL, "box 18 cm", MOIST, crown="small"),
    _fig("F-1", "ficus-microcarpa", "oval 30 cm", "large"),
    _fig("F-2", "ficus-microcarpa", "oval 26 cm"),
    _fig("F-3", "ficus-microcarpa", "oval 26 cm"),
    _fig("F-4", "ficus-microcarpa", "oval 23 cm"),
    _fig("F-5", "ficus-microcarpa", "oval 20 cm", "small"),
    _fig("F-6", "ficus-microcarpa", "oval 20 cm", "small"),
    _fig("R-1", "ficus-rubiginosa", "oval 30 cm"),
    _fig("S-1", "ficus-salicaria", "oval 23 cm"),
    _fig("R-2", "ficus-rubiginosa", "box 25 cm"),
    _fig("S-2", "ficus-salicaria", "round 22 cm"),
    _tree("Be-1", "ficus-benjamina", HOUSE, "oval 26 cm", RICH),
    _tree("Be-2", "ficus-benjamina", HOUSE, "oval 23 cm", RICH),
    _tree("Be-3", "ficus-benjamina", HOUSE, "oval 23 cm", RICH),
    _tree("Car-1", "carmona-retusa", WINDOW, "oval 20 cm", RICH, crown="small"),
    _tree("Car-2", "carmona-retusa", WINDOW, "oval 16 cm", RICH, crown="small"),
    _tree("Ser-1", "serissa-japonica", WINDOW, "oval 16 cm", RICH, crown="small"),
    _tree("Por-1", "portulacaria-afra", WINDOW, "round 15 cm", GRITTY, crown="small"),
    _tree("G-1", "ficus-microcarpa-green-island", SHELF, "oval 16 cm", RICH,
          crown="small"),
    _tree("G-2", "ficus-microcarpa-green-island", SHELF, "oval 16 cm", RICH,
          crown="small"),
    _tree("F-7", "ficus-microcarpa", SHELF, "oval 13 cm", RICH, crown="small"),
    Began(label="Tray 1", species="ficus-microcarpa", bench=HOUSE, pot="box 40 cm",
          mix=AIRY, crown="small", form="tray", plants_n=60),
    Began(label="Tray 2", species="ulmus-parvifolia", bench=HOUSE, pot="box 35 cm",
          mix=AIRY, crown="small", form="tray", plants_n=40),
    Began(label="Forest", species="zelkova-serrata", bench=TERRACE, pot="oval 40 cm",
          mix=MOIST, crown="large", form="forest", plants_n=11),
)  # fmt: skip
