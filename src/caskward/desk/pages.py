"""What a template may use: one frozen dataclass for each page, and for each field what it is for.

A template sees `page`, one of these, and `frame`, what stands around every page. All figures are text in the
maker's own units already; nothing is worked out in a template.
"""

from __future__ import annotations

from dataclasses import MISSING, dataclass, field
from typing import Any

from caskward.desk.screens import Screen
from caskward.services.book.shelf import Lot


def told(help_line: str, default: Any = MISSING) -> Any:
    """A field with a line of help for whoever writes the template."""
    if default is MISSING:
        return field(metadata={"help": help_line})
    return field(default=default, metadata={"help": help_line})


@dataclass(frozen=True, kw_only=True)
class Titled:
    """What every page has."""

    title: str = told("The page's name, in the browser's tab and as its heading.")
    screen: str = told("Key of the screen that the menu marks; empty for none.")


@dataclass(frozen=True, kw_only=True)
class Frame:
    """What stands around every page."""

    title: str = told("The page's name.")
    screen: str = told("Key of the screen that the menu marks.")
    screens: tuple[Screen, ...] = told(
        "Every screen there is, in the order of the menu; none before signing in."
    )
    more: bool = told("Whether the phone's menu marks `More`: the screen has no place of its own there.")
    static: str = told("Where styles and scripts are; changes with their content.")
    token: str = told("The word that each form carries as `token`.")
    who: str = told("Who is signed in; empty on this machine's own screen.")
    role: str = told("What they may do: reader, helper, maker; empty if nobody is signed in.")
    look: str = told("auto, light, dark or contrast.")
    units: str = told("metric or us.")
    live: bool = told("Whether the page listens for changes of the book.")
    invented: bool = told("Whether the book says of itself that it is made up.")
    book: str = told("What tells this book from any other; empty before there is one, or before signing in.")

    @property
    def may_record(self) -> bool:
        """Whether forms that record are shown."""
        return self.role in ("helper", "maker")

    @property
    def may_all(self) -> bool:
        """Whether what only a maker may do is shown."""
        return self.role == "maker"


@dataclass(frozen=True, kw_only=True)
class Refusal(Titled):
    """Something that was not done, and why."""

    sentence: str = told("The whole sentence: what was given, what is allowed, what to do next.")


# Gauging -----------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Answer:
    """An answer of gauging in words."""

    headline: str = told("The answer in one sentence.")
    lines: tuple[tuple[str, str], ...] = told("What, and how much, in the order a maker asks.")
    notes: tuple[str, ...] = told("How sure, and what to mind.")
    assumed: tuple[str, ...] = told("What was taken for granted.")
    cautions: tuple[str, ...] = told("For safety and law.")
    steps: tuple[tuple[str, ...], ...] = told(
        "Additions one by one: day, by mass, by volume, strength then.", ()
    )


@dataclass(frozen=True, kw_only=True)
class Question:
    """One of gauging's questions."""

    key: str = told("Its part of the address.")
    name: str = told("What it is called.")
    label: str = told("What the field asks for.")
    examples: tuple[str, ...] = told("What may be typed; each can be tapped.")
    keys: tuple[str, ...] = told("Words beside a phone's number pad, so that nobody has to leave it.")


@dataclass(frozen=True, kw_only=True)
class GaugingPage(Titled):
    """Quick corrections and dilutions."""

    question: Question = told("The one that is asked.")
    questions: tuple[Question, ...] = told("All of them, in their order.")
    typed: str = told("What was typed, as it was.")
    answer: Answer | None = told("The answer, if something was typed that has one.")
    error: str = told("Why there is no answer; empty if there is, or nothing was typed.")
    typing: bool = told("Whether the field is still being typed in, so that an error is only a hint.")


# Recording ---------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Deed:
    """Something that can be recorded."""

    verb: str = told("The service's name of it.")
    name: str = told("What the button says.")
    example: str = told("How its words are written.")
    in_gallons: str = told("The same in US units.")
    help: str = told("What it is for, in one line.")


@dataclass(frozen=True, kw_only=True)
class RecordForm:
    """One thing to record."""

    key: str = told("The form's own key: sent twice, it is entered once.")
    deeds: tuple[Deed, ...] = told("What may be recorded here; with one there is nothing to choose.")
    verb: str = told("Which of them is chosen.")
    words: str = told("What was typed.")
    before: str = told("Words that stand before what is typed, such as the place: `cask 2`.", "")
    label: str = told("What the field asks for.", "What was done")
    example: str = told("How it is written.", "")
    batch: str = told("For which batch.", "")
    batches: tuple[str, ...] = told("Open batches to choose from.", ())
    at: str = told("When it was done, if not now.", "")
    note: str = told("Anything else to keep.", "")
    error: str = told("Why it was not recorded.", "")
    back: str = told("The page to return to.", "/book")


@dataclass(frozen=True, kw_only=True)
class RecordedPage(Titled):
    """What was recorded just now."""

    sentences: tuple[str, ...] = told("What was entered, what is in its places now, what is asked.")
    repeated: bool = told("Whether it had been recorded before.")
    back: str = told("The page to return to.")
    number: int = told("The entry's number.")


@dataclass(frozen=True, kw_only=True)
class RecordPage(Titled):
    """A form that was sent and refused, or asked for by itself."""

    form: RecordForm = told("The form.")


# The book ----------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class EntryLine:
    """An entry in one line."""

    number: str = told("Its number.")
    done: str = told("When it was done, local time.")
    by: str = told("Who recorded it.")
    kind: str = told("What kind of deed.")
    what: str = told("What it says.")


