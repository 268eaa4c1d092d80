"""Who may come in from the network, with which role; passphrases are kept as scrypt hashes only.

Source of scrypt and its parameters: rfc-7914 (N, r, p; 16 bytes of salt or more), N chosen here so that one
try takes 32 MB and about a tenth of a second on a small machine.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import re
import secrets
import threading
import unicodedata
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from caskward.desk import files
from caskward.errors import UnknownName
from caskward.errors.desk import BadPersonName, DeskFolderShut, LastMaker, NoSuchPerson, PassphraseTooShort
from caskward.services.book.roles import ROLES, Role

LEAST_LETTERS = 10
FILE = "people.json"
_NAME = re.compile(r"\w[\w .\-’']{0,38}[\w.]|\w")
_N, _R, _P = 2**15, 8, 1
_SALT_BYTES, _HASH_BYTES = 16, 32
_at_once = threading.Semaphore(2)  # each try takes 32 MB


@dataclass(frozen=True, slots=True)
class Person:
    """Someone at the desk; `hash` is of the passphrase with the salt, both in hexadecimal digits.

    epoch: another one each time that all their sign-ins are ended.
    """

    name: str
    role: Role
    salt: str = ""
    hash: str = ""
    n: int = _N
    epoch: str = ""

    @property
    def stamp(self) -> str:
        """Changes with the passphrase or the epoch, so that older sessions end."""
        return self.hash[:12] + self.epoch


class People:
    """The people of one desk, in a file for its owner alone."""

    def __init__(self, folder: Path) -> None:
        """`folder`: the desk's own."""
        self._path = folder / FILE

    def all(self) -> tuple[Person, ...]:
        """Everybody, in the order in which they came; raises `DeskFolderShut`."""
        content = files.read(self._path)
        if content is None:
            return ()
        try:
            return tuple(Person(**row) for row in json.loads(content))
        except (ValueError, TypeError):
            raise DeskFolderShut(str(self._path), "it is not as the desk wrote it") from None

    def find(self, name: str) -> Person | None:
        """Someone by name, however it is written."""
        return next((one for one in self.all() if one.name.casefold() == _tidied(name).casefold()), None)

    def add(self, name: str, role: str, passphrase: str) -> Person:
        """Add someone, or give them another role and passphrase.

        Raises:
            InputError: no such role, no name, a passphrase too short, or no maker would be left.
        """
        name = _tidied(name)
        if not is_name(name):
            raise BadPersonName(name)
        if role not in ROLES:
            raise UnknownName("role", role, None, ROLES)
        passphrase = _as_typed(passphrase)
        if len(passphrase) < LEAST_LETTERS:
            raise PassphraseTooShort(len(passphrase), LEAST_LETTERS)
        salt = secrets.token_hex(_SALT_BYTES)
        hashed = _hash(passphrase, salt, _N)  # slow, so before others must wait
        with files.alone(self._path):
            known = self.find(name)
            person = Person(known.name if known else name, role_named(role), salt, hashed)
            others = [one for one in self.all() if known is None or one.name != known.name]
            self._keep([*others, person], name)
        return person

    def set_role(self, name: str, role: str) -> Person:
        """Give someone another role; raises `NoSuchPerson`, `LastMaker`."""
        if role not in ROLES:
            raise UnknownName("role", role, None, ROLES)
        with files.alone(self._path):
            person = self._known(name)
            changed = replace(person, role=role_named(role))
            self._keep([changed if one.name == person.name else one for one in self.all()], person.name)
        return changed

    def remove(self, name: str) -> None:
        """Take someone off; raises `NoSuchPerson`, `LastMaker`."""
        with files.alone(self._path):
            person = self._known(name)
            self._keep([one for one in self.all() if one.name != person.name], person.name)

    def end_sessions(self, name: str) -> Person:
        """End every sign-in of somebody, wherever it is; raises `NoSuchPerson`."""
        with files.alone(self._path):
            person = self._known(name)
            changed = replace(person, epoch=secrets.token_hex(4))
            self._keep([changed if one.name == person.name else one for one in self.all()], person.name)
        return changed

    def check(self, name: str, passphrase: str) -> Person | None:
        """The person whose passphrase this is; an unknown name takes as long as a known one."""
        person = self.find(name)
        salt, wanted, n = (person.salt, person.hash, person.n) if person else ("00" * _SALT_BYTES, "", _N)
        given = _hash(_as_typed(passphrase), salt, n)
        return person if person and hmac.compare_digest(given, wanted) else None

    def _known(self, name: str) -> Person:
        person = self.find(name)
        if person is None:
            raise NoSuchPerson(_tidied(name), tuple(one.name for one in self.all()))
        return person

    def _keep(self, people: list[Person], changed: str) -> None:
        if self.all() and not any(one.role == "maker" for one in people):
            raise LastMaker(changed)
        content = json.dumps([asdict(one) for one in people], ensure_ascii=False, indent=1)
        files.write(self._path, content.encode())


def is_name(text: str) -> bool:
    """Whether it can stand beside an entry."""
    return _NAME.fullmatch(text) is not None


def role_named(text: str) -> Role:
    """The role of that name, which is known to be one."""
    return next(role for role in ROLES if role == text)


def _tidied(name: str) -> str:
    return unicodedata.normalize("NFC", " ".join(name.split()))


def _as_typed(passphrase: str) -> str:
    """The same from a terminal and from every phone, which may write a letter with its accent in two ways."""
    return unicodedata.normalize("NFC", passphrase.strip())


def _hash(passphrase: str, salt: str, n: int) -> str:
    with _at_once:
        made = hashlib.scrypt(
            passphrase.encode(), salt=bytes.fromhex(salt), n=n, r=_R, p=_P,
            maxmem=64 * 1024 * 1024, dklen=_HASH_BYTES,
        )  # fmt: skip
    return made.hex()
