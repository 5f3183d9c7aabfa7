"""Rules: the questions asked of every tree, the most pressing first."""

from typing import Final

from arbuscula.kinds.round import Rule
from arbuscula.rules.water import BY_HAND, DUE, EARLY, PERHAPS, UNSEEN, UNSURE

RULES: Final[tuple[Rule, ...]] = (BY_HAND, DUE, PERHAPS, UNSURE, EARLY, UNSEEN)
