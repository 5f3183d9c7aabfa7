"""The command `pot`."""

from typing import Final

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data, show_rows
from arbuscula.desk.pot import pot
from arbuscula.kinds.said import Said
from arbuscula.reports.facts import sizes_in_words
from arbuscula.reports.words import figure_in_words, sentence

WALLS: Final = {
    "dark": "pot.walls_dark",
    "medium": "pot.walls_medium",
    "light": "pot.walls_light",
    "unknown": "pot.walls_unknown",
}


@cli.command(name="pot", epilog="Example: arbuscula pot 'oval 235 x 180 x 70'")
@click.argument("sizes")
@click.option("--taper", default=1.0, help="Bottom size over top size.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def pot_command(visit: Visit, sizes: str, *, taper: float, as_data: bool) -> None:
    """Say what a pot takes, level by level, and which usual sizes are near.

    SIZES are inner ones, in mm unless cm is said: 'oval 235 x 180 x 70',
    'round 20 x 8 cm'. What is left out is taken in the usual proportion. Dark,
    medium or light may stand before or after: 'dark oval 18 cm'.
    """
    answer = pot(visit.open_desk(), sizes, taper_frac=taper)
    if as_data:
        show_data(visit, answer)
        return
    say(
        visit,
        "pot.takes",
        sizes=sizes_in_words(answer.pot, visit.voice),
        volume_ml=answer.volume_ml,
        area_cm2=answer.top_area_cm2,
        grain_mm=answer.finest_draining_grain_mm,
    )
    taken = answer.absorbed_frac
    say(
        visit,
        WALLS[answer.pot.colour or "unknown"],
        absorbed_frac=taken.value,
        low_frac=taken.low,
        high_frac=taken.high,
        grade=sentence(Said(f"grade.{taken.grade}", {}), visit.voice),
    )
    heads = ("height", "area", "suction")
    rows = (
        [
            figure_in_words("height_mm", level.height_mm, visit.voice),
            figure_in_words("area_cm2", level.area_cm2, visit.voice),
            figure_in_words("suction_cm", level.suction_cm, visit.voice),
        ]
        for level in reversed(answer.profile)
    )
    show_rows([sentence(Said(f"pot.head_{h}", {}), visit.voice) for h in heads], rows)
    near = [sizes_in_words(other, visit.voice) for other in answer.near]
    say(visit, "pot.near", near="; ".join(near))
