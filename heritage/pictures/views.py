"""Pages of the picture record, and the pictures themselves."""

from typing import cast

from django.contrib import messages
from django.db.models.fields.files import FieldFile
from django.http import (
    FileResponse,
    Http404,
    HttpResponse,
    HttpResponseBase,
    HttpResponseNotModified,
)
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import (
    asks_and_takes,
    carried_out,
    done_or_said,
    made,
    sent,
    typed,
)
from heritage.common.photographs import read_photograph
from heritage.common.sheets import pdf_response
from heritage.gatherings.models import Gathering, GatheringQuerySet
from heritage.kits.imaging import kind_of
from heritage.people.agreements.selectors import current_words
from heritage.people.models import Subject, Volunteer, VolunteerQuerySet
from heritage.people.request import Request, VolunteerRequest
from heritage.pictures import selectors, services, sheets
from heritage.pictures.forms import (
    DeleteForm,
    DescriptionForm,
    PermissionForm,
    PictureForm,
)
from heritage.pictures.models import PaperPermission, Picture

ENDINGS = {"jpeg": "jpg"}


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def picture_list(request: Request) -> HttpResponse:
    """Show the pictures by stage: the published ones, and all to members."""
    home = request.standing.demonstration
    context = {
        "wall": selectors.wall(home, request.user),
        "deleted": selectors.deleted(home, request.user)
        if request.standing.is_organiser
        else (),
    }
    return render(request, "pictures/picture_list.html", context)


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def picture(request: Request, pk: int) -> HttpResponse:
    """Show one picture with all that is said of it; who is in it, to members alone."""
    found, standing = _picture(request, pk=pk), request.standing
    member = standing.is_volunteer or standing.is_organiser
    context: dict[str, object] = {
        "picture": found,
        "people": selectors.people_in(found) if member else None,
        "may_edit": standing.is_organiser or found.added_by_id == request.user.pk,
    }
    if standing.is_organiser:
        context["permissions"] = selectors.permissions_of(found)
        context["missing"] = selectors.missing(found)
    return render(request, "pictures/picture_detail.html", context)


