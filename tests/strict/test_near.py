from arbuscula.strict.near import near_names

SUBSTRATES = ["akadama", "calcined-clay", "lava", "peat", "pine-bark", "pumice"]


def test_the_nearest_name_comes_first():
    assert near_names("pummice", SUBSTRATES)[0] == "pumice"


def test_capitals_do_not_part_names():
    assert near_names("PUMICE", SUBSTRATES) == ["pumice"]
    assert near_names("time", ["Time"]) == ["Time"]


def test_no_more_names_than_asked_for():
    assert len(near_names("fig-1", ["fig-2", "fig-3", "fig-4", "fig-5"], 2)) == 2


def test_a_name_unlike_all_others_has_none_near():
    assert near_names("xylophone", SUBSTRATES) == []
    assert near_names("", SUBSTRATES) == []


def test_a_whole_page_is_not_a_slip_of_the_pen():
    assert near_names("pumice" * 100_000, SUBSTRATES) == []
    assert near_names("pumice", ["pumice" * 100_000, "pumice"]) == ["pumice"]
