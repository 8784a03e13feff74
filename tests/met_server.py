"""A met service of our own on loopback, for tests: it answers as it is told to."""

import gzip
import json
import threading
import time
from contextlib import contextmanager
from datetime import datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any


def hour(starts: datetime, **said: Any) -> dict[str, Any]:
    """Return one hour as the compact format writes it."""
    said = {
        "temp": 15.5,
        "humidity": 71.0,
        "wind": 3.2,
        "rain": 0.0,
        "symbol": "cloudy",
    } | said
    return {
        "time": f"{starts:%Y-%m-%dT%H:%M:%SZ}",
        "data": {
            "instant": {
                "details": {
                    "air_temperature": said["temp"],
                    "relative_humidity": said["humidity"],
                    "wind_speed": said["wind"],
                }
            },
            "next_1_hours": {
                "summary": {"symbol_code": said["symbol"]},
                "details": {"precipitation_amount": said["rain"]},
            },
        },
    }


def feature(made_at: datetime, hours: list[dict[str, Any]]) -> dict[str, Any]:
    """Return a whole answer: a GeoJSON feature."""
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [-6.4, 54.6, 40]},
        "properties": {
            "meta": {"updated_at": f"{made_at:%Y-%m-%dT%H:%M:%SZ}", "units": {}},
            "timeseries": hours,
        },
    }


def hours_from(start: datetime, count: int = 8, **said: Any) -> list[dict[str, Any]]:
    return [hour(start + timedelta(hours=n), **said) for n in range(count)]


class MetServer:
    """What it answers, and what it was asked."""

    def __init__(self) -> None:
        self.status = 200
        self.body: Any = {}
        self.headers: dict[str, str] = {}
        self.packed = False
        self.slow_s = 0.0
        self.asked: list[tuple[str, dict[str, str]]] = []
        self.url = ""

    def answer(self, handler: BaseHTTPRequestHandler) -> None:
        self.asked.append((handler.path, dict(handler.headers)))
        time.sleep(self.slow_s)
        body = self.body
        raw = body if isinstance(body, bytes) else json.dumps(body).encode()
        raw = gzip.compress(raw) if self.packed else raw
        handler.send_response(self.status)
        for name, value in self.headers.items():
            handler.send_header(name, value)
        if self.packed:
            handler.send_header("Content-Encoding", "gzip")
        handler.send_header("Content-Length", str(len(raw)))
        handler.end_headers()
        if self.status != 304:
            handler.wfile.write(raw)


@contextmanager
def met_server():
    """Serve until the test is over."""
    told = MetServer()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            try:
                told.answer(self)
            except (BrokenPipeError, ConnectionResetError):
                # Whoever asked did not wait for the whole of it.
                return

        def log_message(self, *args: Any) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    told.url = f"http://127.0.0.1:{server.server_port}/compact"
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield told
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
