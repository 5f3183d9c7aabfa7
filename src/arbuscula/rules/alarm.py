"""Rules about alarms: which threat is borne no longer, and how bad it is."""

from collections.abc import Mapping
from typing import Final

from arbuscula.kinds.alarm import Alarm, Level, Peril, Threat
from arbuscula.kinds.said import Figure, Said
from arbuscula.rules.cold import DAMAGE_FRAC, WARN_FRAC

LIKELY_FRAC: Final = 0.5  # practice, no source
PERHAPS_FRAC: Final = 0.1
SAID: Final[Mapping[tuple[Peril, Level], str]] = {
    (Peril.COLD, "warning"): "alarm.cold",
    (Peril.COLD, "damage"): "alarm.cold_damage",
    (Peril.ROOTS, "warning"): "alarm.cold_roots",
    (Peril.ROOTS, "damage"): "alarm.frozen_roots",
    (Peril.HEAT, "warning"): "alarm.hot_roots",
    (Peril.HEAT, "damage"): "alarm.burnt_roots",
    (Peril.WIND, "warning"): "alarm.wind",
    (Peril.RAIN, "warning"): "alarm.rain",
    (Peril.RAIN, "damage"): "alarm.flood",
}


def alarm_of(threat: Threat) -> Alarm | None:
    """Return the alarm that a threat is worth, or keep silent."""
    if threat.peril is Peril.SILENT:
        return Alarm(
            threat=threat,
            level="warning",
            step_n=1,
            because=Said("alarm.silent", threat.figures),
        )
    if threat.peril is Peril.BLIND:
        return Alarm(
            threat=threat,
            level="warning",
            step_n=1,
            because=Said("alarm.blind", threat.figures),
        )
    if threat.damage_frac >= DAMAGE_FRAC:
        return _alarm(threat, "damage", 3 + _worse_n(threat.damage_frac))
    if threat.warn_frac >= WARN_FRAC:
        return _alarm(threat, "warning", 1 + (threat.warn_frac >= LIKELY_FRAC))
    return None


def _worse_n(chance_frac: float) -> int:
    return (chance_frac >= PERHAPS_FRAC) + (chance_frac >= LIKELY_FRAC)


def _alarm(threat: Threat, level: Level, step_n: int) -> Alarm:
    chance = threat.damage_frac if level == "damage" else threat.warn_frac
    figures: dict[str, Figure] = {**threat.figures, "chance_frac": chance}
    return Alarm(
        threat=threat,
        level=level,
        step_n=step_n,
        because=Said(SAID[threat.peril, level], figures),
    )
