"""The command `mix`."""

import click

from arbuscula.cli.door import Visit, cli
from arbuscula.cli.show import say, show_data
from arbuscula.desk.mix import mix
from arbuscula.kinds.said import Said
from arbuscula.reports.words import sentence


@cli.command(
    name="mix",
    epilog="Example: arbuscula mix '3 pumice, 4 akadama, 1 pine-bark' "
    "--pot 'oval 235 x 180 x 70'",
)
@click.argument("parts")
@click.option("--pot", "pot_words", required=True, help="Inner sizes, in mm.")
@click.option("--taper", default=1.0, help="Bottom size over top size.")
@click.option("--json", "as_data", is_flag=True, help="Print data, not words.")
@click.pass_obj
def mix_command(
    visit: Visit, parts: str, pot_words: str, *, taper: float, as_data: bool
) -> None:
    """Say what a mix holds in this pot, and what to buy to fill it.

    PARTS are shares by volume, each with its grain if you know it:
    '3 pumice 4 mm, 4 akadama, 1 pine-bark'.
    """
    answer = mix(visit.open_desk(), parts, pot_words, taper_frac=taper)
    if as_data:
        show_data(visit, answer)
        return
    say(
        visit,
        "mix.holds",
        volume_ml=answer.volume_ml,
        capacity_ml=answer.capacity_ml.p50,
        low_ml=answer.capacity_ml.p10,
        high_ml=answer.capacity_ml.p90,
        usable_ml=answer.usable_ml.p50,
    )
    say(
        visit,
        "mix.air",
        air_frac=answer.air_filled_frac.p50,
        low_frac=answer.air_filled_frac.p10,
        high_frac=answer.air_filled_frac.p90,
        wet_mm=answer.saturated_layer_mm,
    )
    for name, litres in answer.to_buy_l.items():
        say(visit, "mix.buy", name=name, buy_l=litres.value, high_l=litres.high)
    grade = sentence(Said(f"grade.{answer.grade}", {}), visit.voice)
    say(visit, "mix.grade", grade=grade)
    for name, note in answer.notes.items():
        say(visit, "mix.note", name=name, note=note)
