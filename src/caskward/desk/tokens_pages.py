"""What the page of people may use of tokens."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.desk.pages import PeoplePage, told


@dataclass(frozen=True, kw_only=True)
class TokenLine:
    """A program that may come in."""

    name: str = told("Its name, under which stands what it records.")
    role: str = told("reader, helper or maker.")
    made: str = told("When it was made, local time.")
    used: str = told("When it was used last, local time; empty if it never was.")


@dataclass(frozen=True, kw_only=True)
class PeopleShown(PeoplePage):
    """Who may come in: people and programs."""

    tokens: tuple[TokenLine, ...] = told("Every token, in the order in which they were made.")
    token_made: str = told("The token that was made just now, shown this once.", "")
    token_for: str = told("Whose it is.", "")
    token_name: str = told("The name that was typed.", "")
    token_role: str = told("The role that was chosen.", "helper")
    token_error: str = told("Why none was made or taken off.", "")
