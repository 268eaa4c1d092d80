"""A real PostgreSQL server of the tests' own: in a folder that is thrown away, on a socket, on no network."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import run

SETTINGS = {
    "listen_addresses": "",
    "fsync": "off",  # it is thrown away; what a killed program leaves behind is not its affair
    "max_connections": "60",
    "shared_buffers": "32MB",
}


@dataclass(frozen=True)
class Server:
    """A running server and the way in."""

    folder: Path

    def address(self, database: str, user: str = "keeper") -> str:
        """The address of one of its databases."""
        return f"postgresql://{user}@/{database}?host={self.folder}"


def _user() -> str | None:
    """The server refuses to run for root: then it runs for its own user, or for nobody."""
    if os.geteuid() != 0:
        return None
    known = {entry.pw_name for entry in pwd.getpwall()}
    return "postgres" if "postgres" in known else "nobody"


@contextmanager
def server() -> Iterator[Server]:
    """Start a server, and stop it and throw it away at the end."""
    user = _user()
    folder = Path(tempfile.mkdtemp(prefix="book-pg-"))  # short: a socket's path has some 100 characters
    if user:
        shutil.chown(folder, user)
    data = folder / "data"
    try:
        _run(user, folder, "initdb", "-D", data, "-U", "keeper", "-A", "trust", "-E", "UTF8", "--no-sync")
        options = " ".join(f"-c {name}='{value}'" for name, value in SETTINGS.items())
        log = folder / "log"
        _run(user, folder, "pg_ctl", "-D", data, "-l", log, "-w", "-o", f"-k {folder} {options}", "start")
        try:
            yield Server(folder)
        finally:
            _run(user, folder, "pg_ctl", "-D", data, "-m", "immediate", "-w", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _run(user: str | None, folder: Path, tool: str, *words: object) -> None:
    program = run.find_tool(tool)
    assert program, f"{tool} is missing"
    subprocess.run(
        [program, *map(str, words)],
        check=True,
        cwd=folder,
        user=user,
        env={"PATH": os.defpath, "LC_ALL": "C.UTF-8"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        timeout=60,
    )
