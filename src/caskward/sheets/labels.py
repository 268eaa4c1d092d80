"""A cask's label, and a sheet of data labels for a lot of bottles, as PDF; the code on them as a picture."""

from __future__ import annotations

import io
from dataclasses import asdict
from typing import Literal

from caskward.services.book.labels import Label
from caskward.sheets.press import printed

_MOST_BYTES = 800
"""A code with more in it is too fine to be read off damp paper."""


def code(text: str) -> bytes:
    """A code that a phone's camera reads, as SVG, black on white; a text too long is cut."""
    import segno

    out = io.BytesIO()
    cut = text.encode()[:_MOST_BYTES].decode(errors="ignore")
    segno.make(cut, error="m", micro=False).save(
        out, kind="svg", scale=4, border=4, light="#fff", dark="#000"
    )
    return out.getvalue()


def pdf(label: Label, address: str, kind: Literal["cask", "bottles"]) -> bytes:
    """The label as PDF; the same label gives the same bytes.

    address: the page that the code opens; empty for a code that says the label in words.
    """
    data = {
        "label": asdict(label),
        "kind": kind,
        "code": code(address or label.plain).decode(),
        "code-says": "opens its page" if address else "says the same",
    }
    return printed("label.typ", data, "pdf")[0]
