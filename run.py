#!/usr/bin/env python3
"""Start Caskward, or check it, with nothing but a bare Python.

    python3 run.py WORD ...   sets Caskward up if need be, then hands the words to it
    python3 run.py test       the checks and the test suite

Set-up makes `.venv` beside this file, installs a pinned uv and then a hashed lock from `requirements/`
(with pip and the same hashes where uv does not run), and stamps the lock, so that later starts skip it.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

OLDEST_PYTHON = (3, 11)
ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
ON_WINDOWS = os.name == "nt"
BIN = VENV / ("Scripts" if ON_WINDOWS else "bin")
PYTHON = BIN / ("python.exe" if ON_WINDOWS else "python")
REQUIREMENTS = ROOT / "requirements"
LOCKS_OF_OTHERS = ("uv.lock", "pylock.toml", "poetry.lock", "package-lock.json", "yarn.lock")

# Programs that some tests look through: name to call -> Debian package, what it is for.
TOOLS = {
    "pdftoppm": ("poppler-utils", "looking at the printed pages"),
    "initdb": ("postgresql", "a book that several people share"),
    "chromium": ("chromium", "the desk in a browser"),
}

HELP = """\
Caskward plans a batch of spirit backward from the cask.

  python3 run.py demo        an invented farm at the desk, in your browser (--text: in the terminal)
  python3 run.py plan --new  a file to begin with: ... plan --new > mine.toml
  python3 run.py plan FILE   your own cask
  python3 run.py gauge ...   what a reading really is, such as: gauge 47 % at 28C
  python3 run.py proof ...   how much water, such as: proof 20 L 71.3% to 63%
  python3 run.py still run   a spirit run before the burner is lit
  python3 run.py desk        every screen in the browser, on this machine or a phone
  python3 run.py --help      every command
  python3 run.py test        the checks and the test suite (add pytest's words to run a part)
"""


class SetUpError(Exception):
    """Set-up cannot go on; the sentence says what to do."""


def main(words: list[str]) -> int:
    """Run what the words ask for and return its exit code."""
    try:
        refuse_old_python(sys.version_info[:3])
        if not words:
            print(HELP, end="")
            return 0
        if words[0] == "test":
            return run_tests(words[1:])
        make_ready("run")
    except SetUpError as error:
        say(f"run.py: {error}")
        return 1
    except KeyboardInterrupt:
        say("run.py: Stopped. Start again to go on.")
        return 130
    return become([str(PYTHON), "-P", "-m", "caskward", *words])


def become(command: list[str]) -> int:
    """Turn into another program; where that cannot be done, run it and return its exit code."""
    if not ON_WINDOWS:
        os.execv(command[0], command)
    return subprocess.call(command)


# Set-up -------------------------------------------------------------------------------------------


def refuse_old_python(version: tuple[int, ...]) -> None:
    """Stop with one sentence when this Python is too old."""
    if tuple(version[:2]) < OLDEST_PYTHON:
        have = ".".join(str(part) for part in version)
        need = ".".join(str(part) for part in OLDEST_PYTHON)
        raise SetUpError(f"This is Python {have}, but Caskward needs {need} or newer. Start it with that.")


def stamp_of(kind: str) -> str:
    """Return what must be unchanged for a set-up to be still good: Python's version and the lock files."""
    digest = hashlib.sha256()
    for name in ("uv.txt", f"{kind}.txt"):
        digest.update((REQUIREMENTS / name).read_bytes())
    return f"python {sys.version_info[0]}.{sys.version_info[1]} {digest.hexdigest()}\n"


def is_ready(kind: str) -> bool:
    """Tell whether `.venv` already holds what this lock asks for."""
    try:
        return PYTHON.exists() and stamp_file(kind).read_text(encoding="utf-8") == stamp_of(kind)
    except OSError:
        return False


def stamp_file(kind: str) -> Path:
    """Return the file whose text says that the lock `kind` is installed."""
    return VENV / f"caskward-{kind}.stamp"


def make_ready(kind: str) -> None:
    """Install the lock `kind` (`run` or `dev`) unless that has been done."""
    if is_ready(kind):
        return
    try:
        with only_one_at_a_time():
            if not is_ready(kind):
                set_up(kind)
    except PermissionError as error:
        raise SetUpError(
            f"{error.filename} cannot be written. Copy the Caskward folder to a place of your own "
            "and start it there."
        ) from error


@contextlib.contextmanager
def only_one_at_a_time() -> Iterator[None]:
    """Hold a lock file, so that of two starts at once the second waits for the first."""
    with (ROOT / ".venv.lock").open("w", encoding="utf-8") as handle:
        if ON_WINDOWS:
            import msvcrt

            while True:
                with contextlib.suppress(OSError):
                    msvcrt.locking(handle.fileno(), msvcrt.LK_LOCK, 1)
                    break
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX)
        yield


