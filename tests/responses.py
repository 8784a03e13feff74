"""How a test ends a request, and a response that streams a file."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from unittest.mock import patch

from django.core.signals import request_finished
from django.db import close_old_connections, connection, transaction
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.test import Client, TestCase


def finish(response: HttpResponseBase) -> bytes:
    """Read a response to its end and close its file; return what was read.

    Closing says that the request is over, which would close the test's own
    connection with it: so nobody listens meanwhile.
    """
    content = response.streaming_content if response.streaming else [response.content]
    read = b"".join(content)
    request_finished.disconnect(close_old_connections)
    response.close()
    request_finished.connect(close_old_connections)
    return read


@contextmanager
def refused_in_short() -> Iterator[None]:
    """Answer refusals without their pages, where only that they come is asked."""

    def in_short(status: int) -> Any:
        def refuse(request: HttpRequest, exception: Exception) -> HttpResponse:
            return HttpResponse(status=status)

        return patch(f"heritage.urls.handler{status}", refuse, create=True)

    with in_short(403), in_short(404):
        yield


class CommittingClient(Client):
    """A client whose requests write as on a real site, outside any transaction.

    What waits for a commit is done at once or, within a transaction, after it.
    """

    def request(self, **request: Any) -> Any:
        depth, later = len(connection.savepoint_ids), transaction.on_commit

        def at_once(run: Any, **how: Any) -> None:
            inside = len(connection.savepoint_ids) > depth
            later(run, **how) if inside else run()

        with (
            TestCase.captureOnCommitCallbacks(execute=True),
            patch.object(transaction, "on_commit", at_once),
        ):
            return super().request(**request)
