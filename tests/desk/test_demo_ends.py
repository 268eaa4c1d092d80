"""The invented book that is only for now goes with the desk, however that is told to end."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest

from caskward.desk import serve


def test_a_desk_that_is_told_to_end_leaves_no_folder(monkeypatch) -> None:
    monkeypatch.setenv("CASKWARD_BOOK", "")
    monkeypatch.setattr(serve, "_write_demo", lambda folder: serve.use_book(str(folder / "book.sqlite")))
    before = signal.getsignal(signal.SIGTERM)
    with serve.fresh_demo():
        folder = Path(os.environ["CASKWARD_BOOK"]).parent
        assert folder.is_dir()
        with pytest.raises(SystemExit):
            signal.raise_signal(signal.SIGTERM)
    assert not folder.exists()
    assert signal.getsignal(signal.SIGTERM) is before
