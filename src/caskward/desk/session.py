"""Who a browser belongs to: a signed cookie, and from it the word that every form of this browser carries."""

from __future__ import annotations

import base64
import hashlib
import hmac
import json
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from caskward.desk import files
from caskward.desk.people import People, Person

DAYS = 30
KNOWN_DAYS = 365
_FILE, _ENDED = "secret", "ended.json"
_SECRET_BYTES = 32


@dataclass(frozen=True, slots=True)
class Session:
    """A browser: its own random name, and who signed in on it."""

    id: str
    person: Person | None = None


class Sessions:
    """Makes and reads the cookie; the secret that signs it lies in the desk's folder."""

    def __init__(self, folder: Path, people: People, now: Callable[[], float] = time.time) -> None:
        """`now`: the time [s since 1970]."""
        self._people, self._now = people, now
        self._ended_path = folder / _ENDED
        self._ended = _ended(self._ended_path)
        self._secret = _secret(folder / _FILE)

    def new(self, person: Person | None = None) -> Session:
        """A session with a name of its own."""
        return Session(secrets.token_urlsafe(18), person)

    def cookie(self, session: Session) -> str:
        """The cookie's value."""
        person = session.person
        said = {
            "id": session.id,
            "who": person.name if person else "",
            "stamp": person.stamp if person else "",
            "until": int(self._now()) + DAYS * 86400,
        }
        body = base64.urlsafe_b64encode(json.dumps(said, separators=(",", ":")).encode()).decode()
        return f"{body}.{self._signed('cookie', body)}"

    def read(self, cookie: str) -> Session | None:
        """The session of a cookie; None if it was not made here, is too old, or its person has changed."""
        body, _, signature = cookie.partition(".")
        # In bytes: of texts, only plain letters can be compared in constant time.
        if not hmac.compare_digest(signature.encode(), self._signed("cookie", body).encode()):
            return None
        said = json.loads(base64.urlsafe_b64decode(body))
        if said["until"] < self._now() or said["id"] in self._ended:
            return None
        if not said["who"]:
            return Session(said["id"])
        person = self._people.find(said["who"])
        fits = person is not None and hmac.compare_digest(person.stamp, said["stamp"])
        return Session(said["id"], person) if fits else None

    def end(self, session: Session) -> None:
        """It is over for whoever has its cookie, on this browser or copied from it."""
        with files.alone(self._ended_path):
            kept = {key: until for key, until in _ended(self._ended_path).items() if until > self._now()}
            kept[session.id] = int(self._now()) + DAYS * 86400
            files.write(self._ended_path, json.dumps(kept).encode())
            self._ended = kept

    def known(self, name: str) -> str:
        """What a browser keeps to show that somebody signed in on it; it opens nothing."""
        said = json.dumps([name.casefold(), secrets.token_urlsafe(9)]).encode()
        body = base64.urlsafe_b64encode(said).decode()
        return f"{body}.{self._signed('known', body)}"

    def is_known(self, kept: str, name: str) -> bool:
        """Whether it was made here for somebody of that name."""
        body, _, signature = kept.partition(".")
        if not hmac.compare_digest(signature.encode(), self._signed("known", body).encode()):
            return False
        return bool(json.loads(base64.urlsafe_b64decode(body))[0] == name.casefold())

    def token(self, session: Session) -> str:
        """The word that forms of this sign-in carry."""
        return self._signed("form", session.id)

    def is_token(self, session: Session, given: str) -> bool:
        """Whether a form came from a page of this sign-in."""
        return hmac.compare_digest(given.encode(), self.token(session).encode())

    def _signed(self, what: str, text: str) -> str:
        made = hmac.new(self._secret, f"{what}\0{text}".encode("utf-8", "replace"), hashlib.sha256)
        return base64.urlsafe_b64encode(made.digest()).decode().rstrip("=")


def _ended(path: Path) -> dict[str, int]:
    try:
        return dict(json.loads(files.read(path) or b"{}"))
    except (ValueError, TypeError):
        return {}


def _secret(path: Path) -> bytes:
    kept = files.read(path)
    if kept is not None and len(kept) >= _SECRET_BYTES:
        return kept
    made = secrets.token_bytes(_SECRET_BYTES)
    files.write(path, made)
    return made
