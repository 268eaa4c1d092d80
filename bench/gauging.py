"""How long gauging takes, as ratios measured in one run, so that they hold on any machine.

Inverting a million densities at mixed temperatures, against one forward evaluation over the same array (4 at
most). One reading on the command line, against starting Python with numpy (2 at most).
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np

from caskward.gauging.instruments import instrument
from caskward.gauging.readings import SpiritReading
from caskward.gauging.strength import gauge
from caskward.properties import alcohol

MOST_INVERSE, MOST_READING = 4.0, 2.0
ONE_READING = (
    "from caskward.services.gauging import GaugeAsk, ReadingAsk, gauge;"
    "from caskward.services.gauging_words import words;"
    "print(words(gauge(GaugeAsk((ReadingAsk('47 % at 28C'),)))).headline)"
)
COMMAND = [sys.executable, "-m", "caskward", "gauge", "47 % at 28C"]


def ratio(call: Callable[[], object], base: Callable[[], object], rounds: int) -> tuple[float, float]:
    """Best time of a call [s], and its middle ratio to another, each pair measured side by side."""
    times, ratios = [], []
    for _ in range(rounds):
        start = time.perf_counter()
        base()
        middle = time.perf_counter()
        call()
        end = time.perf_counter()
        times.append(end - middle)
        ratios.append((end - middle) / (middle - start))
    return min(times), sorted(ratios)[len(ratios) // 2]


def run(words: list[str]) -> None:
    subprocess.run(words, check=True, capture_output=True)


def report(what: str, seconds: float, times: float, most: float | None) -> bool:
    """Print a line; false if the ratio is over what is allowed."""
    limit = f", at most {most:g}" if most else ""
    over = most is not None and times > most
    print(f"{what:<52} {seconds:8.4f} s   {times:5.2f} times{limit}{'   TOO SLOW' if over else ''}")
    return not over


def main() -> int:
    rng = np.random.default_rng(1)
    fraction, temp_c = rng.random(1_000_000), rng.uniform(-20.0, 40.0, 1_000_000)
    density = alcohol.density(fraction, temp_c)
    seconds, times = ratio(
        lambda: alcohol.mass_fraction_from_density(density, temp_c),
        lambda: alcohol.density(fraction, temp_c),
        9,
    )
    good = report("1,000,000 densities inverted, to one evaluation", seconds, times, MOST_INVERSE)

    device, clock = instrument("oiml-2"), instrument("thermometer")
    reading = SpiritReading(47.0, "pct_vol", 28.0, device, clock)
    seconds, times = ratio(lambda: gauge([reading]), lambda: alcohol.true_strength(47.0, 28.0), 200)
    good &= report("one reading with its doubt, to the bare correction", seconds, times, None)

    bare = [sys.executable, "-c", "import numpy"]
    seconds, times = ratio(lambda: run([sys.executable, "-c", ONE_READING]), lambda: run(bare), 9)
    good &= report("one reading through the service, to `import numpy`", seconds, times, MOST_READING)
    if subprocess.run(COMMAND, check=False, capture_output=True).returncode == 0:
        seconds, times = ratio(lambda: run(COMMAND), lambda: run(bare), 9)
        good &= report("`caskward gauge`, to `import numpy`", seconds, times, MOST_READING)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
