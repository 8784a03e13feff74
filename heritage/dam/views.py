"""Pages of the dams, their rets and the test book."""

from collections.abc import Callable
from functools import wraps
from typing import Any, cast

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, made, typed
from heritage.common.sheets import pdf_response
from heritage.dam import drawings, forms, selectors, services, sheets
from heritage.dam.models import Dam, Reading, Ret, Treading, Water
from heritage.dam.readings import services as readings_services
from heritage.dam.rota import selectors as rota_selectors
from heritage.dam.treading import selectors as treading_selectors
from heritage.kits.drawing.marks import Drawing
from heritage.kits.drawing.svg import to_svg
from heritage.people.request import Request, VolunteerRequest
from heritage.season.services import change_demonstration

Answer = Callable[..., HttpResponse]


def by_its_clock(view: Answer) -> Answer:
    """Read and write moments by the clock on the demonstration's wall."""

    @wraps(view)
    def timed(request: Request, *args: Any, **kwargs: Any) -> HttpResponse:
        with timezone.override(request.standing.demonstration.zone):
            return view(request, *args, **kwargs)

    return timed


def dam_at(request: Request, pk: int) -> Dam:
    """Return a dam the reader may see, or answer 404."""
    rows = Dam.objects.visible_to(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.select_related("demonstration"), pk=pk)


def ret_at(request: Request, pk: int) -> Ret:
    """Return a ret the reader may see, or answer 404."""
    rows = Ret.objects.visible_to(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.select_related("dam__demonstration"), pk=pk)


def reading_at(request: Request, pk: int) -> Reading:
    """Return a reading of the water the reader may see, or answer 404."""
    rows = Reading.objects.visible_to(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.select_related("ret__dam__demonstration"), pk=pk)


def turn_at(request: Request, pk: int) -> Treading:
    """Return a turn of treading the reader may see, or answer 404."""
    rows = Treading.objects.visible_to(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.for_page(), pk=pk)


def svg(drawing: Drawing, prefix: str) -> str:
    """Return a drawing to stand in a page; the kit escapes every word in it."""
    return mark_safe(to_svg(drawing, prefix=prefix))  # noqa: S308


@opens_to(Role.VOLUNTEER)
@require_safe
@by_its_clock
def dam_list(request: Request) -> HttpResponse:
    """Show the dams and what is in them."""
    states = selectors.dam_states(request.standing.demonstration, clock.now())
    return render(request, "dam/dam_list.html", {"states": states})


