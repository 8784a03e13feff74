"""When a stage was, or is to be, in words."""

from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext


def stage_day(
    state: str, first: date | None, last: date | None, planned: date | None
) -> str:
    """Say when a stage was, or is to be, in two or three words."""
    if state == "done" and last:
        if first in (None, last):
            return date_format(last, "j M")
        days = {"first": date_format(first, "j M"), "last": date_format(last, "j M")}
        return gettext("%(first)s to %(last)s") % days
    if state == "going" and first:
        return gettext("since %s") % date_format(first, "j M")
    if state == "planned" and planned:
        return gettext("from %s") % date_format(planned, "j M")
    return ""