@opens_to(Role.VOLUNTEER)
@asks_and_takes
def add(request: VolunteerRequest) -> HttpResponse:
    """Take in a photograph."""
    form = PictureForm(
        *sent(request),
        gatherings=_gatherings(request),
        people=_people(request),
        initial={
            "credit": request.user.name,
            "gathering": request.GET.get("gathering"),
        },
    )
    added = made(request, form, lambda: _added(request, form))
    if added:
        messages.success(request, _("The picture is in the record."))
        return redirect(added)
    form.ask_for_the_file_again()
    return render(request, "pictures/picture_add.html", {"form": form})


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def edit(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Put right what is said of a picture: an organiser, or whoever added it."""
    found = _mine(request, pk)
    form = DescriptionForm(
        typed(request),
        instance=_mine(request, pk),
        gatherings=_gatherings(request),
        people=_people(request, found),
    )
    mended = made(
        request,
        form,
        lambda: services.edit_picture(
            picture=found,
            said=_said(form),
            people=form.cleaned_data["people"],
            now=clock.now(),
            by=request.user,
        ),
    )
    if mended:
        messages.success(request, _edited_words(found, mended))
        return redirect(mended)
    context = {"form": form, "picture": found}
    return render(request, "pictures/picture_edit.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def publish(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show a picture to visitors."""
    found = _picture(request, pk=pk)
    done_or_said(
        request,
        lambda: services.publish(picture=found),
        _("Visitors see the picture now."),
    )
    return redirect(found)


@opens_to(Role.ORGANISER)
@require_POST
def withdraw(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a picture away from visitors."""
    found = services.withdraw(picture=_picture(request, pk=pk))
    messages.success(request, _("Visitors no longer see the picture."))
    return redirect(found)


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def delete(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Delete a picture with its original: an organiser, or whoever added it."""
    found, form = _mine(request, pk), DeleteForm(typed(request))
    gone = made(
        request,
        form,
        lambda: services.delete_picture(
            picture=found, by=request.user, now=clock.now(), **form.cleaned_data
        ),
    )
    if gone:
        messages.success(request, _("The picture and its original are deleted."))
        return redirect("pictures:list", found.demonstration.slug)
    context = {"form": form, "picture": found}
    return render(request, "pictures/picture_delete.html", context)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def add_permission(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Keep word of a permission on paper."""
    found, form = _picture(request, pk=pk), PermissionForm(typed(request))
    if carried_out(
        request,
        form,
        lambda: services.add_permission(
            picture=found, by=request.user, now=clock.now(), **form.cleaned_data
        ),
    ):
        messages.success(request, _("The permission is added."))
        return redirect(found)
    context = {"form": form, "picture": found}
    return render(request, "pictures/permission_add.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def remove_permission(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a permission on paper away, and hide the picture if it rested on it."""
    rows = PaperPermission.objects.managed_by(request.user)
    here = rows.of(request.standing.demonstration)
    found = services.remove_permission(permission=get_object_or_404(here, pk=pk))
    messages.success(
        request,
        _("The permission is removed.")
        if found.is_published
        else _("The permission is removed. Visitors don't see the picture."),
    )
    return redirect(found)


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def permission_sheet(request: Request, *, child: bool) -> HttpResponse:
    """Give the form to be signed: by an adult, or by a child's guardian."""
    home = request.standing.demonstration
    pdf = sheets.permission_sheet(
        home,
        current_words(home, Subject.PHOTOGRAPH),
        child=child,
        printed_on=clock.today(home.time_zone),
        large_print=request.GET.get("large") == "1",
    )
    return pdf_response(pdf, "permission-child" if child else "permission-adult")


@opens_to(Role.VISITOR)
@require_safe
def file(request: Request, key: str, size: str) -> HttpResponseBase:
    """Send one clean copy of a picture to whoever may see it."""
    found = _picture(request, key=key)
    if size not in {"large", "small"}:
        raise Http404
    # Asked for anew each time, so that a withdrawn picture is gone at once; what has
    # not changed is not sent twice.
    tag = f'"{found.sha256[:32]}-{size}"'
    response: HttpResponseBase
    if request.headers.get("If-None-Match") == tag:
        response = HttpResponseNotModified()
    else:
        response = FileResponse(
            _opened(getattr(found, size)), content_type="image/jpeg"
        )
    response["ETag"] = tag
    return _sealed(response)


@opens_to(Role.ORGANISER)
@require_safe
def original(request: Request, pk: int) -> HttpResponseBase:
    """Send the file as it came, to be saved and never shown."""
    found = _picture(request, pk=pk)
    stored = _opened(found.original)
    kind = kind_of(stored.read(16))
    stored.seek(0)
    response = FileResponse(
        stored,
        as_attachment=True,
        filename=f"{found.taken_on}-{found.pk}.{ENDINGS.get(kind, kind)}",
        content_type="application/octet-stream",
    )
    return _sealed(response)


def _opened(stored: FieldFile) -> FieldFile:
    """Open a stored file; one that is gone from the store is not found."""
    try:
        stored.open("rb")
    except FileNotFoundError as error:
        raise Http404 from error
    return stored


def _sealed(response: HttpResponseBase) -> HttpResponseBase:
    """Let a file be looked at and nothing else, even if a browser misreads it."""
    response["Cache-Control"] = "private, no-cache"
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response


def _picture(request: Request, **wanted: object) -> Picture:
    rows = Picture.objects.visible_to(request.user).of(request.standing.demonstration)
    related = rows.select_related("demonstration", "gathering", "added_by")
    return get_object_or_404(related, **wanted)


def _mine(request: Request, pk: int) -> Picture:
    rows = Picture.objects.editable_by(request.user)
    here = rows.of(request.standing.demonstration).select_related("demonstration")
    return get_object_or_404(here, pk=pk)


def _people(request: Request, picture: Picture | None = None) -> VolunteerQuerySet:
    """Return who may be marked: everybody on the list, and whoever is marked."""
    here = Volunteer.objects.of(request.standing.demonstration)
    people = here.active()
    if picture:
        people = (people | here.filter(pk__in=picture.people.values("pk"))).distinct()
    return people.by_name()


def _gatherings(request: Request) -> GatheringQuerySet:
    rows = Gathering.objects.visible_to(request.user)
    return rows.of(request.standing.demonstration).in_order()


def _said(form: DescriptionForm) -> services.Description:
    said = {name: form.cleaned_data[name] for name in DescriptionForm.Meta.fields}
    del said["people"]
    return cast(services.Description, said)


def _added(request: VolunteerRequest, form: PictureForm) -> Picture:
    data = form.cleaned_data["file"].read()
    prepared = read_photograph(data)
    return services.add_picture(
        demonstration=request.standing.demonstration,
        original=data,
        prepared=prepared,
        said=_said(form),
        user=request.user,
        now=clock.now(),
        people=form.cleaned_data["people"],
    )


def _edited_words(before: Picture, after: Picture) -> str:
    if before.is_published and not after.is_published:
        return _("Put right. Visitors no longer see the picture.")
    return _("What is said of the picture is put right.")
