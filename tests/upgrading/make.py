"""Make the small database of a release that the next one must be able to open.

`python -m tests.upgrading.make` makes both dumps beside this file, or in a folder
that is named: of SQLite as its shell would write it, of PostgreSQL with `pg_dump` and
a server of its own. It is run once at each release, on the release's own code, and
never between: `test_upgrading.py` opens what it made.
"""

import gzip
import os
import pwd
import shutil
import socket
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
SQLITE, POSTGRESQL = "sqlite.sql.gz", "postgresql.sql.gz"


def fill(address: str) -> None:
    """Migrate and fill an empty database from a process of its own."""
    subprocess.run(
        [sys.executable, "-m", "tests.upgrading.fill"],
        cwd=ROOT,
        env=os.environ | {"DATABASE_URL": address},
        check=True,
    )


def of_sqlite(work: Path) -> str:
    file = work / "release.sqlite3"
    fill(f"sqlite:///{file}")
    connection = sqlite3.connect(file)
    try:
        return "\n".join(connection.iterdump())
    finally:
        connection.close()


def of_postgresql(work: Path) -> str:
    with server(work) as (tools, port):
        ours = ["-h", "127.0.0.1", "-p", str(port), "-U", "heritage"]
        run([tools / "createdb", *ours, "release"])
        fill(f"postgres://heritage@127.0.0.1:{port}/release")
        whole = ["--inserts", "--no-owner", "--no-privileges"]
        dump = run([tools / "pg_dump", *ours, *whole, "release"])
    # What only psql understands is left out, and so are remarks.
    lines = [line for line in dump.split("\n") if not line.startswith(("\\", "--"))]
    return "\n".join(line for line in lines if line)


@contextmanager
def server(work: Path) -> Iterator[tuple[Path, int]]:
    """Serve a PostgreSQL of our own on loopback, as `.ci/run` does."""
    tools = max(Path("/usr/lib/postgresql").glob("*/bin"))
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    owner = "postgres" if os.geteuid() == 0 else pwd.getpwuid(os.geteuid()).pw_name
    shutil.chown(work, owner)
    data = work / "data"
    start = f"-p {port} -h 127.0.0.1 -k {work} -c fsync=off"
    run([tools / "initdb", "-D", data, "-U", "heritage", "--auth=trust"], owner)
    control = [tools / "pg_ctl", "-D", data, "-w", "-l", work / "log"]
    run([*control, "-o", start, "start"], owner)
    try:
        yield tools, port
    finally:
        run([*control, "-m", "immediate", "stop"], owner)


def run(command: list[str | Path], owner: str = "") -> str:
    words = [str(word) for word in command]
    if owner and os.geteuid() == 0:
        words = ["runuser", "-u", owner, "--", *words]
    # To a file, not a pipe: the server keeps what it was given open.
    with tempfile.TemporaryFile() as out:
        subprocess.run(words, stdout=out, cwd="/", check=True)  # noqa: S603
        out.seek(0)
        return out.read().decode()


def write(file: Path, text: str) -> None:
    # Without its own name and time in it, the same text gives the same file.
    file.write_bytes(gzip.compress(text.encode(), mtime=0))
    sys.stdout.write(f"{file}: {file.stat().st_size} bytes\n")


def main(folder: Path) -> None:
    with tempfile.TemporaryDirectory() as work:
        write(folder / SQLITE, of_sqlite(Path(work)))
    with tempfile.TemporaryDirectory() as work:
        write(folder / POSTGRESQL, of_postgresql(Path(work)))


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
