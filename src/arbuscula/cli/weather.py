"""The command `weather`: who tells it, what was told, what answers rested on."""

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.secret import secret_from_hand
from arbuscula.cli.show import heads, say, show_data, show_rows
from arbuscula.reports.words import (
    change_in_words,
    figure_in_words,
    months_in_words,
    sentence,
    worded,
)

if TYPE_CHECKING:
    from arbuscula.desk.listening import SourceAsked, WeatherTried
    from arbuscula.desk.weather_age import GroundTold, SourceAge
    from arbuscula.desk.weather_choice import Choices


@cli.group(
    name="weather",
    epilog="Example: arbuscula weather choose met-norway --contact me@example.org",
    invoke_without_command=True,
)
@click.option("--history", is_flag=True, help="The same as the command `history`.")
@click.pass_context
def weather_group(context: click.Context, *, history: bool) -> None:
    """Choose who tells the weather, ask them, and see what answers rested on.

    Alone it says how old everybody's word is.
    """
    if context.invoked_subcommand is None:
        context.invoke(history_command if history else age_command)


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
            worded("sort", batch.sort, visit.voice),
            _day(batch.from_s),
            _day(batch.until_s),
            str(batch.rows_n),
        ]
        for batch in answer.batches
    ]
    show_rows(heads(visit, "source", "sort", "from", "until", "rows"), rows)
    for asked in answer.asked:
        say(visit, "weather.asked", source=asked.source, at=_day(asked.at_s))


def _day(at_s: float) -> str:
    return f"{datetime.fromtimestamp(at_s, tz=UTC):%Y-%m-%d}"


