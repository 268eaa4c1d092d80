"""What the page about the interface for programs may use."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.desk.pages import Titled, told


@dataclass(frozen=True, kw_only=True)
class FieldLine:
    """A field that is asked for or comes back."""

    name: str = told("Its name.")
    kind: str = told("What kind of thing it is.")
    of: str = told("The shape it is made of, described below; empty for a plain one.")
    needed: bool = told("Whether it must be there.")
    what: str = told("What it is, with its unit.")


@dataclass(frozen=True, kw_only=True)
class Call:
    """Something that can be asked or recorded."""

    key: str = told("Its name, for an address on the page.")
    method: str = told("GET or POST.")
    path: str = told("Its address behind the interface's own.")
    what: str = told("What it does.")
    fields: tuple[FieldLine, ...] = told("What is asked for: in the address, or sent as JSON.")
    answer: str = told("The shape that comes back.")
    refusals: tuple[tuple[str, str], ...] = told("HTTP's numbers of its own refusals, and what each means.")
    example: str = told("A command that asks it.")


@dataclass(frozen=True, kw_only=True)
class Group:
    """Calls that belong together."""

    name: str = told("Its name.")
    what: str = told("What they are about.")
    calls: tuple[Call, ...] = told("The calls.")


@dataclass(frozen=True, kw_only=True)
class Shape:
    """Something that comes back, or is sent."""

    name: str = told("Its name.")
    what: str = told("What it is.")
    fields: tuple[FieldLine, ...] = told("Its fields.")


@dataclass(frozen=True, kw_only=True)
class ApiPage(Titled):
    """What programs can ask of this desk, and record."""

    about: tuple[str, ...] = told("Paragraphs.")
    address: str = told("Where it is.")
    description: str = told("The address of its machine-readable description.")
    lan: bool = told("Whether the desk is open to the network.")
    groups: tuple[Group, ...] = told("Every call.")
    refusals: tuple[tuple[str, str], ...] = told("HTTP's numbers that every call may answer with.")
    shapes: tuple[Shape, ...] = told("Everything that comes back or is sent.")
