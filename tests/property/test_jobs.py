"""Verdicts are one-way: what speaks against a job never makes it bolder."""

from dataclasses import replace
from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from arbuscula.kinds.technique import Phase, PhaseKnown, Standing, Verdict, Vigour
from arbuscula.rules.jobs import judge
from arbuscula.rules.together import judge_together
from arbuscula.state.condition import terms_for
from tests.jobs import CARE, GOOD, LIBRARY, ON, done, roots, tree

ORDER = [*Verdict]
KEYS = sorted(LIBRARY.techniques)
TECHNIQUES = st.sampled_from(KEYS)
SHARES = st.floats(0, 1)


@st.composite
def trees(draw):
    """Draw a tree that may be in any state."""
    weights = [draw(st.floats(0.01, 1)) for _ in Phase]
    whole = sum(weights)
    shares = {p: w / whole for p, w in zip(Phase, weights, strict=True)}
    jobs = draw(st.lists(st.tuples(TECHNIQUES, st.integers(0, 500)), max_size=4))
    return tree(
        group=draw(st.sampled_from(sorted(LIBRARY.groups))),
        phase=PhaseKnown(shares=shares),
        night_c=draw(st.floats(-5, 28)),
        coldest_c=draw(st.floats(-8, 25)),
        light_mol_m2_d=draw(st.floats(0, 50)),
        root_c=draw(st.floats(0, 32)),
        growth_left_frac=draw(SHARES),
        frost_free_d=draw(st.floats(0, 365)),
        vigour=draw(st.sampled_from([*Vigour])),
        reserves_frac=draw(SHARES),
        dropping=draw(st.booleans()),
        roots=roots(
            slow=draw(st.booleans()),
            covered_frac=draw(st.none() | SHARES),
            looks=draw(st.sampled_from([None, "healthy", "circling", "rotting"])),
        ),
        standing=tuple(draw(st.sets(st.sampled_from([*Standing]), max_size=2))),
        done=tuple(done(*job) for job in sorted(jobs, key=lambda j: -j[1])),
    )


def boldness(key, view):
    told = LIBRARY.techniques[key]
    return ORDER.index(
        judge(key, told, terms_for(told, view.group), view, CARE).verdict
    )


def changed(view, **how):
    return replace(view, **how)


@given(trees(), TECHNIQUES, st.integers(0, 3), SHARES, st.booleans())
def test_a_weaker_tree_never_gets_a_bolder_verdict(view, key, steps, share, drops):
    vigours = [*Vigour]
    place = min(vigours.index(view.vigour) + steps, len(vigours) - 1)
    weaker = changed(
        view,
        vigour=vigours[place],
        reserves_frac=view.reserves_frac * share,
        dropping=view.dropping or drops,
    )
    assert boldness(key, weaker) >= boldness(key, view)


@given(trees(), st.sampled_from([k for k in KEYS if k != "move-in"]), st.floats(0, 15))
def test_colder_nights_ahead_never_open_a_window(view, key, colder_k):
    """Moving in is no window: a cold night is what it is for."""
    colder = changed(
        view,
        night_c=view.night_c - colder_k,
        coldest_c=view.coldest_c - colder_k,
        root_c=view.root_c - colder_k,
    )
    assert boldness(key, colder) >= boldness(key, view)


@given(trees(), TECHNIQUES, SHARES)
def test_less_light_never_opens_a_window(view, key, share):
    darker = changed(view, light_mol_m2_d=view.light_mol_m2_d * share)
    assert boldness(key, darker) >= boldness(key, view)


@given(trees(), TECHNIQUES, TECHNIQUES, st.integers(0, 400))
def test_one_more_job_in_the_book_never_makes_a_bolder_verdict(view, key, other, ago):
    more = tuple(sorted([*view.done, done(other, ago)], key=lambda job: job.on))
    assert boldness(key, changed(view, done=more)) >= boldness(key, view)


def together(keys, view, waiting=()):
    jobs = [(t := LIBRARY.techniques[k], terms_for(t, view.group)) for k in keys]
    judged = [
        judge(k, t, terms, view, CARE) for k, (t, terms) in zip(keys, jobs, strict=True)
    ]
    big = [LIBRARY.techniques[k] for k in waiting]
    return ORDER.index(judge_together(judged, jobs, big, view, CARE).verdict)


@given(trees(), st.lists(TECHNIQUES, min_size=1, max_size=4, unique=True), TECHNIQUES)
def test_adding_a_job_never_makes_the_joint_verdict_bolder(view, keys, other):
    more = [*keys, *([other] if other not in keys else [])]
    assert together(more, view) >= together(keys, view)
    assert together(keys, view, waiting=[other]) >= together(keys, view)
    assert together(keys, view) >= max(boldness(key, view) for key in keys)


@given(st.permutations(KEYS[:4]))
def test_the_order_of_jobs_is_of_no_account(keys):
    assert together(list(keys), GOOD) == together(KEYS[:4], GOOD)


@given(trees(), TECHNIQUES, st.integers(1, 2000))
def test_years_alone_permit_nothing(view, key, days):
    """The soil may be as old as it will: that is a reason to look."""
    older = changed(
        view, roots=roots(since=ON - timedelta(days=days), covered_frac=0.5)
    )
    newer = changed(view, roots=roots(since=ON, covered_frac=0.5))
    assert boldness(key, older) == boldness(key, newer)