@weather_group.command(name="sources", epilog="Example: arbuscula weather sources")
@click.option("--yard", help="Which yard; needed where there are several.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def sources_command(visit: Visit, *, yard: str | None, as_data: bool) -> None:
    """List who can tell the weather, on what terms, and who is asked."""
    from arbuscula.desk.weather_choice import weather_choices

    answer = weather_choices(visit.open_desk(), yard=yard)
    if as_data:
        show_data(visit, answer)
        return
    rows = [
        [
            one.source,
            worded("tells", one.tells, visit.voice),
            "-" if one.order_n is None else str(one.order_n),
        ]
        for one in answer.sources
    ]
    show_rows(heads(visit, "source", "tells", "order"), rows)
    for one in answer.sources:
        click.echo(sentence(one.terms, visit.voice))


@weather_group.command(
    name="choose",
    epilog="Example: arbuscula weather choose met-norway --contact me@example.org",
)
@click.argument("source")
@click.option("--yard", help="Which yard; needed where there are several.")
@click.option("--host", default="", help="Such as https://weather.example.")
@click.option("--contact", default="", help="A mail address or page of yours.")
@click.option("--with-key", is_flag=True, help="Ask for the key that was paid for.")
@click.option("--model", default="", help="As the service names it.")
@click.option("--place", default="", help="Of your station: a folder, file or page.")
@click.option("--map", "columns", multiple=True, help="As in `weather add`.")
@click.option("--zone", default="", help="Of times without an offset.")
@click.option("--first", "is_first", is_flag=True, help="Trust it most.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def choose_command(
    visit: Visit,
    /,
    source: str,
    *,
    yard: str | None,
    columns: tuple[str, ...],
    zone: str,
    with_key: bool,
    is_first: bool,
    as_data: bool,
    **reach: str,
) -> None:
    """Let a yard ask SOURCE from now on; none is asked before it was chosen.

    A key is asked for unseen, or read from standard input; it stands in a file
    that nobody else may read, never in the book.
    """
    from arbuscula.desk.weather_choice import choose_weather, reach_of

    secret = secret_from_hand("Key") if with_key else ""
    said = reach_of(columns=columns, zone=zone, secret=secret, **reach)
    desk = visit.open_desk()
    answer = choose_weather(desk, source, said, yard=yard, is_first=is_first)
    _show_choices(visit, answer, "weather.chosen", as_data=as_data)


@weather_group.command(name="drop", epilog="Example: arbuscula weather drop met-norway")
@click.argument("source")
@click.option("--yard", help="Which yard; needed where there are several.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def drop_command(visit: Visit, source: str, *, yard: str | None, as_data: bool) -> None:
    """No longer ask SOURCE; what it told stays."""
    from arbuscula.desk.weather_choice import drop_weather

    answer = drop_weather(visit.open_desk(), source, yard=yard)
    _show_choices(visit, answer, "weather.dropped", as_data=as_data)


@weather_group.command(
    name="prefer", epilog="Example: arbuscula weather prefer folder met-norway"
)
@click.argument("sources", nargs=-1, required=True)
@click.option("--yard", help="Which yard; needed where there are several.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def prefer_command(
    visit: Visit, sources: tuple[str, ...], *, yard: str | None, as_data: bool
) -> None:
    """Trust SOURCES in this order, and the other chosen ones after them."""
    from arbuscula.desk.weather_choice import prefer_weather

    answer = prefer_weather(visit.open_desk(), sources, yard=yard)
    _show_choices(visit, answer, "weather.ordered", as_data=as_data)


def _show_choices(
    visit: Visit, answer: "Choices", message_id: str, *, as_data: bool
) -> None:
    if as_data:
        show_data(visit, answer)
        return
    named = [one for one in answer.sources if one.source == answer.named]
    for one in named if message_id == "weather.chosen" else ():
        click.echo(sentence(one.terms, visit.voice))
        if one.attribution:
            say(visit, "weather.thank", words=one.attribution)
    chosen = [one.source for one in answer.sources if one.order_n is not None]
    source, order = answer.named or "", ", ".join(chosen)
    say(visit, message_id, source=source, yard=answer.yard, order=order)
    say(visit, "weather.in_order" if chosen else "weather.none_now", order=order)


@weather_group.command(name="try", epilog="Example: arbuscula weather try met-norway")
@click.argument("source")
@click.option("--yard", help="Which yard; needed where there are several.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def try_command(visit: Visit, source: str, *, yard: str | None, as_data: bool) -> None:
    """Ask SOURCE once and say what would be stored; nothing is."""
    from arbuscula.desk.listening import try_weather

    answer = try_weather(visit.open_desk(), source, yard=yard)
    if as_data:
        show_data(visit, answer)
        return
    _show_tried(visit, answer)


def _show_tried(visit: Visit, answer: "WeatherTried") -> None:
    for note in answer.notes:
        click.echo(sentence(note, visit.voice), err=True)
    for batch in answer.batches:
        say(
            visit,
            "weather.would_store",
            source=answer.source,
            sort=batch.sort,
            rows=f"{batch.rows_n}",
            members=f"{batch.members_n}",
            from_at=batch.from_,
            to_at=batch.to,
            low_c=batch.low_c,
            high_c=batch.high_c,
        )
    if not answer.batches:
        say(visit, "weather.told_nothing_new", source=answer.source)
    say(visit, "weather.nothing_stored")
    if answer.attribution:
        say(visit, "weather.thank", words=answer.attribution)


@weather_group.command(name="ask", epilog="Example: arbuscula weather ask")
@click.argument("sources", nargs=-1)
@click.option("--yard", help="Which yard; needed where there are several.")
@click.option("--again", "at_once", is_flag=True, help="Even if its word still holds.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_context
def ask_command(
    context: click.Context,
    sources: tuple[str, ...],
    *,
    yard: str | None,
    at_once: bool,
    as_data: bool,
) -> None:
    """Ask the chosen SOURCES, or all of them, and store what is new."""
    from arbuscula.desk.listening import ask_weather

    visit: Visit = context.obj
    answer = ask_weather(visit.open_desk(), sources, yard=yard, at_once=at_once)
    if as_data:
        show_data(visit, answer)
    else:
        for asked in answer.sources:
            _show_asked(visit, asked)
    if any(asked.outcome == "failed" for asked in answer.sources):
        context.exit(1)


def _show_asked(visit: Visit, asked: "SourceAsked") -> None:
    for note in asked.notes:
        click.echo(sentence(note, visit.voice), err=True)
    rows = f"{asked.rows_n}"
    if asked.outcome == "told":
        say(visit, "weather.told", source=asked.source, rows=rows)
    if asked.outcome == "unchanged":
        say(visit, "weather.told_nothing_new", source=asked.source)
    if asked.outcome == "failed":
        say(visit, "weather.did_not_tell", source=asked.source)
    if asked.attribution and asked.outcome == "told":
        say(visit, "weather.thank", words=asked.attribution)


@weather_group.command(name="age", epilog="Example: arbuscula weather age")
@click.option("--yard", help="Which yard; needed where there are several.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def age_command(
    visit: Visit, *, yard: str | None = None, as_data: bool = False
) -> None:
    """Say what the newest forecast is, from whom, and how old."""
    from arbuscula.desk.weather_age import weather_age

    answer = weather_age(visit.open_desk(), yard=yard)
    if as_data:
        show_data(visit, answer)
        return
    newest = answer.newest
    if newest is None or newest.age_h is None or newest.reaches_to is None:
        say(visit, "weather.no_forecast", yard=answer.yard)
    else:
        say(
            visit,
            "weather.newest",
            source=newest.source,
            age_h=round(newest.age_h, 1),
            to_at=newest.reaches_to,
        )
    rows = [_age_row(visit, age) for age in answer.sources]
    if rows:
        show_rows(heads(visit, "source", "order", "asked", "went", "told", "age"), rows)
    for words in dict.fromkeys(age.attribution for age in answer.sources):
        if words:
            say(visit, "weather.thank", words=words)


def _age_row(visit: Visit, age: "SourceAge") -> list[str]:
    return [
        age.source,
        "-" if age.order_n is None else str(age.order_n),
        "-" if age.asked is None else figure_in_words("at", age.asked, visit.voice),
        worded("outcome", age.outcome, visit.voice) if age.outcome else "-",
        worded("sort", age.sort, visit.voice) if age.sort else "-",
        "-"
        if age.age_h is None
        else figure_in_words("age_h", round(age.age_h, 1), visit.voice),
    ]


@weather_group.command(name="local", epilog="Example: arbuscula weather local")
@click.option("--yard", help="Which yard; needed where there are several.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def local_command(visit: Visit, *, yard: str | None, as_data: bool) -> None:
    """Say by how much your own thermometers move what others tell."""
    from arbuscula.desk.local import weather_local

    answer = weather_local(visit.open_desk(), yard=yard)
    if as_data:
        show_data(visit, answer)
        return
    for place in answer.places:
        nights = place.nights
        colder = nights.shift_k < 0
        message_id = "weather.nights_colder" if colder else "weather.nights_warmer"
        say(
            visit,
            message_id if nights.nights_n else "weather.nights_none",
            place=place.place,
            shift_k=abs(nights.shift_k),
            unsure_k=nights.shift_sd_k,
            scatter_k=nights.scatter_k,
            nights=f"{nights.nights_n}",
        )
    if answer.usual_nights_n:
        moved = [change_in_words(k, visit.voice) for k in answer.usual_night_k]
        months = months_in_words(visit.voice)
        rows = [[*pair] for pair in zip(months, moved, strict=True)]
        say(visit, "weather.usual_moved", nights=f"{answer.usual_nights_n}")
        show_rows(heads(visit, "month", "moved"), rows)


@weather_group.command(
    name="history", epilog="Example: arbuscula weather history --on 2026-07-07"
)
@click.option("--yard", help="Which yard; needed where there are several.")
@click.option("--on", help="A day; yesterday and today if left out.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def history_command(
    visit: Visit,
    *,
    yard: str | None = None,
    on: str | None = None,
    as_data: bool = False,
) -> None:
    """Say which weather earlier answers rested on."""
    from arbuscula.desk.weather_age import weather_history

    answer = weather_history(visit.open_desk(), yard=yard, on=on)
    if as_data:
        show_data(visit, answer)
        return
    if not answer.answers:
        say(visit, "weather.no_answers", first=answer.from_, last=answer.to)
    for told in answer.answers:
        _show_ground(visit, told)


def _show_ground(visit: Visit, told: "GroundTold") -> None:
    ground = told.ground
    tonight = " ".join(sentence(part, visit.voice) for part in ground.said.parts)
    say(visit, "weather.answered", verb=ground.verb, at=ground.at, words=tonight)
    for stretch in ground.stretches:
        say(
            visit,
            "weather.rested" if stretch.age_h is None else "weather.rested_aged",
            source=stretch.source,
            sort=stretch.sort,
            from_at=stretch.from_,
            to_at=stretch.to,
            age_h=round(stretch.age_h or 0.0, 1),
        )
    places = " ".join(f"{batch.position_n}" for batch in told.batches)
    if places:
        say(visit, "weather.batches_used", batches=places)
    gone = [f"{batch.position_n}" for batch in told.batches if batch.kept is None]
    if gone:
        say(visit, "weather.batches_gone", batches=" ".join(gone), err=True)