@dataclass(frozen=True, kw_only=True)
class BookPage(Titled):
    """What is recorded, the newest first."""

    entries: tuple[EntryLine, ...] = told("The newest entries, or those before.")
    older: int = told("Number before which older ones begin; 0 if there are none.")
    newest: bool = told("Whether these are the newest ones.")
    pure: str = told("All pure alcohol in all places.")
    unexplained: tuple[Lot, ...] = told("Differences that a reason is still asked for.")
    form: RecordForm = told("To record something.")
    empty: bool = told("Whether nothing is recorded yet.")


@dataclass(frozen=True, kw_only=True)
class EntryPage(Titled):
    """One entry whole."""

    number: int = told("Its number.")
    summary: str = told("What it says in one line.")
    facts: tuple[tuple[str, str], ...] = told("When, who, batch, note, what was typed, its hash.")
    readings: tuple[str, ...] = told("What was read, as it was.")
    postings: tuple[tuple[str, str, str, str], ...] = told("Path of the account, account, amount, of what.")
    before: int = told("The number of the entry before; 0 for none.")
    after: int = told("The number of the next one; 0 for none.")


@dataclass(frozen=True, kw_only=True)
class AccountsPage(Titled):
    """What is where."""

    rows: tuple[tuple[str, ...], ...] = told("Account, its name, liquid, strength, pure alcohol.")
    everything: bool = told("Whether sources and ends are shown, too.")
    q: str = told("The part of a name that was asked for.", "")
    here: str = told("This page's own address.", "/book/accounts")
    before: str = told("The address of the accounts before these; empty for none.", "")
    more: str = told("The address of the accounts after these; empty for none.", "")


@dataclass(frozen=True, kw_only=True)
class LeafLine:
    """What one entry changed in an account."""

    number: str = told("The entry's number.")
    done: str = told("When it was done, local time.")
    kind: str = told("What kind of deed.")
    changes: tuple[tuple[str, str, str], ...] = told(
        "Of what, the amount with its sign, what was there then."
    )


@dataclass(frozen=True, kw_only=True)
class AccountPage(Titled):
    """One account leaf by leaf."""

    sentence: str = told("What it holds now.")
    account: str = told("Its path.")
    lines: tuple[LeafLine, ...] = told("What went in and out, the newest first.")
    more: bool = told("Whether there are older lines.")
    form: RecordForm | None = told("To say why something is missing, where that is the question.", None)


@dataclass(frozen=True, kw_only=True)
class Table:
    """A table with a heading."""

    title: str = told("Its heading.")
    head: tuple[str, ...] = told("Names of its columns; all empty for none.")
    sides: str = told("`l` or `r` for each column.")
    rows: tuple[tuple[str, ...], ...] = told("Rows of text.")
    strong: frozenset[int] = told("Rows that are sums.")
    sentences: tuple[str, ...] = told("What is said below it.")


@dataclass(frozen=True, kw_only=True)
class ReportPage(Titled):
    """A report of the book."""

    about: str = told("What it is of.")
    answers: tuple[str, ...] = told("The answer in a sentence or two.")
    tables: tuple[Table, ...] = told("Its tables.")
    notes: tuple[str, ...] = told("What to keep in mind.")
    invented: bool = told("Whether the book says of itself that it is made up.")
    period: str | None = told("The period as typed; None where the report has none.", None)
    error: str = told("Why there is no report.", "")
    waiting: str = told("The address to ask again while it is being made; empty once it is there.", "")
    up_to: int = told("The newest entry in it where the book has moved on since; else 0.", 0)
    newest: int = told("The newest entry of the book.", 0)
    again: str = told("Its address, to have it made with everything.", "")


@dataclass(frozen=True, kw_only=True)
class CheckPage(Titled):
    """Whether the book holds."""

    asked: bool = told("Whether it was just proved.")
    whole: bool = told("Whether it holds.")
    sentences: tuple[str, ...] = told("What was found.")


# Places ------------------------------------------------------------------------------------------


# The house itself --------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class FirstPage(Titled):
    """Law and safety, before anything else."""

    next: str = told("Where to go on to.")
    read: bool = told("Whether this browser has been here before.")


@dataclass(frozen=True, kw_only=True)
class SignInPage(Titled):
    """Name and passphrase."""

    next: str = told("Where to go on to.")
    name: str = told("The name that was typed.")
    error: str = told("Why it was refused.")


@dataclass(frozen=True, kw_only=True)
class PersonLine:
    """Someone who may come in."""

    name: str = told("Their name.")
    role: str = told("reader, helper or maker.")


@dataclass(frozen=True, kw_only=True)
class PeoplePage(Titled):
    """Who may come in from the network."""

    people: tuple[PersonLine, ...] = told("Everybody, in the order in which they came.")
    roles: tuple[tuple[str, str], ...] = told("Each role and what it may do.")
    name: str = told("The name that was typed.")
    role: str = told("The role that was chosen.")
    error: str = told("Why nobody was added or changed.")
    done: str = told("What was just done.")
    lan: bool = told("Whether the desk is open to the network now.")


@dataclass(frozen=True, kw_only=True)
class MorePage(Titled):
    """Everything that has no place of its own in a phone's menu."""

    looks: tuple[tuple[str, str], ...] = told("Each look and its name.")
    units: tuple[tuple[str, str], ...] = told("Each system of units and its name.")
    lan: bool = told("Whether the desk is open to the network.")
    address: str = told("The address to open on a phone; empty if the desk is not open to the network.")
    version: str = told("Caskward's version.")
