"""Pages of the dams: their measures, what is in them, filling them."""

from typing import cast

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, made, typed
from heritage.dam import drawings, forms, selectors, services
from heritage.dam.models import Ret, Water
from heritage.dam.views.doors import by_its_clock, dam_at, svg
from heritage.people.request import Request
from heritage.season.services import change_demonstration


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
    """Begin a ret."""
    now, found = clock.now(), dam_at(request, pk)
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
