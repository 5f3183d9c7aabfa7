"""Benches that meet the weather in one way are worked out once."""

from arbuscula.kinds.place import Exposure
from arbuscula.microclimate.alike import as_met
from tests.microclimate.benches import bench


def met(**several):
    return list(as_met(several, several).values())


def test_a_bench_of_another_name_and_size_is_met_alike():
    one = bench(Exposure.OPEN, order_n=1)
    other = bench(Exposure.OPEN, order_n=2, capacity_n=40, length_m=3.0)
    assert len({*met(one=one, other=other)}) == 1


def test_a_bench_under_another_net_is_not():
    one = bench(Exposure.SHADE_NETTING, shade_frac=0.3)
    assert len({*met(one=one, other=bench(Exposure.SHADE_NETTING))}) == 2
