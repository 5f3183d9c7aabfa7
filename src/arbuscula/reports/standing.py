"""Standing: a pot as it stands on its bench, and its section, drawn as SVG.

A silhouette says how a tree is kept, about how tall it is and how wide its pot. Only
style sheets tell its state: solid, hatched or outlined.
"""

from dataclasses import dataclass
from hashlib import blake2b
from typing import Final
from xml.etree.ElementTree import Element, SubElement, tostring

from arbuscula.desk.round import PotDrawn
from arbuscula.kinds.pot import Pot

WIDTH, HIGH, BASE = 100.0, 104.0, 101.0  # px; the pot stands on the base
CONIFERS: Final = frozenset({"Juniperus", "Pinus", "Picea", "Larix", "Taxus", "Cedrus"})
TALL: Final = {"small": 54.0, "medium": 67.0, "large": 80.0}  # px
TALLEST_CM: Final = 90.0  # of those that are drawn by their height
PX_OF_MM: Final = 0.2
POT_WIDE: Final = (34.0, 72.0)
POT_DEEP: Final = (10.0, 22.0)
PADS_N: Final = 5
EVEN: Final = 0.5
STICKS_N: Final = 6

MIDDLE, SECTION_HIGH = 110.0, 104.0
SECTION_POT: Final = (176.0, 74.0)  # px of the largest that fits
SECTION_TOP: Final = 18.0
WIDEST_FRAC: Final = 1.1  # of a bottom that is wider than the top
FOOT: Final = 9.0


def silhouette(drawn: PotDrawn) -> str:
    """Return one pot with its tree; style sheets fill it."""
    svg = _svg(WIDTH, HIGH, "silhouette")
    wide, deep = _pot_px(drawn.pot)
    foot = BASE - deep
    room = foot - 4
    tall = min(_tall_px(drawn) * (0.93 + 0.14 * _draw(drawn.tree, PADS_N + 1)), room)
    _trees(svg, drawn, foot, tall)
    left, right, inset = 50 - wide / 2, 50 + wide / 2, wide * 0.07
    outline = f"M{left:.1f},{foot:.1f}H{right:.1f}L{right - inset:.1f},{BASE:.1f}"
    _path(svg, f"{outline}H{left + inset:.1f}Z", "body")
    return tostring(svg, encoding="unicode")


def _pot_px(pot: Pot) -> tuple[float, float]:
    long_mm = pot.length_mm or pot.diameter_mm or POT_WIDE[0] / PX_OF_MM
    wide = min(max(long_mm * PX_OF_MM, POT_WIDE[0]), POT_WIDE[1])
    return wide, min(max(pot.depth_mm * PX_OF_MM, POT_DEEP[0]), POT_DEEP[1])


def _tall_px(drawn: PotDrawn) -> float:
    if drawn.height_cm is None:
        return TALL[drawn.crown]
    share = min(drawn.height_cm / TALLEST_CM, 1.0)
    return TALL["small"] * 0.7 + share * (TALL["large"] * 1.1 - TALL["small"] * 0.7)


def _trees(svg: Element, drawn: PotDrawn, foot: float, tall: float) -> None:
    """Draw what stands in the pot: one tree, a forest, a tray, a tree on rock."""
    match drawn.kept_as:
        case "tray":
            for n in range(STICKS_N):
                _stick(svg, 50 + (n - (STICKS_N - 1) / 2) * 8, foot, tall * 0.34)
        case "forest":
            for n, share in enumerate((0.62, 1.0, 0.74)):
                _crown(svg, drawn, 50 + (n - 1) * 17, foot, tall * share, 0.62)
        case "on rock":
            rock = f"M30,{foot:.1f}l7,-16l11,-5l14,3l9,18Z"
            _path(svg, rock, "body")
            _crown(svg, drawn, 50, foot - 14, tall - 14, 1.0)
        case _:
            _crown(svg, drawn, 50, foot, tall, 1.0)


def _stick(svg: Element, x: float, foot: float, tall: float) -> None:
    _path(svg, f"M{x - 0.8:.1f},{foot:.1f}h1.6V{foot - tall:.1f}h-1.6Z", "wood")
    at = {"cx": f"{x:.1f}", "cy": f"{foot - tall:.1f}", "rx": "4", "ry": "3.4"}
    SubElement(svg, "ellipse", {"class": "body", **at})


def _crown(
    svg: Element, drawn: PotDrawn, x: float, foot: float, tall: float, broad: float
) -> None:
    """Draw a trunk and its pads; those of conifers are narrow and point upward."""
    left, right, bend = x - tall * 0.075, x + tall * 0.085, foot - tall * 0.4
    _path(
        svg,
        f"M{left:.1f},{foot:.1f}Q{x + tall * 0.03:.1f},{bend:.1f} "
        f"{x:.1f},{foot - tall * 0.85:.1f}Q{x + tall * 0.09:.1f},{bend:.1f} "
        f"{right:.1f},{foot:.1f}Z",
        "wood",
    )
    is_conifer = drawn.latin.partition(" ")[0] in CONIFERS
    first = 1 if _draw(drawn.tree, PADS_N) < EVEN else -1
    for n in range(PADS_N):
        up = n / (PADS_N - 1)
        side = first if n % 2 else -first
        wide = tall * broad * (0.42 - 0.25 * up) * (0.84 + 0.32 * _draw(drawn.tree, n))
        middle = x + side * tall * broad * (0.13 - 0.11 * up)
        high = foot - tall * (0.34 + 0.56 * up)
        if is_conifer:
            _flame(svg, middle, high, wide * 0.86, tall * 0.2)
        else:
            at = {"cx": f"{middle:.1f}", "cy": f"{high:.1f}"}
            size = {"rx": f"{wide:.1f}", "ry": f"{tall * 0.105:.1f}"}
            SubElement(svg, "ellipse", {"class": "body", **at, **size})


