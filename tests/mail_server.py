"""A real mail server on this machine, which can be told to misbehave."""

import asyncio
import socket
import threading
from contextlib import contextmanager
from email import message_from_bytes, policy

from aiosmtpd.controller import Controller
from django.test import override_settings

TAKEN = "250 2.0.0 Taken"


class Manners:
    """How the server behaves: each list is what it answers, then it is friendly."""

    def __init__(
        self, *, at_sender=(), at_reader=(), at_end=(), hangs_up="", held_by=None
    ):
        self.answers = {
            "sender": list(at_sender),
            "reader": list(at_reader),
            "end": list(at_end),
        }
        self.hangs_up, self.taken = hangs_up, []
        # With ``held_by`` a letter lies at the server until that is set.
        self.held_by, self.has_one = held_by, threading.Event()

    def _next(self, where):
        return self.answers[where].pop(0) if self.answers[where] else ""

    def _hang_up_at(self, where, server):
        if self.hangs_up == where:
            server.transport.abort()

    async def handle_MAIL(self, server, session, envelope, address, options):  # noqa: N802
        self._hang_up_at("sender", server)
        answer = self._next("sender")
        if not answer:
            envelope.mail_from = address
        return answer or "250 2.1.0 Sender taken"

    async def handle_RCPT(self, server, session, envelope, address, options):  # noqa: N802
        answer = self._next("reader")
        if not answer:
            envelope.rcpt_tos.append(address)
        return answer or "250 2.1.5 Reader taken"

    async def handle_DATA(self, server, session, envelope):  # noqa: N802
        answer = self._next("end")
        if answer:
            return answer
        if self.held_by:
            self.has_one.set()
            await asyncio.to_thread(self.held_by.wait, 60)
        self.taken.append(envelope)
        self._hang_up_at("end", server)
        return TAKEN


class _Server(Controller):
    """Takes whatever port is free, and says which."""

    def _trigger_server(self):
        self.port = self.server.sockets[0].getsockname()[1]
        super()._trigger_server()


def sending_to(port):
    """Let the site send by its own way to a server at a port."""
    return override_settings(
        EMAIL_BACKEND="heritage.common.post.ServerBackend",
        EMAIL_HOST="127.0.0.1",
        EMAIL_PORT=port,
        EMAIL_TIMEOUT=20,
        DEFAULT_FROM_EMAIL="Field notebook <notebook@flax.example.org>",
    )


@contextmanager
def mail_server(**manners):
    """Run a server; give its manners, with what it has taken."""
    handler = Manners(**manners)
    server = _Server(handler, hostname="127.0.0.1", port=0)
    server.start()
    try:
        with sending_to(server.port):
            yield handler
    finally:
        server.stop()


@contextmanager
def no_mail_server():
    """Have the site send to a port where nobody listens."""
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        port = held.getsockname()[1]
    with sending_to(port):
        yield


def read_back(envelope):
    """Return what the server took, as the standard library's parser reads it."""
    return message_from_bytes(envelope.content, policy=policy.default)
