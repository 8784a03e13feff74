"""Pages of the picture record, and the pictures themselves."""

import hashlib
from io import BytesIO

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
from django.utils.translation import gettext_lazy as _lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import (
    RecordPage,
    asks_and_takes,
    refusals_shown,
    sent,
    take_record,
    typed,
)
from heritage.common.sheets import pdf_response
from heritage.kits.imaging import ending_of, tiny
from heritage.kits.photo_words import PhotoWords, segments, with_words
from heritage.people.agreements.selectors import current_words
from heritage.people.models import Subject, User
from heritage.people.request import Request, VolunteerRequest
from heritage.pictures import selectors, services, sheets, words
from heritage.pictures.forms import (
    AdjustForm,
    DeleteForm,
    DescriptionForm,
    FindForm,
    PermissionForm,
    PictureForm,
)
from heritage.pictures.many.selectors import captions, gaps
from heritage.pictures.models import PaperPermission, Picture

# The ninths of a picture, from the top left, row after row.
PARTS = [
    _lazy("top left"),
    _lazy("top"),
    _lazy("top right"),
    _lazy("left"),
    _lazy("middle"),
    _lazy("right"),
    _lazy("bottom left"),
    _lazy("bottom"),
    _lazy("bottom right"),
]


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def picture_list(request: Request) -> HttpResponse:
    """Show the pictures by stage: the published ones, and all to members."""
    home, standing = request.standing.demonstration, request.standing
    people = selectors.to_be_found(home, request.user, all_=standing.is_organiser)
    form = FindForm(request.GET, here=home, reader=request.user, people=people)
    if not (standing.is_volunteer or standing.is_organiser):
        form.visitors_only()
    context = {
        "wall": selectors.found(home, request.user, form.asked, request.GET.get("page"))
        if form.asked
        else selectors.wall(home, request.user),
        "form": form,
        "asked": form.asked,
        "gaps": gaps(home) if request.standing.is_volunteer else (),
        "waiting": captions(home, request.user).waiting
        if isinstance(request.user, User)
        else 0,
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
    row, standing = _visible(request, pk), request.standing
    member = standing.is_volunteer or standing.is_organiser
    context: dict[str, object] = {
        "picture": row,
        "people": selectors.people_in(row) if member else None,
        "may_edit": standing.is_organiser or row.added_by_id == request.user.pk,
        "beside": selectors.beside(row, request.user),
    }
    if standing.is_organiser:
        context["permissions"] = selectors.permissions_of(row)
        context["missing"] = selectors.missing(row)
    return render(request, "pictures/picture_detail.html", context)


@opens_to(Role.VOLUNTEER)
@asks_and_takes
def add(request: VolunteerRequest) -> HttpResponse:
    """Add a picture."""
    form = PictureForm(
        *sent(request),
        instance=Picture(demonstration=request.standing.demonstration),
        reader=request.user,
        initial={
            "credit": request.user.name,
            **{
                name: int(said)
                for name in ("gathering", "plot", "lot", "machine", "observation")
                if (said := request.GET.get(name, "")).isdecimal()
            },
            "tool": request.GET.get("tool", ""),
        },
    )
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _("Picture added."))
        return redirect(form.saved)
    return render(request, "pictures/picture_add.html", {"form": form})


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def edit(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Correct what is said of a picture: an organiser, or the person who added it."""
    picture = _mine(request, pk)
    form = DescriptionForm(typed(request), instance=picture, reader=request.user)
    if form.submit(by=request.user, now=clock.now()):
        withdrawn = picture.is_published and not form.saved.is_published
        messages.success(
            request,
            _("Changed. Visitors no longer see the picture.")
            if withdrawn
            else _("Picture saved."),
        )
        return redirect(form.saved)
    context = {"form": form, "picture": picture}
    return render(request, "pictures/picture_edit.html", context)


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def adjust(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Turn and trim what others see of a picture, and hide faces in it."""
    picture = _mine(request, pk)
    asked = request.GET.get("part", "")
    part = int(asked) if asked in {str(n) for n in range(len(PARTS))} else None
    form = AdjustForm(typed(request), instance=picture, part=part)
    if form.submit():
        down = picture.is_published and not form.saved.is_published
        messages.success(
            request,
            _("Saved. Visitors don't see it until an organiser shows it again.")
            if down
            else _("That's how others see it now."),
        )
        return redirect(request.get_full_path())
    context = {"form": form, "picture": picture, "parts": PARTS}
    return render(request, "pictures/picture_adjust.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def publish(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show a picture to visitors."""
    picture = _visible(request, pk)
    with refusals_shown(request):
        services.publish(picture=picture)
        messages.success(request, _("Visitors see the picture now."))
    return redirect(picture)


@opens_to(Role.ORGANISER)
@require_POST
def withdraw(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a picture away from visitors."""
    picture = services.withdraw(picture=_visible(request, pk))
    messages.success(request, _("Visitors no longer see the picture."))
    return redirect(picture)


@opens_to(Role.ORGANISER)
@require_POST
def for_press(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Clear a picture for the press, or take that back."""
    picture, cleared = _visible(request, pk), "cleared" in request.POST
    with refusals_shown(request):
        services.clear_for_press(picture=picture, cleared=cleared)
        said = (
            _("It is on the press sheet now.")
            if cleared
            else _("It is no longer on the press sheet.")
        )
        messages.success(request, said)
    return redirect(picture)


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def delete(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Delete a picture with its original: an organiser, or the person who added it."""
    picture, form = _mine(request, pk), DeleteForm(typed(request))
    if form.submit(picture=picture, by=request.user, now=clock.now()):
        messages.success(request, _("The picture and its original are deleted."))
        return redirect("pictures:list", picture.demonstration.slug)
    context = {"form": form, "picture": picture}
    return render(request, "pictures/picture_delete.html", context)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def add_permission(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Keep word of a permission on paper."""
    picture = _visible(request, pk)
    form = PermissionForm(typed(request), instance=PaperPermission(picture=picture))
    page = RecordPage(
        title=_("Add a permission on paper"),
        lead=_("For somebody in “%s” who isn't on the list. Keep the paper.")
        % picture.caption,
        submit=_("Add the permission"),
        kept=_("The permission is added."),
        back=picture.get_absolute_url(),
        beside="pictures/_permission_sheets.html",
    )
    return take_record(request, form, page, by=request.user, now=clock.now())


@opens_to(Role.ORGANISER)
@require_POST
def remove_permission(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a permission on paper away, and hide the picture if it rested on it."""
    rows = PaperPermission.objects.managed_by(request.user)
    picture = services.remove_permission(permission=row_or_404(rows, request, pk))
    messages.success(
        request,
        _("The permission is removed.")
        if picture.is_published
        else _("The permission is removed. Visitors don't see the picture."),
    )
    return redirect(picture)


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
    """Send one clean copy of a picture to somebody who may see it."""
    rows = Picture.objects.visible_to(request.user).of(request.standing.demonstration)
    picture = get_object_or_404(rows.select_related("demonstration"), key=key)
    if size not in {"large", "small", "tiny"}:
        raise Http404
    carried = words.carried(picture)
    # Asked for anew each time, so that a withdrawn picture is gone at once; what has
    # not changed, neither the picture nor its words, is not sent twice.
    drawn = hashlib.sha256(repr(picture.adjusted).encode()).hexdigest()[:8]
    tag = f'"{picture.sha256[:32]}-{drawn}-{_mark(carried)}-{size}"'
    response: HttpResponseBase
    if request.headers.get("If-None-Match") == tag:
        response = HttpResponseNotModified()
    else:
        response = _copy(picture, size, carried)
    response["ETag"] = tag
    return _sealed(response)


def _mark(carried: PhotoWords) -> str:
    """Return a mark of the words, so that changed ones are sent again."""
    return hashlib.sha256(segments(carried)).hexdigest()[:16]


def _copy(picture: Picture, size: str, carried: PhotoWords) -> FileResponse:
    """Send a copy with its words inside, as they are now."""
    with _opened(picture.large if size == "large" else picture.small) as stored:
        try:
            jpeg = stored.read()
            copy = with_words(tiny(jpeg) if size == "tiny" else jpeg, carried)
        except ValueError as error:
            raise Http404 from error
    name = words.file_name(picture)
    return FileResponse(BytesIO(copy), content_type="image/jpeg", filename=name)


@opens_to(Role.ORGANISER)
@require_safe
def original(request: Request, pk: int) -> HttpResponseBase:
    """Send the file as it came, to be saved and never shown."""
    picture = _visible(request, pk)
    stored = _opened(picture.original)
    ending = ending_of(stored.read(16))
    stored.seek(0)
    response = FileResponse(
        stored,
        as_attachment=True,
        filename=words.file_name(picture, ending),
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


def _visible(request: Request, pk: int) -> Picture:
    rows = Picture.objects.visible_to(request.user)
    rows = rows.select_related(
        "demonstration",
        "gathering__demonstration",
        "plot",
        "lot__demonstration",
        "machine",
        "observation__plot",
        "added_by",
    )
    return row_or_404(rows, request, pk)


def _mine(request: VolunteerRequest, pk: int) -> Picture:
    rows = Picture.objects.editable_by(request.user).select_related("demonstration")
    return row_or_404(rows, request, pk)