def set_up(kind: str) -> None:
    """Make `.venv`, install the lock, link the source, write the stamp."""
    began = time.monotonic()
    reason = "its parts have changed" if is_usable() else "first time"
    say(f"Setting up Caskward ({reason}, about {'a minute' if kind == 'dev' else 'half a minute'}) ...")
    if not is_usable():
        make_venv()
    install(kind)
    link_source()
    # What the checks need includes what the program needs: both locks are solved together.
    for done in {kind, "run"}:
        stamp_file(done).write_text(stamp_of(done), encoding="utf-8")
    say(f"Ready after {time.monotonic() - began:.0f} s.")


def say(line: str) -> None:
    """Tell the person something without mixing it into the program's own output."""
    print(line, file=sys.stderr, flush=True)


def is_usable() -> bool:
    """Tell whether `.venv` is whole, starts, and is of this Python's version."""
    if not PYTHON.exists():
        return False
    ask = "import sys, pip; print(*sys.version_info[:2])"
    answer = subprocess.run([str(PYTHON), "-c", ask], capture_output=True, text=True, check=False)
    return answer.stdout.split() == [str(part) for part in sys.version_info[:2]]


def make_venv() -> None:
    """Make an empty `.venv`."""
    if not all(importlib.util.find_spec(part) for part in ("venv", "ensurepip")):
        raise SetUpError(
            "This Python cannot make a virtual environment. On Debian or Ubuntu install the package "
            "python3-venv (sudo apt-get install python3-venv), then start again."
        )
    import venv

    try:
        venv.create(VENV, clear=True, symlinks=not ON_WINDOWS, with_pip=True)
    except subprocess.CalledProcessError as error:
        raise SetUpError(f"A virtual environment could not be made in {VENV}: {error}.") from error


def install(kind: str) -> None:
    """Install the lock with the pinned uv, or with pip and the same hashes where uv does not run."""
    hashed = ["install", "--quiet", "--require-hashes", "-r"]
    lock = str(REQUIREMENTS / f"{kind}.txt")
    pip = [str(PYTHON), "-m", "pip", "--disable-pip-version-check", *hashed]
    with_uv = [str(PYTHON), "-m", "uv", "pip", *hashed, lock, "--python", str(PYTHON)]
    if went_well([*pip, str(REQUIREMENTS / "uv.txt")]) and went_well(with_uv):
        return
    say("Trying again with pip, which is slower ...")
    if not went_well([*pip, lock]):
        raise SetUpError("Caskward's parts could not be installed. Is this machine online? Then start again.")


def went_well(command: list[str]) -> bool:
    """Run a command in silence and tell whether it ended well; if not, show the last of what it said."""
    done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False)
    if done.returncode:
        say("\n".join(done.stdout.strip().splitlines()[-4:]))
    return not done.returncode