@opens_to(Role.VOLUNTEER)
@require_safe
@by_its_clock
def dam(request: Request, pk: int) -> HttpResponse:
    """Show one dam: its size, its stones and what is in it."""
    page = selectors.dam_page(dam_at(request, pk), clock.now())
    depth = float(page.going.ret.water_depth_m) if page.going else None
    context = {
        "page": page,
        "drawing": svg(drawings.section(page.dam, depth), "section"),
        "cautions": selectors.cautions(),
    }
    return render(request, "dam/dam_detail.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def add(request: Request) -> HttpResponse:
    """Add a dam."""
    demonstration = request.standing.demonstration
    form = forms.DamForm(typed(request))
    added = made(
        request,
        form,
        lambda: services.add_dam(demonstration=demonstration, measures=_measures(form)),
    )
    if added:
        messages.success(request, _("The dam is in the book."))
        return redirect(added)
    return render(request, "dam/dam_form.html", {"form": form})


@opens_to(Role.ORGANISER)
@asks_and_takes
def edit(request: Request, pk: int) -> HttpResponse:
    """Put a dam's measures right."""
    found = dam_at(request, pk)
    form = forms.DamForm(typed(request), instance=dam_at(request, pk))
    mended = made(
        request,
        form,
        lambda: services.edit_dam(dam=found, measures=_measures(form)),
    )
    if mended:
        messages.success(request, _("The dam's measures are put right."))
        return redirect(mended)
    return render(request, "dam/dam_form.html", {"form": form, "dam": found})


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_its_clock
def fill(request: Request, pk: int) -> HttpResponse:
    """Begin a ret; nobody is asked to while the dam's water isn't clean."""
    now, found = clock.now(), dam_at(request, pk)
    why_not = "" if request.method == "POST" else services.why_not_filled(found)
    if why_not:
        messages.info(request, why_not)
        return redirect(found)
    initial = {"began_at": now, "water_depth_m": found.depth_m}
    form = forms.FillForm(typed(request), initial=initial)
    begun = made(
        request, form, lambda: services.fill(dam=found, now=now, **form.cleaned_data)
    )
    if begun:
        messages.success(request, _("The ret has begun. Read the water twice a day."))
        return redirect("dam:ret", request.standing.demonstration.slug, begun.pk)
    context = {
        "form": form,
        "dam": found,
        "left": selectors.beets_left(found.demonstration),
        "cautions": selectors.cautions(),
    }
    return render(request, "dam/ret_fill.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_its_clock
def water(request: Request, pk: int) -> HttpResponse:
    """Write down what became of the spent water, then that clean water is in."""
    now, found = clock.now(), dam_at(request, pk)
    last = Ret.objects.in_dam(found).with_its_water().first()
    if last is None or last.lifted_at is None:
        messages.info(request, _("There is no spent water in this dam."))
        return redirect(found)
    is_spent = last.water == Water.SPENT
    form: forms.WentForm | forms.CleanForm
    if is_spent:
        form = forms.WentForm(typed(request), initial={"went_at": now})
    else:
        form = forms.CleanForm(typed(request), initial={"clean_at": now})
    write = services.let_water_go if is_spent else services.make_clean
    if made(request, form, lambda: write(ret=last, now=now, **form.cleaned_data)):
        messages.success(request, _("It's written down."))
        return redirect(found)
    context = {
        "form": form,
        "dam": found,
        "ret": last,
        "is_spent": is_spent,
        "cautions": selectors.cautions(),
    }
    return render(request, "dam/dam_water.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def weigh(request: Request) -> HttpResponse:
    """Take the weight of some dry beets, for every figure that rests on it."""
    home = request.standing.demonstration
    form = forms.WeighedForm(typed(request), instance=home)
    if made(
        request,
        form,
        lambda: change_demonstration(demonstration=home, **form.cleaned_data),
    ):
        messages.success(request, _("Every figure goes by your own beets now."))
        return redirect("dam:list", home.slug)
    return render(request, "dam/weigh.html", {"form": form})


def _measures(form: forms.DamForm) -> services.Measures:
    return cast(services.Measures, form.cleaned_data)


READINGS_A_PAGE = 48


@opens_to(Role.VOLUNTEER)
@require_safe
@by_its_clock
def ret(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show how a ret stands, and when to test it."""
    now, found = clock.now(), ret_at(request, pk)
    page = selectors.ret_page(found, now)
    course = drawings.course(page)
    newest_first = Paginator(page.readings[::-1], READINGS_A_PAGE)
    context = {
        "page": page,
        "state": page.state,
        "drawing": course and svg(course, "course"),
        "readings": newest_first.get_page(request.GET.get("page")),
        "treading": treading_selectors.treading_on_ret(found, now),
        "cautions": selectors.cautions(),
        "may_tick": rota_selectors.may_tick(
            request.user, request.standing.demonstration
        ),
    }
    return render(request, "dam/ret_detail.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_its_clock
def lift(request: Request, pk: int) -> HttpResponse:
    """Record the lifting."""
    now, found = clock.now(), ret_at(request, pk)
    form = forms.LiftForm(typed(request), initial={"lifted_at": now})
    lifted = made(
        request, form, lambda: services.lift(ret=found, now=now, **form.cleaned_data)
    )
    if lifted:
        messages.success(
            request,
            _(
                "The lifting is in the book. Do not release the water; ask the "
                "regulator first."
            ),
        )
        return redirect("dam:ret", request.standing.demonstration.slug, found.pk)
    context = {"form": form, "ret": found, "cautions": selectors.cautions()}
    return render(request, "dam/ret_lift.html", context)


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_its_clock
def reading_add(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down one reading of the water."""
    now, found = clock.now(), ret_at(request, pk)
    form = forms.ReadingForm(typed(request), initial={"at": now})
    kept = made(
        request,
        form,
        lambda: readings_services.add_reading(
            ret=found, user=request.user, now=now, **form.cleaned_data
        ),
    )
    if kept:
        messages.success(request, _("%s °C is in the book.") % kept.temp_c)
        return redirect("dam:ret", request.standing.demonstration.slug, found.pk)
    form.ask_only_if_asked()
    return render(request, "dam/reading_form.html", {"form": form, "ret": found})


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_its_clock
def reading_correct(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Correct a reading: the wrong one is struck and kept."""
    now, found = clock.now(), reading_at(request, pk)
    form = forms.ReadingForm(
        typed(request), initial={"at": found.at, "temp_c": found.temp_c}
    )
    kept = made(
        request,
        form,
        lambda: readings_services.correct_reading(
            reading=found, user=request.user, now=now, **form.cleaned_data
        ),
    )
    if kept:
        messages.success(
            request,
            _("%(new)s °C now stands for %(old)s °C.")
            % {"new": kept.temp_c, "old": found.temp_c},
        )
        return redirect("dam:ret", request.standing.demonstration.slug, found.ret_id)
    form.ask_only_if_asked()
    context = {
        "form": form,
        "ret": found.ret,
        "reading": found,
        "may": rota_selectors.may_correct(found, request.user),
    }
    return render(request, "dam/reading_form.html", context)


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_its_clock
def check_add(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down what a readiness test found."""
    now, found = clock.now(), ret_at(request, pk)
    form = forms.CheckForm(typed(request), initial={"at": now})
    kept = made(
        request,
        form,
        lambda: services.add_check(
            ret=found, user=request.user, now=now, **form.cleaned_data
        ),
    )
    if kept:
        messages.success(request, _("The test is in the book."))
        return redirect("dam:ret", request.standing.demonstration.slug, found.pk)
    context = {"form": form, "ret": found, "steps": selectors.test_steps()}
    return render(request, "dam/check_form.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
@by_its_clock
def log_sheet(request: Request, pk: int) -> HttpResponse:
    """Print the dam's log to fill in by hand."""
    now = clock.now()
    pdf = sheets.log_sheet(
        selectors.ret_page(ret_at(request, pk), now),
        printed_at=now,
        large_print=request.GET.get("large") == "1",
    )
    return pdf_response(pdf, "dam-log")
