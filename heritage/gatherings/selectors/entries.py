"""A gathering as a calendar holds it, for feeds and for mail."""

from django.conf import settings
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering
from heritage.gatherings.selectors.light import light_of, was
from heritage.kits.ical import Entry


def calendar_entry(gathering: Gathering) -> Entry:
    """Return the entry; it names no volunteer and depends on the row alone."""
    demonstration = gathering.demonstration
    return Entry(
        uid=gathering.uid,
        stamp=gathering.revised_at,
        starts=gathering.starts_at,
        ends=gathering.ends_at,
        summary=_("%(title)s, %(demonstration)s")
        % {"title": gathering.title, "demonstration": demonstration.name},
        location=f"{gathering.place}, {demonstration.place_name}",
        description=_description(gathering),
        url=address(gathering),
        sequence=gathering.sequence,
        cancelled=gathering.is_called_off,
        categories=[gathering.get_stage_display()],
    )


def address(gathering: Gathering) -> str:
    """Return the whole web address of a gathering's page."""
    return f"{settings.SITE_ADDRESS}{gathering.get_absolute_url()}"


def _description(gathering: Gathering) -> str:
    told = [was(gathering), gathering.note]
    lines = [words for words in told if words]
    if gathering.bring:
        lines.append(_("Bring: %s") % gathering.bring)
    lines.append(_("The light: %s.") % light_of(gathering).words)
    return "\n".join(lines)
