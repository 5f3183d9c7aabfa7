"""Steam tables: saturation over water, in kPa, as any edition prints it."""

import pytest

from arbuscula.science import air

pytestmark = [pytest.mark.published, pytest.mark.recalled]


@pytest.mark.parametrize(
    ("air_temperature_c", "table_kpa"),
    [(0.01, 0.6117), (10, 1.2282), (20, 2.3393), (30, 4.2470), (40, 7.3849)],
)
def test_saturation_follows_the_steam_tables(air_temperature_c, table_kpa):
    """The short formula is itself up to 0.2 % off between 0 and 40 degC."""
    e_kpa = air.saturation_vapour_pressure_kpa(air_temperature_c)
    assert e_kpa == pytest.approx(table_kpa, rel=0.002)
