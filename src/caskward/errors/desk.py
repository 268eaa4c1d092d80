"""What the desk refuses: who may do what, where a page was sent from, how much may be sent."""

from __future__ import annotations

from caskward.errors.common import CaskwardError, InputError


class DeskRefusal(CaskwardError):
    """Something that the desk does not do for whoever asks; `status` is HTTP's number for it."""

    exit_code = 2
    status = 403


class UnknownHost(DeskRefusal):
    """The desk was called by a name that it does not answer to."""

    status = 421

    def __init__(self) -> None:
        super().__init__(
            "This desk does not answer to the name in your browser's address line. Open it by the address "
            "that it printed when it was started."
        )


class SentFromElsewhere(DeskRefusal):
    """A form that did not come from one of the desk's own pages."""

    def __init__(self) -> None:
        super().__init__(
            "This was not sent from a page of this desk, or the page was too old; nothing was recorded. "
            "Open the page again and send it from there."
        )


class NotYourRole(DeskRefusal):
    """Someone signed in asks for what another role may do."""

    def __init__(self, name: str, role: str, needed: str) -> None:
        super().__init__(
            f"{name or 'You'} may not do this: it needs a {needed}, and yours is {role}. Nothing was "
            "changed. Ask the maker, who can give you another role."
        )


class SignInFirst(DeskRefusal):
    """Nobody is signed in."""

    status = 401

    def __init__(self) -> None:
        super().__init__("Sign in first; nothing was recorded.")


class WrongPassphrase(DeskRefusal):
    """A name and passphrase that do not belong together."""

    def __init__(self) -> None:
        super().__init__("That name and passphrase do not belong together. Check both and try again.")


class TriedTooOften(DeskRefusal):
    """Too many wrong passphrases."""

    status = 429

    def __init__(self, wait_s: float) -> None:
        minutes = max(1, round(wait_s / 60))
        wait = f"{wait_s:.0f} s" if wait_s < 90 else f"{minutes} min"
        super().__init__(f"Too many wrong tries. Wait {wait}, then try again.")
        self.wait_s = wait_s


class TooMuchSent(DeskRefusal):
    """A form or file larger than the desk takes."""

    status = 413

    def __init__(self, most_bytes: int) -> None:
        super().__init__(
            f"That is more than the desk takes at once, {most_bytes // 1024:,} kB. Send less of it."
        )


class SentTooSlowly(DeskRefusal):
    """A form whose end did not come."""

    status = 408

    def __init__(self) -> None:
        super().__init__(
            "What you sent did not arrive whole in time; nothing was recorded. Go where the network is "
            "better and send it again."
        )


class NoSuchPage(DeskRefusal):
    """An address that leads nowhere."""

    status = 404

    def __init__(self) -> None:
        super().__init__("There is no such page. It may have moved: look for it from the menu.")


class NotThatWay(DeskRefusal):
    """A page asked for in a way that it does not answer to."""

    status = 405

    def __init__(self) -> None:
        super().__init__("This page cannot be asked for like that. Open it from the menu.")


class OwnFault(CaskwardError):
    """A fault of Caskward's own, said without its insides."""

    def __init__(self) -> None:
        super().__init__(
            "Something went wrong inside Caskward, and it is not your fault. What was recorded before is "
            "safe. Try once more; if it happens again, please report what you did."
        )


class PassphraseTooShort(InputError):
    """A passphrase that is quickly guessed."""

    def __init__(self, given: int, least: int) -> None:
        super().__init__(
            f"That passphrase has {given} characters, but it must have at least {least}. Four words in a row "
            "are easy to keep in mind and hard to guess."
        )


class NoSuchPerson(InputError):
    """A name that nobody at this desk has."""

    def __init__(self, given: str, known: tuple[str, ...]) -> None:
        there = f"There are: {', '.join(known)}." if known else "Nobody is there yet."
        super().__init__(f"Nobody at this desk is called {given!r}. {there}")


class LastMaker(InputError):
    """The only maker left."""

    def __init__(self, name: str) -> None:
        super().__init__(f"{name} is the only maker at this desk. Make someone else a maker first.")


class BadPersonName(InputError):
    """A name that cannot stand beside an entry."""

    def __init__(self, given: str) -> None:
        super().__init__(
            f"{given!r} is no name for a person. Give 1 to 40 letters, digits, spaces, points or hyphens, "
            "such as: Maud"
        )


class NobodyYet(InputError):
    """The desk is to be opened to the network, but nobody has a passphrase."""

    def __init__(self) -> None:
        super().__init__(
            "Nobody has a passphrase yet, so the desk stays closed to the network. "
            "Add yourself first: caskward desk add NAME --role maker"
        )


class PortTaken(InputError):
    """Another program listens where the desk would."""

    def __init__(self, port: int, why: str) -> None:
        super().__init__(
            f"The desk cannot listen on port {port}: {why}. Try another: caskward desk --port {port + 1}"
        )


class DeskFolderShut(InputError):
    """The folder in which the desk keeps who may come in cannot be used."""

    def __init__(self, path: str, why: str) -> None:
        super().__init__(
            f"The desk's own files cannot be kept at {path}: {why}. Make that folder writable for you."
        )


class FieldTooLong(InputError):
    """More letters than a field takes."""

    def __init__(self, field: str, given: int, most: int) -> None:
        super().__init__(f"{field[:40]!r} has {given:,} letters, but takes {most:,}. Say it in fewer words.")


class PassphrasesDiffer(InputError):
    """The second time something else was typed."""

    def __init__(self) -> None:
        super().__init__("The two passphrases differ, so nothing was changed. Try again.")
