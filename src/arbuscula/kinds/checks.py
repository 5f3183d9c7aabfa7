"""Checks: what a grower's word for moisture means, until weighings move it."""

from dataclasses import dataclass

from arbuscula.kinds.values import Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Feel:
    """The two lines between dry, moist and wet, as usable water gone."""

    dry_above_frac: Value
    wet_below_frac: Value
