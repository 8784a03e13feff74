"""One incident on paper, and the register of a period: for organisers alone."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from heritage.briefings.sheets import graded_alone
from heritage.common import sheets as paper
from heritage.incidents.models import Incident
from heritage.incidents.selectors import GUIDANCE, IncidentPage, Register
from heritage.kits.paper import blocks as paper_blocks
from heritage.season.models import Demonstration


def incident_sheet(
    page: IncidentPage,
    *,
    photographs: Sequence[tuple[bytes, str]],
    printed_on: date,
    large_print: bool,
) -> bytes:
    """Return one incident whole, with its photographs, as a PDF."""
    place = page.incident.demonstration
    return paper.sheet(
        title=_("Incident %d") % page.incident.pk,
        subtitle=f"{page.kind}, {_moment(page.happened_at, place.zone)}",
        large_print=large_print,
        blocks=graded_alone(
            [
                _in_confidence(),
                paper_blocks.Facts(
                    [(_("Where"), page.place), *_written_down(page, place.zone)]
                ),
                paper_blocks.Heading(_("What happened")),
                paper_blocks.Para(page.account),
                *([paper_blocks.Facts(_facts(page))] if page.facts else []),
                *_witnesses(page),
                *_reporting(page),
                *_photographs(photographs),
            ],
            fixed=[_locked_away(), page.keeping.why, *_advice(page)],
        ),
        footer=_footer(place, printed_on),
    )


def register_sheet(register: Register, *, printed_on: date, large_print: bool) -> bytes:
    """Return the register of a period as a PDF, on its side."""
    place = register.demonstration
    columns = ["", _("When, where"), _("What"), _("Hurt"), _("Reported"), _("Complete")]
    rows = [
        _row(number, one, place.zone) for number, one in enumerate(register.rows, 1)
    ]
    table = paper_blocks.Table(columns, rows, widths=[1, 5, 9, 5, 4, 3])
    nothing = paper_blocks.Para(_("Nothing was reported in these days."))
    return paper.sheet(
        title=_("Register of incidents"),
        subtitle=f"{_day(register.first)} – {_day(register.last)}",  # noqa: RUF001
        large_print=large_print,
        landscape=True,
        blocks=graded_alone(
            [
                _in_confidence(),
                table if rows else nothing,
                paper_blocks.Signature(_("seen by")),
            ],
            fixed=[_locked_away()],
        ),
        footer=_footer(place, printed_on),
    )


def _in_confidence() -> paper_blocks.Block:
    return paper_blocks.Para(_locked_away(), lead=_("In confidence."))


def _locked_away() -> str:
    return _("For the organisers alone: keep it locked away.")


def _written_down(page: IncidentPage, zone: ZoneInfo) -> Iterator[tuple[str, str]]:
    incident = page.incident
    yield (
        _("Written down by"),
        f"{incident.reported_by}, {_moment(incident.reported_at, zone)}",
    )
    done = _("not yet")
    if incident.completed_at:
        done = f"{incident.completed_by}, {_moment(incident.completed_at, zone)}"
    yield _("Complete"), done
    yield _("Kept"), _kept(page)


def _facts(page: IncidentPage) -> list[tuple[str, str]]:
    return [
        (fact.label[:1].upper() + fact.label[1:], fact.words) for fact in page.facts
    ]


def _witnesses(page: IncidentPage) -> Iterator[paper_blocks.Block]:
    if page.witnesses:
        yield paper_blocks.Heading(_("Who saw it"))
    for one in page.witnesses:
        contact = f" ({one.contact})" if one.contact else ""
        yield paper_blocks.Para(one.says or "–", lead=f"{one.name}{contact}:")  # noqa: RUF001


def _reporting(page: IncidentPage) -> Iterator[paper_blocks.Block]:
    yield paper_blocks.Together(
        [
            paper_blocks.Heading(_("Reporting")),
            paper_blocks.Para(_decided(page.incident) or _("Not decided yet.")),
            paper_blocks.Para(f"{page.advice.words}."),
            paper_blocks.Bullets(page.advice.reasons),
            paper_blocks.Para(str(GUIDANCE)),
        ]
    )


def _advice(page: IncidentPage) -> Iterator[str]:
    yield f"{page.advice.words}."
    yield from page.advice.reasons
    yield str(GUIDANCE)


def _decided(incident: Incident) -> str:
    if incident.told_authority_on:
        return _("Reported on %(day)s: %(how)s") % {
            "day": _day(incident.told_authority_on),
            "how": incident.told_authority_how,
        }
    why = incident.not_told_why
    return _("Not reported: %s") % why if why else ""


def _kept(page: IncidentPage) -> str:
    claim = page.keeping.held_for
    until = _("Until %s.") % _day(page.keeping.until)
    longer = _("Kept longer: %s.") % claim if claim else ""
    return f"{until} {page.keeping.why} {longer}".strip()


def _photographs(
    photographs: Sequence[tuple[bytes, str]],
) -> Iterator[paper_blocks.Block]:
    if photographs:
        yield paper_blocks.Heading(_("Photographs"))
    for jpeg, words in photographs:
        yield paper_blocks.Photo(jpeg, alt=words, caption=words, width_mm=110)


def _row(number: int, one: Incident, zone: ZoneInfo) -> list[str]:
    hurt = "; ".join(filter(None, [one.get_who_display(), one.hurt_name, one.injury]))
    return [
        str(number),
        f"{_moment(one.happened_at, zone)}. {one.place}",
        f"{one.get_kind_display()}: {one.account}",
        hurt,
        _decided(one) or _("not decided"),
        f"{one.completed_at.astimezone(zone):%d.%m.%Y}" if one.completed_at else "",
    ]


def _footer(place: Demonstration, printed_on: date) -> paper_blocks.Footer:
    return paper_blocks.Footer(
        owner=place.name, version=_("Printed %s") % f"{printed_on:%d %b %Y}"
    )


def _moment(moment: datetime, zone: ZoneInfo) -> str:
    local = moment.astimezone(zone)
    return f"{local.day} {local:%B %Y, %H:%M}"


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
