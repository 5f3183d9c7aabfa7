import pytest

from arbuscula.kinds.alarm import Peril, Threat
from arbuscula.rules.alarm import SAID, alarm_of


def threat(peril=Peril.COLD, warn=0.0, damage=0.0):
    return Threat(
        peril=peril, when="2026-07-08", warn_frac=warn, damage_frac=damage, figures={}
    )


def test_it_keeps_silent_below_one_in_ten_and_one_in_fifty():
    assert alarm_of(threat(warn=0.099, damage=0.019)) is None


@pytest.mark.parametrize(
    ("warn", "damage", "level", "step"),
    [
        (0.1, 0.0, "warning", 1),
        (0.5, 0.0, "warning", 2),
        (0.3, 0.02, "damage", 3),
        (1.0, 0.1, "damage", 4),
        (1.0, 0.5, "damage", 5),
    ],
)
def test_it_rings_the_louder_the_worse_it_is(warn, damage, level, step):
    alarm = alarm_of(threat(warn=warn, damage=damage))
    assert (alarm.level, alarm.step_n) == (level, step)
    assert alarm.because.figures["chance_frac"] == (damage or warn)


def test_every_peril_has_words_for_each_level_it_can_reach():
    for peril in Peril:
        assert alarm_of(threat(peril, warn=1.0)).because.message_id
    damaged = {peril for peril, level in SAID if level == "damage"}
    assert damaged == {Peril.COLD, Peril.ROOTS, Peril.HEAT, Peril.RAIN}


def test_silence_and_blindness_always_ring():
    assert alarm_of(threat(Peril.SILENT)).because.message_id == "alarm.silent"
    assert alarm_of(threat(Peril.BLIND)).because.message_id == "alarm.blind"
