"""What the desk calls now: one place, so that two pages made a moment apart can be compared."""

from __future__ import annotations

from datetime import datetime


def now() -> datetime:
    """This moment, with the zone of the machine that serves the desk."""
    return datetime.now().astimezone()
