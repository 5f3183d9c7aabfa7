"""A web face over Stone Stair, asked without a network. All of it is invented."""

from starlette.testclient import TestClient

from arbuscula.reports.words import Voice
from arbuscula.web.app import create_app

HERE = "http://127.0.0.1:8710"
MOMENT = "2026-07-08T08:09:00+02:00"


def client_of(desk, **how):
    app = create_app(desk, Voice(), patience_s=60, **how)
    return TestClient(app, base_url=HERE, follow_redirects=False)


def item(event_id, subject, *words, **more):
    """Return what a page sends of one tap."""
    told = {"id": event_id, "subject": subject, "words": [*words], "at": MOMENT}
    return {**told, **more}
