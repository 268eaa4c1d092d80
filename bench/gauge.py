"""How long a gauging question takes on the command line, as ratios to `python -c "import numpy"` in one run.

A reading (2 at most), water for a reduction, a label check, and a correction card on paper. Each pair is
measured side by side, so that the middle ratio holds on a busy machine, too.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

MOST = 2.0
ROUNDS = 15
BARE = [sys.executable, "-c", "import numpy"]
CASKWARD = [sys.executable, "-P", "-m", "caskward"]


def seconds(words: list[str], folder: str) -> float:
    start = time.perf_counter()
    subprocess.run(words, check=True, capture_output=True, cwd=folder)
    return time.perf_counter() - start


def main() -> int:
    questions = {
        "a reading": ["gauge", "47 % at 28C"],
        "a wash by two readings": ["gauge", "1.012 at 24C", "--original", "15.2P"],
        "a label": ["gauge", "40.1 % at 20C", "--label", "40"],
        "water to add": ["proof", "20 L 71.3% to 63%"],
        "a card, printed": ["card", "card.pdf"],
    }
    good = True
    with TemporaryDirectory() as folder:
        for what, words in questions.items():
            pairs = [(seconds([*CASKWARD, *words], folder), seconds(BARE, folder)) for _ in range(ROUNDS)]
            ratio = sorted(ours / bare for ours, bare in pairs)[ROUNDS // 2]
            limit = f", at most {MOST:g}" if what == "a reading" else ""
            over = bool(limit) and ratio > MOST
            good &= not over
            best = min(ours for ours, _ in pairs)
            print(f"{what:<24}{best:6.3f} s   {ratio:5.2f} times{limit}{'   TOO SLOW' if over else ''}")
        assert (Path(folder) / "card.pdf").stat().st_size > 0
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
