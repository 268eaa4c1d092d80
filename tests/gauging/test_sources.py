"""Every source that gauging names is in the list of sources."""

from __future__ import annotations

from pathlib import Path

import pytest

from caskward import gauging
from caskward.sources import load_sources
from tests.properties.test_sources_named import named_sources

MODULES = sorted(Path(gauging.__file__).parent.glob("*.py"))


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_named_sources_exist(path: Path) -> None:
    assert named_sources(path) <= set(load_sources())


def test_gauging_names_its_sources() -> None:
    named = set().union(*(named_sources(path) for path in MODULES))
    assert {"27-cfr-30", "oiml-r22-1975", "crc-ethanol-refraction", "hmrc-notice-226"} <= named
