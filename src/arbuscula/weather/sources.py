"""Sources: which there are, and how a chosen one is made from what was said of it.

None is asked until it has been chosen.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Final
from urllib.parse import urlsplit

from arbuscula.kinds.forecast import Reach, Source
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain
from arbuscula.weather.fetch import SCHEMES
from arbuscula.weather.folder import PAGES, Folder
from arbuscula.weather.met_norway import MetNorway
from arbuscula.weather.nasa_power import NasaPower
from arbuscula.weather.open_meteo import OpenMeteo, Service

FOLDER: Final = "folder"
MET_NORWAY: Final = "met-norway"
LOOPBACK: Final = ("127.0.0.1", "localhost", "::1")


def _open_meteo(service: Service) -> Callable[[Reach], Source]:
    def made(reach: Reach) -> Source:
        return OpenMeteo(
            service=service, host=reach.host, api_key=reach.secret, model=reach.model
        )

    return made


def _met_norway(reach: Reach) -> Source:
    usual = MetNorway(contact=reach.contact)
    return MetNorway(contact=reach.contact, host=reach.host or usual.host)


def _nasa_power(reach: Reach) -> Source:
    return NasaPower(host=reach.host or NasaPower().host)


def _folder(reach: Reach) -> Source:
    if reach.how is None or not reach.place:
        raise ArbusculaError(Said("weather.folder_how", {"source": FOLDER}))
    return Folder(place=reach.place, how=reach.how)


FORECASTS: Final[Mapping[str, Callable[[Reach], Source]]] = {
    "open-meteo": _open_meteo(Service.FORECAST),
    "open-meteo-members": _open_meteo(Service.MEMBERS),
    MET_NORWAY: _met_norway,
}
PASTS: Final[Mapping[str, Callable[[Reach], Source]]] = {
    "open-meteo-archive": _open_meteo(Service.ARCHIVE),
    "nasa-power": _nasa_power,
}
OFFERED: Final = {**FORECASTS, **PASTS, FOLDER: _folder}
TAKES: Final[Mapping[str, tuple[str, ...]]] = {  # what may be said of each
    "open-meteo": ("host", "secret", "model"),
    "open-meteo-members": ("host", "secret", "model"),
    "open-meteo-archive": ("host", "secret", "model"),
    MET_NORWAY: ("host", "contact"),
    "nasa-power": ("host",),
    FOLDER: ("place", "how"),
}


def source_of(name: str, reach: Reach) -> Source:
    """Return a source as the grower has chosen it.

    Errors: no such source, what it does not take, an address that is none.
    """
    if name not in OFFERED:
        near = ", ".join(near_names(name, OFFERED) or OFFERED)
        figures: dict[str, Figure] = {"found": plain(name), "near": near}
        raise ArbusculaError(Said("weather.no_such_source", figures))
    if faults := [*_faults(name, reach)]:
        raise ArbusculaError(*faults)
    return OFFERED[name](reach)


def _faults(name: str, reach: Reach) -> Iterator[Said]:
    said = [
        key
        for key in ("host", "contact", "secret", "model", "place", "how")
        if getattr(reach, key)
    ]
    for key in said:
        if key not in TAKES[name]:
            near = ", ".join(TAKES[name])
            yield Said("weather.not_taken", {"source": name, "key": key, "near": near})
    for key in ("host", "contact", "secret", "model"):
        text = getattr(reach, key)
        if not (text.isascii() and text.isprintable()) or " " in text.strip():
            yield Said("weather.odd_letters", {"source": name, "key": key})
    if name == MET_NORWAY and not any(mark in reach.contact for mark in "@/"):
        figures = {"source": name, "found": plain(reach.contact) or "nothing"}
        yield Said("weather.no_contact", figures)
    pages = [reach.host, reach.place if reach.place.startswith(PAGES) else ""]
    for page in filter(None, pages):
        yield from _address_faults(page)
    if reach.secret and reach.host.startswith(PAGES[0]) and not _is_here(reach.host):
        yield Said("weather.key_in_clear", {"source": name})


def _address_faults(page: str) -> Iterator[Said]:
    try:
        parts = urlsplit(page)
        is_page = parts.scheme in SCHEMES and bool(parts.hostname)
        is_page = is_page and (parts.port is None or parts.port > 0)
    except ValueError:
        is_page = False
    if not is_page:
        allowed = " or ".join(SCHEMES)
        figures: dict[str, Figure] = {"found": plain(page), "allowed": allowed}
        yield Said("address.not_web", figures)


def _is_here(page: str) -> bool:
    return urlsplit(page).hostname in LOOPBACK
