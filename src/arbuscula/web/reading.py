"""Reading: every page, and its twin as data out of the same answer."""

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from arbuscula.desk import Desk
from arbuscula.desk.bench import show_bench
from arbuscula.desk.benches_page import benches_page
from arbuscula.desk.season import Season, season
from arbuscula.desk.tree_page import TreePage, tree_page
from arbuscula.desk.yard import list_yards
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.reports.strip import strip_of
from arbuscula.web.face import (
    REFUSALS,
    VARIES,
    face_of,
    html,
    inside,
    twin,
    voice_of,
    whoever,
)

router = APIRouter(dependencies=[Depends(inside)])


@router.get("/", include_in_schema=False)
def home() -> Response:
    """Begin with the round."""
    return RedirectResponse("/round", 303)


@router.get("/round", include_in_schema=False)
def round_page(request: Request, yard: str | None = None) -> Response:
    """Show the round in hand."""
    face = face_of(request)
    if not list_yards(face.desk).yards:
        return RedirectResponse("/begin", 303)
    seen = face.rounds(yard)
    door = whoever(request)
    who = f"{voice_of(request).language} {door.part} {door.name}" if door else ""
    if who not in seen.drawn:
        page = html(request, "round.html", walk=seen.walk, position=seen.book_n)
        seen.drawn[who] = bytes(page.body).decode()
    return HTMLResponse(seen.drawn[who], headers=VARIES)


@router.get("/round.json", responses=REFUSALS)
def round_twin(request: Request, yard: str | None = None) -> Response:
    """Return the round in hand as data."""
    return twin(request, face_of(request).rounds(yard).walk)


@router.get("/tree/{name}.json", responses=REFUSALS)
def tree_twin(request: Request, name: str) -> Response:
    """Return one tree as data."""
    return twin(request, _tree(request, name))


@router.get("/tree/{name}", include_in_schema=False)
def tree_shown(request: Request, name: str) -> Response:
    """Show one tree and its whole life."""
    return html(request, "tree.html", answer=_tree(request, name))


def _tree(request: Request, name: str) -> TreePage:
    face = face_of(request)
    walk = face.rounds(None).walk
    return tree_page(face.desk, name, walk, at=walk.today.at)


@router.get("/benches.json", responses=REFUSALS)
def benches_twin(request: Request) -> Response:
    """Return all benches as data."""
    face = face_of(request)
    return twin(request, benches_page(face.desk, face.rounds(None).walk))


@router.get("/benches", include_in_schema=False)
def benches_shown(request: Request) -> Response:
    """Show all benches, and what stands there."""
    face = face_of(request)
    walk = face.rounds(None).walk
    answer = benches_page(face.desk, walk)
    return html(request, "benches.html", answer=answer, walk=walk)


@router.get("/bench/{name}.json", responses=REFUSALS)
def bench_twin(request: Request, name: str) -> Response:
    """Return one bench by month as data."""
    return twin(request, show_bench(face_of(request).desk, name))


@router.get("/bench/{name}", include_in_schema=False)
def bench_shown(request: Request, name: str) -> Response:
    """Show one bench: light, warmth and what it suits, by month."""
    return html(request, "bench.html", answer=show_bench(face_of(request).desk, name))


@router.get("/year.json", responses=REFUSALS)
def year_twin(request: Request, yard: str | None = None) -> Response:
    """Return the year of a yard as data."""
    return twin(request, _season(face_of(request).desk, yard))


@router.get("/year", include_in_schema=False)
def year_page(request: Request, yard: str | None = None) -> Response:
    """Show the year of a yard as a strip of weeks."""
    return html(request, "year.html", answer=_season(face_of(request).desk, yard))


@router.get("/year.svg", include_in_schema=False)
def year_strip(request: Request, yard: str | None = None) -> Response:
    """Draw the year of a yard."""
    face = face_of(request)
    strip = strip_of(_season(face.desk, yard), voice_of(request))
    return Response(strip, 200, VARIES, "image/svg+xml")


def _season(desk: Desk, yard: str | None) -> Season:
    rows = list_yards(desk).yards
    chosen = next((r for r in rows if yard in (None, r.key, r.yard.name)), None)
    if chosen is None:
        figures = {"found": yard or "", "near": ", ".join(r.yard.name for r in rows)}
        raise ArbusculaError(
            Said("desk.unknown_yard" if rows else "desk.no_yard", figures)
        )
    return season(desk, f"{chosen.yard.latitude_deg},{chosen.yard.longitude_deg}")