def link_source() -> None:
    """Make `import caskward` and the command `caskward` work inside `.venv`, straight from `src/`."""
    packages = VENV / "Lib" if ON_WINDOWS else next((VENV / "lib").glob("python3.*"))
    site_packages = packages / "site-packages"
    source = os.path.relpath(ROOT / "src", site_packages)  # relative: the folder may be moved
    (site_packages / "caskward.pth").write_text(f"{source}\n", encoding="utf-8")
    if ON_WINDOWS:
        (BIN / "caskward.cmd").write_text('@"%~dp0python.exe" -P -m caskward %*\n', encoding="utf-8")
    else:
        command = BIN / "caskward"
        command.write_text('#!/bin/sh\nexec "$(dirname "$0")/python" -P -m caskward "$@"\n', encoding="utf-8")
        command.chmod(0o755)


# Tests --------------------------------------------------------------------------------------------


def run_tests(words: list[str]) -> int:
    """Run the checks and the suite; with pytest's words given, only the tests that they choose."""
    make_ready("dev")
    os.chdir(ROOT)
    pytest = [str(PYTHON), "-m", "pytest"]
    if words == ["--setup"]:
        return 0
    if words and words != ["--checks"]:
        fetch_tools()
        return become([*pytest, *words])
    failed = run_checks()
    if not words:
        fetch_tools()
        # A worker for each core; a file stays with one, which has made what its tests share.
        workers = ["-n", str(os.cpu_count() or 1), "--dist", "loadfile"]
        failed += ["pytest"] if subprocess.call([*pytest, *workers]) else []
    if failed:
        print(f"Not passed: {', '.join(failed)}", flush=True)
    return 1 if failed else 0


def run_checks() -> list[str]:
    """Run every check, print what it finds, and return the names of those that failed."""
    ruff = [str(PYTHON), "-m", "ruff"]
    commands = {
        "ruff check": [*ruff, "check", "--quiet", "--output-format", "concise"],
        "ruff format": [*ruff, "format", "--check", "--quiet"],
        "mypy": [str(PYTHON), "-m", "mypy", "--no-error-summary"],
        "imports": [str(BIN / "lint-imports"), "--no-logo"],
        "locks": [str(PYTHON), "-c", "import run, sys; sys.exit('\\n'.join(run.lock_findings()) or 0)"],
    }
    failed = []
    for name, command in commands.items():
        done = subprocess.run(
            command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False
        )
        print(f"{name:<12} {'FAILED' if done.returncode else 'passed'}", flush=True)
        if done.returncode:
            print(done.stdout, flush=True)
            failed.append(name)
    return failed


def lock_findings(root: Path = ROOT) -> list[str]:
    """Return what is wrong with the locks: an address in one, or the lock of a tool that writes addresses."""
    texts = {
        path.name: path.read_text(encoding="utf-8") for path in sorted((root / "requirements").iterdir())
    }
    addresses = [f"requirements/{name} holds an address" for name, text in texts.items() if "://" in text]
    return addresses + [f"{name} does not belong here" for name in LOCKS_OF_OTHERS if (root / name).exists()]


def find_tool(name: str) -> str | None:
    """Return where a program is; Debian keeps a server's own programs off the path."""
    folders = (str(folder) for folder in sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True))
    return shutil.which(name) or shutil.which(name, path=os.pathsep.join(folders))


def fetch_tools() -> None:
    """Install the programs that some tests look through, if this user may; the tests say what is missing."""
    missing = [package for tool, (package, _) in TOOLS.items() if not find_tool(tool)]
    if not missing or not shutil.which("apt-get") or os.name != "posix" or os.geteuid() != 0:
        return
    say(f"Installing {', '.join(missing)} for the tests ...")
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for words in (["update"], ["install", "-y", "--no-install-recommends", *missing]):
        command = ["apt-get", "-qq", *words]
        subprocess.run(command, env=environment, stdin=subprocess.DEVNULL, stdout=sys.stderr, check=False)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