def _flame(svg: Element, x: float, y: float, wide: float, tall: float) -> None:
    """Draw a conifer's pad: flat below, pointed above."""
    low = y + tall * 0.35
    pad = (
        f"M{x - wide:.1f},{low:.1f}Q{x - wide * 0.3:.1f},{y - tall * 0.25:.1f} "
        f"{x:.1f},{y - tall * 0.65:.1f}Q{x + wide * 0.3:.1f},{y - tall * 0.25:.1f} "
        f"{x + wide:.1f},{low:.1f}Z"
    )
    _path(svg, pad, "body")


def _draw(key: str, n: int) -> float:
    """Return a number from 0 to 1 that hangs on the tree alone."""
    digest = blake2b(f"{key}\x1f{n}".encode(), digest_size=4).digest()
    return int.from_bytes(digest) / 2**32


# The section


@dataclass(frozen=True, slots=True)
class _Cut:
    """A pot cut open along its length, in px."""

    svg: Element
    wide: float
    deep: float
    bottom: float  # width there

    def half(self, share: float) -> float:
        """Return half of the width at a share of the depth, from below."""
        return (self.bottom + (self.wide - self.bottom) * share) / 2

    def y(self, share: float) -> float:
        """Return how far down the page a share of the depth lies."""
        return SECTION_TOP + self.deep * (1 - share)

    def corner(self, share: float, side: int) -> str:
        """Return a point of the wall."""
        return f"{MIDDLE + side * self.half(share):.1f},{self.y(share):.1f}"

    def band(self, name: str, low: float, high: float) -> None:
        """Fill from one level to another."""
        corners = ((low, -1), (low, 1), (high, 1), (high, -1))
        points = "L".join(self.corner(share, side) for share, side in corners)
        _path(self.svg, f"M{points}Z", name)

    def level(self, name: str, share: float, over: float = 0.0) -> None:
        """Draw a line across, as far over the wall as is said."""
        half, y = self.half(share) + over, f"{self.y(share):.1f}"
        ends = {"x1": f"{MIDDLE - half:.1f}", "x2": f"{MIDDLE + half:.1f}"}
        SubElement(self.svg, "line", {"class": name, **ends, "y1": y, "y2": y})


def section(drawn: PotDrawn) -> str:
    """Return the pot cut open, filled to how moist it is, with its due line.

    Solid up to what it holds nine times in ten, hatched to what it holds one time in
    ten, a line in the middle. Full is the top, empty of usable water the bottom.
    """
    cut, left = _cut(drawn.pot), drawn.left_frac
    mound = f"Q{MIDDLE:g},{SECTION_TOP - 14:g} {cut.corner(1, 1)}"
    below = f"L{cut.corner(0, 1)}L{cut.corner(0, -1)}Z"
    _path(cut.svg, f"M{cut.corner(1, -1)}{mound}{below}", "soil")
    cut.band("water", 0.0, left.p10)
    cut.band("maybe", left.p10, left.p90)
    cut.level("middle", left.p50)
    cut.level("due", drawn.due_below_frac, over=6.0)
    wall = "L".join(cut.corner(*at) for at in ((1, -1), (0, -1), (0, 1), (1, 1)))
    _path(cut.svg, f"M{wall}", "wall")
    for side in (-1, 1):
        at = MIDDLE + side * (cut.bottom / 2 - 4)
        _path(cut.svg, f"M{at:.1f},{cut.y(0):.1f}v{FOOT}h{-12 * side}v-{FOOT}", "wall")
    return tostring(cut.svg, encoding="unicode")


def _cut(pot: Pot) -> _Cut:
    """Return the section of a pot, to its proportions."""
    long_mm = pot.length_mm or pot.diameter_mm or pot.depth_mm
    scale = min(SECTION_POT[0] / long_mm, SECTION_POT[1] / pot.depth_mm)
    wide = long_mm * scale
    return _Cut(
        svg=_svg(2 * MIDDLE, SECTION_HIGH, "section"),
        wide=wide,
        deep=pot.depth_mm * scale,
        bottom=wide * min(pot.taper_frac, WIDEST_FRAC),
    )


def _svg(wide: float, high: float, name: str) -> Element:
    box = f"0 0 {wide:g} {high:g}"
    return Element("svg", {"class": name, "viewBox": box, "aria-hidden": "true"})


def _path(svg: Element, d: str, name: str) -> None:
    SubElement(svg, "path", {"class": name, "d": d})
