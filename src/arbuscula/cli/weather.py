"""The commands `weather add` and `weather list`."""

from datetime import UTC, datetime
from pathlib import Path

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data, show_rows
from arbuscula.reports.words import sentence


@cli.group(name="weather", epilog="Example: arbuscula weather list")
def weather_group() -> None:
    """Take in what a station measured, and list what is held."""


@weather_group.command(
    name="add",
    epilog="Example: arbuscula weather add wx.csv --map 'Out=air_temperature_c:degF' "
    "--map Date=time --zone Europe/Rome",
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--yard", help="Which yard; needed where there are several.")
@click.option(
    "--map",
    "columns",
    multiple=True,
    help="THEIR HEAD=our_name:unit; HEAD=time for the columns of time.",
)
@click.option("--zone", default="", help="Of times without an offset: Europe/Rome.")
@click.option("--time-format", default="", help="Such as '%d.%m.%Y %H:%M'.")
@click.option("--ends", is_flag=True, help="A row's time is its end.")
@click.option("--delimiter", default=",", show_default=True)
@click.option("--decimal", default=".", show_default=True)
@click.option("--wind-height", "wind_height_m", type=float, default=2.0, help="In m.")
@click.option("--year", type=int, help="Which year an EPW file shall stand for.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def add_command(
    visit: Visit,
    /,
    file: Path,
    *,
    yard: str | None,
    columns: tuple[str, ...],
    year: int | None,
    as_data: bool,
    **how: str | bool | float,
) -> None:
    """Take in FILE: the table of a weather station, or a year in EPW."""
    from arbuscula.desk.weather import add_weather

    answer = add_weather(
        visit.open_desk(), file, yard=yard, columns=columns, year=year, **how
    )
    for note in answer.notes:
        click.echo(sentence(note, visit.voice), err=True)
    if as_data:
        show_data(visit, answer)
        return
    if answer.kept is None:
        say(visit, "weather.nothing_new", file=answer.file)
        return
    say(
        visit,
        "weather.added",
        file=answer.file,
        rows=f"{answer.kept.rows_n}",
        yard=answer.yard,
        first=_day(answer.kept.from_s),
        last=_day(answer.kept.until_s),
    )


@weather_group.command(name="list", epilog="Example: arbuscula weather list")
@click.option("--yard", help="Which yard; needed where there are several.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def list_command(visit: Visit, *, yard: str | None, as_data: bool) -> None:
    """List what is held for a yard, and how each source was last asked."""
    from arbuscula.desk.weather import list_weather

    answer = list_weather(visit.open_desk(), yard=yard)
    if as_data:
        show_data(visit, answer)
        return
    rows = [
        [
            batch.source,
            str(batch.sort),
            _day(batch.from_s),
            _day(batch.until_s),
            str(batch.rows_n),
        ]
        for batch in answer.batches
    ]
    show_rows(("source", "sort", "from", "until", "rows"), rows)
    for asked in answer.asked:
        say(visit, "weather.asked", source=asked.source, at=_day(asked.at_s))


def _day(at_s: float) -> str:
    return f"{datetime.fromtimestamp(at_s, tz=UTC):%Y-%m-%d}"
