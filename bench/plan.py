"""How long a plan takes: set-up aside, from words on a command line to the last line printed.

Prints seconds, and the plan's time as a ratio to the start of the interpreter with numpy, in one run.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from caskward.catalogue.load import load
from caskward.planning.doubts import doubts
from caskward.planning.forecast import forecast
from caskward.planning.intent_file import read_intent
from caskward.planning.sizing import size, worlds_for
from caskward.services.plans import starting_point


def best(call, times: int = 5) -> float:  # type: ignore[no-untyped-def]
    seconds = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        seconds.append(time.perf_counter() - start)
    return min(seconds)


def main() -> None:
    intent = read_intent(starting_point(), load())
    worlds = worlds_for(intent)
    sized = size(intent, worlds)
    one = best(lambda: forecast(intent, sized.method, worlds))
    whole = best(lambda: size(intent))
    bare = best(lambda: subprocess.run([sys.executable, "-c", "import numpy"], check=True))
    with TemporaryDirectory() as folder:
        words = [sys.executable, "-m", "caskward", "demo", "--no-serve", "--out", folder]
        demo = best(lambda: subprocess.run(words, check=True, capture_output=True, cwd=Path(folder)))
    print(f"one forecast, {worlds.count} worlds, {len(doubts(intent))} unknowns   {one:6.3f} s")
    print(f"sizing, from intent to method                 {whole:6.3f} s   {whole / one:5.1f} forecasts")
    print(f"python and numpy, nothing else                {bare:6.3f} s")
    print(f"demo: plan, print, PDF                        {demo:6.3f} s   {demo / bare:5.1f} times that")


if __name__ == "__main__":
    main()
