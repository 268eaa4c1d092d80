"""Styles, scripts, type and icons, read once and packed once; their address changes with their content."""

from __future__ import annotations

import gzip
import hashlib
from dataclasses import dataclass
from importlib import resources
from importlib.resources.abc import Traversable

from starlette.requests import Request
from starlette.responses import Response

_KINDS = {
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "woff2": "font/woff2",
    "svg": "image/svg+xml",
    "png": "image/png",
    "txt": "text/plain; charset=utf-8",
    "webmanifest": "application/manifest+json",
}
_PACKED_ALREADY = ("woff2", "png")
_FOREVER = "public, max-age=31536000, immutable"


@dataclass(frozen=True, slots=True)
class StaticFile:
    """One file: as it is, packed (or nothing where that is no smaller), its kind, its mark."""

    plain: bytes
    packed: bytes
    kind: str
    mark: str


class StaticFiles:
    """All files in `static/` and below it."""

    def __init__(self) -> None:
        self.files = dict(_read(resources.files("caskward.desk") / "static", ""))
        whole = hashlib.sha256()
        for name in sorted(self.files):
            whole.update(f"{name}\0{self.files[name].mark}\0".encode())
        self.version = whole.hexdigest()[:12]

    def answer(self, request: Request, name: str, *, forever: bool = True) -> Response | None:
        """A file as an answer; None if there is none of that name."""
        file = self.files.get(name)
        if file is None:
            return None
        headers = {
            "ETag": f'"{file.mark}"',
            "Cache-Control": _FOREVER if forever else "public, max-age=3600",
            "Vary": "Accept-Encoding",
        }
        if request.headers.get("if-none-match") == headers["ETag"]:
            return Response(status_code=304, headers=headers)
        if file.packed and "gzip" in request.headers.get("accept-encoding", ""):
            return Response(
                file.packed, headers={**headers, "Content-Encoding": "gzip"}, media_type=file.kind
            )
        return Response(file.plain, headers=headers, media_type=file.kind)


def _read(folder: Traversable, path: str) -> list[tuple[str, StaticFile]]:
    found = []
    for item in folder.iterdir():
        name = f"{path}{item.name}"
        if item.is_dir():
            found += _read(item, f"{name}/")
        elif (kind := item.name.rpartition(".")[2]) in _KINDS:
            found.append((name, _file(item.read_bytes(), kind)))
    return found


def _file(content: bytes, kind: str) -> StaticFile:
    packed = b"" if kind in _PACKED_ALREADY else gzip.compress(content, 9, mtime=0)
    packed = packed if len(packed) < len(content) else b""
    return StaticFile(content, packed, _KINDS[kind], hashlib.sha256(content).hexdigest()[:16])
