"""Whatever the description allows, and what it does not, is asked: no fault, no answer it does not describe.

Source: OpenAPI Specification 3.1. The general library schemathesis makes the requests from the description
alone and judges the answers: their number, kind, headers and shape; that a wrong token, a wrong method, and
what is not described are refused.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis.specs.openapi.checks import negative_data_rejection, positive_data_acceptance
from starlette.testclient import TestClient
from starlette.types import ASGIApp, Receive, Scope, Send

from caskward.desk.api.app import make_api
from caskward.desk.app import make_app
from caskward.desk.settings import HOME_NAMES, Settings

LEAN, LONG = 8, 200
# What a maker types is a language of its own, which no description of texts can hold: `0 L` may be refused.
WORDS = [positive_data_acceptance]


class Forward:
    """Stands for a desk that is opened once the tests begin, and stays open whatever one request says."""

    app: ASGIApp

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "lifespan":
            await self.app(scope, receive, send)
            return
        for _ in ("startup", "shutdown"):
            await send({"type": f"{(await receive())['type']}.complete"})


DESK = Forward()
DESCRIBED = schemathesis.openapi.from_dict(make_api().openapi())
DESCRIBED.app = DESK
DESCRIBED.config.seed = 8


@pytest.fixture(scope="module")
def token(demo_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A desk open to the network over a copy of the invented book, and a helper's token."""
    folder = tmp_path_factory.mktemp("asked")
    file = folder / "book.sqlite"
    shutil.copy(demo_file, file)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("CASKWARD_BOOK", str(file))
        patch.setenv("CASKWARD_CACHE", str(folder))
        # Wrong tokens are tried over and over; that such a one must wait is shown elsewhere.
        patch.setattr("caskward.desk.tries.Tries.begin", lambda *_, **__: None)
        app = make_app(Settings(folder=folder / "desk", lan=True, names=(*HOME_NAMES, "testserver")))
        DESK.app = app
        with TestClient(app):
            yield app.state.house.tokens.add("every question", "helper")
        app.state.house.book.close()


def held(count: int) -> settings:
    return settings(max_examples=count, deadline=None, database=None, suppress_health_check=list(HealthCheck))


def ask(case, token: str) -> None:
    said = {"headers": {"Authorization": f"Bearer {token}"}}
    answer = case.call(**said)
    sent = parse_qs(urlsplit(answer.request.url).query, keep_blank_values=True)
    # A word with an empty list is not sent at all, so that what was wrong about it cannot be seen.
    lost = set(case.query or {}) - set(sent)
    left_out = [*WORDS, negative_data_rejection] if lost else WORDS
    case.validate_response(answer, excluded_checks=left_out, transport_kwargs=said)


@DESCRIBED.parametrize()
@held(LEAN)
def test_nothing_is_answered_that_is_not_described(case, token: str) -> None:
    ask(case, token)


@pytest.mark.slow
@DESCRIBED.parametrize()
@held(LONG)
def test_nor_after_many_more_questions(case, token: str) -> None:
    ask(case, token)
