"""The command `season`."""

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data, show_rows
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.world import Place
from arbuscula.reports.words import (
    country_in_words,
    day_in_words,
    figure_in_words,
    months_in_words,
    number_in_words,
    run_in_words,
    sentence,
    species_in_words,
)

if TYPE_CHECKING:
    from arbuscula.desk.season import Dates, Moved, Season

OTHERS_N: Final = 5
NONE: Final = "-"


@cli.command(
    name="season",
    epilog="Example: arbuscula season Bergen --night-min 'May=5.5' --svg year.svg",
    context_settings={"ignore_unknown_options": True},  # -33.9,18.4 is a place
)
@click.argument("place", required=False)
@click.option("--bench", help="On a bench of the book instead of outdoors.")
@click.option("--species", help="Ficus microcarpa, or what stands there.")
@click.option(
    "--night-min",
    "nights",
    multiple=True,
    help="A month's usual night minimum here, such as May=9.5.",
)
@click.option(
    "--minmax",
    type=click.Path(path_type=Path),
    help="A table of days here: date, night_min_c, day_max_c.",
)
@click.option(
    "--svg",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Draw the year as a strip of 52 weeks.",
)
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def season_command(
    visit: Visit,
    place: str | None,
    bench: str | None,
    species: str | None,
    nights: tuple[str, ...],
    minmax: Path | None,
    svg: Path | None,
    *,
    as_data: bool,
) -> None:
    """Say when a tree grows at PLACE or on a bench, and when it may stand there.

    PLACE is a town, 'town, country', latitude,longitude or
    latitude,longitude,elevation. Nothing is asked of a network.
    """
    from arbuscula.desk.bench_season import season_on_bench
    from arbuscula.desk.season import USUAL, season

    desk = visit.open_desk()
    if bench is not None and place is None and not nights and minmax is None:
        answer = season_on_bench(desk, bench, species=species)
    elif bench is not None or place is None:
        raise ArbusculaError(Said("season.place_or_bench", {}))
    else:
        usual = species or USUAL
        answer = season(desk, place, species=usual, nights=nights, minmax=minmax)
    for other in answer.others[:OTHERS_N]:
        say(visit, "yard.other_place", place=_named(visit, other), err=True)
    if svg:
        _draw(visit, answer, svg)
    if as_data:
        show_data(visit, answer)
        return
    _show(visit, answer)


def _named(visit: Visit, place: Place) -> str:
    country = country_in_words(place.country, visit.voice)
    return f"{place.name}, {country}" if country else place.name


def _draw(visit: Visit, answer: "Season", path: Path) -> None:
    from arbuscula.reports.strip import strip_of

    try:
        path.write_text(strip_of(answer, visit.voice), encoding="utf-8")
    except OSError as error:
        found = str(error.strerror).lower()
        figures = {"file": str(path), "found": found}
        raise ArbusculaError(Said("file.not_written", figures)) from None
    say(visit, "season.drawn", file=str(path), err=True)


def _show(visit: Visit, answer: "Season") -> None:
    """Print one sentence for a buyer, then what stands behind it."""
    click.echo(" ".join(sentence(part, visit.voice) for part in answer.sentence.parts))
    click.echo()
    place = answer.place
    say(
        visit,
        "season.place",
        place=_named(visit, place),
        where=f"{place.latitude_deg:.2f}, {place.longitude_deg:.2f}",
        height_m=place.elevation_m,
        timezone=place.timezone,
        species=species_in_words(answer.species),
    )
    click.echo()
    _show_dates(visit, answer)
    click.echo()
    _show_windows(visit, answer)
    for note in answer.notes:
        click.echo(sentence(note, visit.voice))
    if answer.moved:
        click.echo()
        _show_moved(visit, answer.moved)
    click.echo()
    _show_months(visit, answer)
    click.echo()
    _show_sources(visit, answer)


def _head(visit: Visit, message_id: str, **figures: float) -> str:
    return sentence(Said(message_id, figures), visit.voice)


