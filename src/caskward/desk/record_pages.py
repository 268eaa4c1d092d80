"""What the templates of recording again, and of putting right, may use; with help as in `pages`."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.desk.pages import RecordForm, told


@dataclass(frozen=True, kw_only=True)
class AgainForm(RecordForm):
    """A form that was sent and not recorded."""

    ask: bool = told("Whether it is only asked about: sent with a yes, it is recorded.")
