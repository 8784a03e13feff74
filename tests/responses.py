"""How a test ends a response that streams a file."""

from django.core.signals import request_finished
from django.db import close_old_connections
from django.http import HttpResponseBase


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
