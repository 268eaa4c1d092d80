"""What the templates of recording again, and of putting right, may use; with help as in `pages`."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.desk.pages import RecordForm, Titled, told
from caskward.services.book.wrong import Wrong


@dataclass(frozen=True, kw_only=True)
class AgainForm(RecordForm):
    """A form that was sent and not recorded."""

    ask: bool = told("Whether it is only asked about: sent with a yes, it is recorded.")


@dataclass(frozen=True, kw_only=True)
class WrongPage(Titled):
    """An entry to be taken back or put right."""

    of: Wrong = told("The entry, as it may be put right.")
    why: str = told("Why, as it was typed.")
    key: str = told("The form's own key: sent twice, it is entered once.")
    error: str = told("Why it was not put right.")
    back: str = told("The page to return to.")