def _day(visit: Visit, day: str | None) -> str:
    return day_in_words(day, visit.voice) if day else NONE


def _show_dates(visit: Visit, answer: "Season") -> None:
    def row(name: str, dates: "Dates") -> list[str]:
        return [name, *(_day(visit, day) for day in (dates.p10, dates.p50, dates.p90))]

    floor_c = answer.outdoors.floor_c
    heads = ("season.head_by", "season.head_tenth", "season.head_middle")
    rows = [
        row(_head(visit, "season.row_start"), answer.growing.start),
        row(_head(visit, "season.row_end"), answer.growing.end),
        row(
            _head(visit, "season.row_last_cold", floor_c=floor_c),
            answer.outdoors.last_cold_night,
        ),
    ]
    last = _head(visit, "season.head_nine_tenths")
    show_rows([*(_head(visit, head) for head in heads), last], rows)


def _show_windows(visit: Visit, answer: "Season") -> None:
    """Print what growers do and what is seldom too cold, side by side."""
    floor_c, risk = answer.outdoors.floor_c, answer.outdoors.risk
    practice = answer.outdoors.practice
    heads = [
        _head(visit, "season.head_outdoors"),
        _head(visit, "season.head_practice", floor_c=floor_c),
        _head(visit, "season.head_risk", accepted_frac=risk.accepted_p),
    ]
    rows = [
        [
            _head(visit, "season.row_out"),
            _day(visit, practice.out),
            _day(visit, risk.out),
        ],
        [
            _head(visit, "season.row_in"),
            _day(visit, practice.in_),
            _day(visit, risk.in_),
        ],
    ]
    show_rows(heads, rows)


def _show_moved(visit: Visit, moved: "Moved") -> None:
    mean_k = sum(moved.night_min_k) / len(moved.night_min_k)
    say(visit, "season.moved", night_k=mean_k)
    later = {
        "season.moved_out": moved.out_d,
        "season.moved_in": moved.in_d,
        "season.moved_start": moved.start_d,
        "season.moved_end": moved.end_d,
    }
    for message_id, later_d in later.items():
        if later_d is not None:
            say(visit, message_id, later=f"{later_d:+.0f}")


def _show_months(visit: Visit, answer: "Season") -> None:
    heads = (
        "season.head_month",
        "season.head_night",
        "season.head_day",
        "season.head_daylength",
        "season.head_light",
        "season.head_lawn",
        "season.head_grows",
    )
    columns = {
        "night_min_c": answer.night_min_c,
        "day_max_c": answer.day_max_c,
        "daylength_h": answer.daylength_h,
        "dli_mol_m2_d": answer.dli_mol_m2_d,
        "et0_mm_d": answer.et0_mm_d,
        "growing_frac": answer.growing.months,
    }
    cells = [
        [figure_in_words(name, _tenths(name, n), visit.voice) for n in column]
        for name, column in columns.items()
    ]
    rows = zip(months_in_words(visit.voice), *cells, strict=True)
    show_rows([_head(visit, head) for head in heads], rows)


def _tenths(name: str, number: float) -> float:
    """Return a number as a table shows it; a share stays whole."""
    return number if name.endswith("_frac") else round(number, 1)


def _show_sources(visit: Visit, answer: "Season") -> None:
    say(visit, "season.rests_on")
    number = partial(number_in_words, voice=visit.voice, figures_n=6)
    for basis in answer.sources:
        if basis.value is not None and basis.low is not None:
            grade = sentence(Said(f"grade.{basis.grade}", {}), visit.voice)
            span = run_in_words(
                number(basis.low), number(basis.high or basis.value), visit.voice
            )
            figures = f"{number(basis.value)} ({span})"
            say(
                visit,
                "season.ground",
                name=basis.name,
                figures=figures,
                grade=grade,
                source=basis.source,
            )
    tables = ", ".join(b.source for b in answer.sources if b.value is None)
    say(visit, "season.tables", tables=tables)
