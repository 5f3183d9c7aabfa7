"""Whatever is sent, the reply is one that /openapi.json promises."""

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis.strategies import just

from arbuscula.reports.words import Voice
from arbuscula.web.app import create_app
from tests.desk.stair import stair
from tests.photo.pictures import picture

HOST = {"host": "127.0.0.1"}
for form in ("JPEG", "PNG", "WEBP"):  # no schema says what a picture is
    schemathesis.openapi.media_type(f"image/{form.lower()}", just(picture(form)))


@pytest.fixture(scope="module")
def operations(tmp_path_factory):
    desk = stair(tmp_path_factory.mktemp("home"), trees_n=2)
    app = create_app(desk, Voice(), patience_s=60)
    schema = schemathesis.openapi.from_asgi("/openapi.json", app, headers=HOST)
    return [found.ok() for found in schema.get_all_operations()]


@pytest.mark.slow
def test_every_reply_is_one_that_was_promised(operations):
    assert len(operations) == 9

    def promised(operation):
        @given(case=operation.as_strategy())
        @settings(max_examples=12, deadline=None, suppress_health_check=[*HealthCheck])
        def of_one(case):
            case.call_and_validate(headers=HOST)

        of_one()

    for operation in operations:
        promised(operation)
