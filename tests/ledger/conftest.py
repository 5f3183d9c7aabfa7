"""Both databases: whatever holds for one of them has to hold for the other."""

from itertools import count

import pytest
from sqlalchemy import create_engine, text

from arbuscula.ledger.book import Ledger
from arbuscula.ledger.store.engine import engine_at
from tests import postgres

NUMBERS = count(1)


@pytest.fixture(scope="session")
def cluster_url():
    if postgres.binaries() is None:
        pytest.skip(postgres.HOW_TO_GET_ONE)
    if postgres.server_user() is None:
        pytest.skip(postgres.NOBODY_TO_RUN_IT)
    with postgres.cluster() as url:
        yield url


@pytest.fixture
def postgresql_url(cluster_url):
    """A schema of its own stands for a database of its own."""
    schema = f"book_{next(NUMBERS)}"
    engine = create_engine(cluster_url)
    with engine.begin() as connection:
        connection.execute(text(f"CREATE SCHEMA {schema}"))
    engine.dispose()
    return f"{cluster_url}&options=-csearch_path%3D{schema}"


@pytest.fixture
def sqlite_url(tmp_path):
    return f"sqlite:///{tmp_path / 'ledger.db'}"


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request):
    return request.getfixturevalue(f"{request.param}_url")


@pytest.fixture
def open_ledger():
    """Open as many ledgers as a test wants; all are closed after it."""
    ledgers = []

    def opened(url):
        ledgers.append(Ledger(engine_at(url)))
        return ledgers[-1]

    yield opened
    for ledger in ledgers:
        ledger.engine.dispose()


@pytest.fixture
def ledger(url, open_ledger):
    return open_ledger(url)
