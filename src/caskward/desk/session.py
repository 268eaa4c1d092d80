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
_FILE = "secret"
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
        if said["until"] < self._now():
            return None
        if not said["who"]:
            return Session(said["id"])
        person = self._people.find(said["who"])
        fits = person is not None and hmac.compare_digest(person.stamp, said["stamp"])
        return Session(said["id"], person) if fits else None

    def token(self, session: Session) -> str:
        """The word that forms of this sign-in carry."""
        return self._signed("form", session.id)

    def is_token(self, session: Session, given: str) -> bool:
        """Whether a form came from a page of this sign-in."""
        return hmac.compare_digest(given.encode(), self.token(session).encode())

    def _signed(self, what: str, text: str) -> str:
        made = hmac.new(self._secret, f"{what}\0{text}".encode("utf-8", "replace"), hashlib.sha256)
        return base64.urlsafe_b64encode(made.digest()).decode().rstrip("=")


def _secret(path: Path) -> bytes:
    kept = files.read(path)
    if kept is not None and len(kept) >= _SECRET_BYTES:
        return kept
    made = secrets.token_bytes(_SECRET_BYTES)
    files.write(path, made)
    return made
