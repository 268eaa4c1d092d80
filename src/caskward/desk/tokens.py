"""Tokens by which programs come in: made once, shown once, kept as hashes, each with a role and a name.

A token is 32 random bytes, so it cannot be guessed and one round of SHA-256 is enough to keep it: a slow hash
is for what people think up. Source of SHA-256: fips-180-4; of the way it is sent: rfc-6750 (section 2.1).
"""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from caskward.desk import files
from caskward.desk.people import People, is_name, role_named
from caskward.errors import UnknownName
from caskward.errors.desk import DeskFolderShut
from caskward.errors.desk_api import BadTokenName, NoSuchToken, TokenNameTaken
from caskward.services.book.roles import ROLES, Role

FILE, USED_FILE = "tokens.json", "tokens-used.json"
BEGINS = "caskward_"
"""So that a token is known for one wherever it turns up by mistake."""
_BYTES = 32
_NOTE_EVERY_S = 60.0


@dataclass(frozen=True, slots=True)
class Token:
    """A program that may come in; `hash` is of its token, in hexadecimal digits; `made_at` in UTC."""

    name: str
    role: Role
    hash: str
    made_at: str


class Tokens:
    """The tokens of one desk, in a file for its owner alone."""

    def __init__(self, folder: Path, people: People, now: Callable[[], float] = time.time) -> None:
        """`folder`: the desk's own. `now`: the time [s since 1970]."""
        self._path, self._used_path = folder / FILE, folder / USED_FILE
        self._people, self._now = people, now
        self._noted: dict[str, float] = {}
        self._lock = threading.Lock()

    def all(self) -> tuple[Token, ...]:
        """Every token, in the order in which they were made; raises `DeskFolderShut`."""
        content = files.read(self._path)
        if content is None:
            return ()
        try:
            return tuple(Token(**row) for row in json.loads(content))
        except (ValueError, TypeError):
            raise DeskFolderShut(str(self._path), "it is not as the desk wrote it") from None

    def add(self, name: str, role: str) -> str:
        """Make a token and return it; it is shown this once and kept as a hash.

        Raises:
            InputError: no such role, no name, or a name that is taken.
        """
        name = " ".join(name.split())
        if not is_name(name):
            raise BadTokenName(name)
        if role not in ROLES:
            raise UnknownName("role", role, None, ROLES)
        made = BEGINS + secrets.token_urlsafe(_BYTES)
        with files.alone(self._path):
            self._free(name)
            self._keep([*self.all(), Token(name, role_named(role), _hash(made), self._moment())])
        return made

    def remove(self, name: str) -> str:
        """Take one off and return its name; it is refused from then on. Raises `NoSuchToken`."""
        name = " ".join(name.split())
        with files.alone(self._path):
            known = self.all()
            found = next((one for one in known if one.name.casefold() == name.casefold()), None)
            if found is None:
                raise NoSuchToken(name, tuple(one.name for one in known))
            self._keep([one for one in known if one is not found])
        return found.name

    def find(self, given: str) -> Token | None:
        """The token that was sent; looking takes as long for a wrong one."""
        hashed = _hash(given)
        found = [one for one in self.all() if hmac.compare_digest(one.hash, hashed)]
        return found[0] if found else None

    def used(self, token: Token) -> None:
        """Note that it was used, to the minute: a file for each reading would be too much."""
        with self._lock:
            if self._now() - self._noted.get(token.hash, 0.0) < _NOTE_EVERY_S:
                return
            self._noted[token.hash] = self._now()
        with files.alone(self._used_path):
            known = {one.hash for one in self.all()}
            kept = {key: at for key, at in self._used().items() if key in known}
            kept[token.hash] = self._moment()
            files.write(self._used_path, json.dumps(kept, indent=1).encode())

    def last_used(self) -> dict[str, str]:
        """When each was used last, by its name, in UTC; those that never were are missing."""
        used = self._used()
        return {one.name: used[one.hash] for one in self.all() if one.hash in used}

    def _used(self) -> dict[str, str]:
        try:
            return dict(json.loads(files.read(self._used_path) or b"{}"))
        except (ValueError, TypeError):
            return {}  # it is only for looking at

    def _free(self, name: str) -> None:
        if any(one.name.casefold() == name.casefold() for one in self.all()):
            raise TokenNameTaken(name, "a token")
        if self._people.find(name) is not None:
            raise TokenNameTaken(name, "a person")

    def _keep(self, tokens: list[Token]) -> None:
        content = json.dumps([asdict(one) for one in tokens], ensure_ascii=False, indent=1)
        files.write(self._path, content.encode())

    def _moment(self) -> str:
        return datetime.fromtimestamp(self._now(), UTC).isoformat(timespec="seconds")


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()
