"""Listen: ask a source, let in what can be, store it, and note how it went."""

from dataclasses import replace
from typing import Final

from arbuscula.kinds.forecast import Ask, Asked, Heard, Source, Validity
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.units import HOUR_S
from arbuscula.weather.archive import Archive, add_batch, last_asked, note_asked
from arbuscula.weather.plausible import plausible

WAIT_H: Final = 0.25  # after a failure, before the same host is asked again


def listen(
    archive: Archive, source: Source, ask: Ask, *, at_once: bool = False
) -> Heard:
    """Ask a source and store what it tells; return what was new, and all notes.

    A reply that still holds is not asked for again, nor is a host that has just
    failed, unless it has to be at once.

    Errors: the source's own, and replies that cannot be; each is noted.
    """
    last = last_asked(archive, ask.yard, source.key)
    if last and not at_once and ask.now_s < last.validity.expires_s:
        wait_h = (last.validity.expires_s - ask.now_s) / HOUR_S
        figures: dict[str, Figure] = {"source": source.key, "wait_h": wait_h}
        return Heard(batches=(), notes=(Said("weather.still_holds", figures),))
    earlier = last.validity if last else Validity()
    try:
        heard = source.hear(replace(ask, earlier=earlier))
        heard = _stored(archive, heard, ask)
    except ArbusculaError as error:
        note_asked(archive, _failed(source, ask, earlier, error.faults))
        raise
    outcome = "told" if heard.batches else "unchanged"
    note_asked(
        archive,
        Asked(
            yard=ask.yard,
            source=source.key,
            at_s=ask.now_s,
            outcome=outcome,
            validity=heard.validity,
        ),
    )
    return heard


def _stored(archive: Archive, heard: Heard, ask: Ask) -> Heard:
    """Store what is plausible: all batches are looked at before one is written."""
    looked_at = [plausible(batch, ask.spot) for batch in heard.batches]
    notes = [note for _, told in looked_at for note in told]
    new = [batch for batch, _ in looked_at if add_batch(archive, batch)]
    return replace(heard, batches=tuple(new), notes=(*heard.notes, *notes))


def _failed(
    source: Source, ask: Ask, earlier: Validity, faults: tuple[Said, ...]
) -> Asked:
    waits_h = [fault.figures.get("wait_h", WAIT_H) for fault in faults]
    wait_h = max((w for w in waits_h if isinstance(w, float)), default=WAIT_H)
    return Asked(
        yard=ask.yard,
        source=source.key,
        at_s=ask.now_s,
        outcome="failed",
        because=", ".join(fault.message_id for fault in faults),
        validity=replace(earlier, expires_s=ask.now_s + wait_h * HOUR_S),
    )
