"""Whose record a reader may open."""

from django.http import Http404
from django.shortcuts import get_object_or_404

from heritage.common.access import row_or_404
from heritage.people.models import Volunteer
from heritage.people.request import Request, VolunteerRequest


def own_record(request: Request, pk: int) -> Volunteer:
    """Return whose record it is, of those that the reader may open.

    One's own, that of a child one answers for, and for an organiser a line without
    an account, whose owner has nobody else to ask here.

    Raises
    ------
    Http404
        If it is anybody else's.
    """
    mine = request.standing.volunteer
    if mine and mine.pk == pk:
        return mine
    rows = Volunteer.objects.of(request.standing.demonstration).unmerged()
    if request.standing.is_organiser:
        rows = rows.managed_by(request.user).without_account()
        paper = rows.filter(pk=pk).select_related("demonstration").first()
        if paper:
            return paper
    if mine is None:
        raise Http404
    children = mine.children.active().select_related("demonstration")
    return get_object_or_404(children, pk=pk)


def managed_person(request: Request, pk: int) -> Volunteer:
    """Return a line of the demonstration, for its organiser."""
    rows = Volunteer.objects.managed_by(request.user).unmerged()
    return row_or_404(rows.select_related("demonstration"), request, pk)


def myself(request: VolunteerRequest) -> Volunteer:
    """Return the reader's own line; a keeper who has not joined has none."""
    if request.standing.volunteer is None:
        raise Http404
    return request.standing.volunteer
