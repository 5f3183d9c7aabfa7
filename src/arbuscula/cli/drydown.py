"""The command `drydown`."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data, show_rows
from arbuscula.kinds.said import Said
from arbuscula.reports.words import figure_in_words, sentence

if TYPE_CHECKING:
    from arbuscula.desk.drydown import Drydown, Score, When

TOLD_NOTES_N = 4


@cli.command(
    name="drydown", epilog="Example: arbuscula drydown examples/bench-fig/case.toml"
)
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def drydown_command(visit: Visit, case: Path, *, as_data: bool) -> None:
    """Follow one pot until it is dry, from its weather and its weights.

    CASE is a TOML file; docs/drydown.md tells what stands in it.
    """
    from arbuscula.desk.drydown import drydown

    answer = drydown(visit.open_desk(), case)
    if as_data:
        show_data(visit, answer)
        return
    _say_pot(visit, answer)
    _say_when(visit, "due", answer.due, answer.horizon_h)
    _say_when(visit, "late", answer.late, answer.horizon_h)
    if answer.hours and answer.hours[0].mass_g is not None:
        say(
            visit,
            "drydown.learned",
            demand_ratio=answer.learned.demand.p50,
            low_ratio=answer.learned.demand.p10,
            high_ratio=answer.learned.demand.p90,
        )
    if answer.score:
        _show_score(visit, answer.score)
    _say_notes(visit, answer.notes)


def _say_pot(visit: Visit, answer: "Drydown") -> None:
    say(
        visit,
        "drydown.pot",
        latin=answer.latin,
        capacity_ml=answer.capacity_ml.p50,
        usable_ml=answer.usable_ml.p50,
        low_ml=answer.usable_ml.p10,
        high_ml=answer.usable_ml.p90,
        air_frac=answer.air_filled_frac.p50,
    )


def _say_when(visit: Visit, line: str, when: "When", horizon_h: float) -> None:
    if when.p10 is None or when.p50 is None:
        say(visit, f"drydown.{line}_beyond", horizon_h=horizon_h)
    elif when.p90 is None:
        say(visit, f"drydown.{line}_open", at=when.p50, early=when.p10)
    else:
        say(visit, f"drydown.{line}", at=when.p50, early=when.p10, last=when.p90)


def _show_score(visit: Visit, score: "Score") -> None:
    click.echo()
    columns = ("after", "lost", "model", "yesterday", "mean")
    heads = [sentence(Said(f"drydown.head_{c}", {}), visit.voice) for c in columns]
    show_rows(heads, _score_rows(visit, score))
    say(visit, "drydown.covered", covered_frac=score.covered_frac)


def _score_rows(visit: Visit, score: "Score") -> Iterator[list[str]]:
    for horizon in score.horizons:
        figures = {
            "horizon_h": float(horizon.horizon_h),
            "lost_ml": horizon.lost_ml,
            "model_frac": horizon.model_error_frac,
            "yesterday_frac": horizon.yesterday_error_frac,
            "mean_frac": horizon.mean_error_frac,
        }
        yield [
            "-" if figure is None else figure_in_words(name, figure, visit.voice)
            for name, figure in figures.items()
        ]


def _say_notes(visit: Visit, notes: tuple[Said, ...]) -> None:
    for note in notes[:TOLD_NOTES_N]:
        click.echo(sentence(note, visit.voice), err=True)
    if len(notes) > TOLD_NOTES_N:
        more_n = f"{len(notes) - TOLD_NOTES_N}"
        click.echo(
            sentence(Said("notes.more", {"more": more_n}), visit.voice), err=True
        )
