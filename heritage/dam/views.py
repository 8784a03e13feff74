"""Pages of the dams, their rets and the test book."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404, row_or_new
from heritage.common.forms import (
    RecordPage,
    asks_and_takes,
    by_local_clock,
    take_record,
    typed,
)
from heritage.common.parting import parted
from heritage.common.sheets import pdf_response
from heritage.dam import drawings, forms, selectors, services, sheets
from heritage.dam.evening.selectors import open_evening, what_came
from heritage.dam.filling.selectors import beets_left, lots_of, may_have_gone_in
from heritage.dam.lifting.selectors import lift_plan
from heritage.dam.models import Dam, Outcome, Ret, StruckTest, Treading, Water
from heritage.dam.readings.selectors import listed
from heritage.dam.rota.selectors import may_tick
from heritage.dam.treading.selectors import treading_on_ret
from heritage.dam.words import CAUTIONS
from heritage.dam.works.selectors import leave_given
from heritage.kits.drawing.marks import Drawing
from heritage.kits.drawing.svg import to_svg
from heritage.people.request import Request, VolunteerRequest

READINGS_A_PAGE = 48


def dam_at(request: Request, pk: int) -> Dam:
    """Return a dam the reader may see, or answer 404."""
    rows = Dam.objects.visible_to(request.user).select_related("demonstration")
    return row_or_404(rows, request, pk)


def ret_at(request: Request, pk: int) -> Ret:
    """Return a ret the reader may see, or answer 404."""
    rows = Ret.objects.visible_to(request.user).select_related("dam__demonstration")
    return row_or_404(rows, request, pk)


def turn_at(request: Request, pk: int) -> Treading:
    """Return a turn of treading the reader may see, or answer 404."""
    return row_or_404(Treading.objects.visible_to(request.user).for_page(), request, pk)


def svg(drawing: Drawing, prefix: str) -> str:
    """Return a drawing to stand in a page; the kit escapes every word in it."""
    return mark_safe(to_svg(drawing, prefix=prefix))  # noqa: S308


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def dam_list(request: Request) -> HttpResponse:
    """Show the dams and what is in them."""
    states = selectors.dam_states(request.standing.demonstration, clock.now())
    parts = parted(
        states,
        lambda state: state.dam.name,
        at_hand=lambda state: state.ret is not None,
        is_tall=True,
    )
    return render(request, "dam/dam_list.html", {"states": states, "parts": parts})


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def dam(request: Request, pk: int) -> HttpResponse:
    """Show one dam: its size, its stones and what is in it."""
    page = selectors.dam_page(dam_at(request, pk), clock.now())
    depth = float(page.going.ret.water_depth_m) if page.going else None
    context = {
        "page": page,
        "drawing": svg(drawings.section(page.dam, depth), "section"),
        "cautions": CAUTIONS,
        "evening": open_evening(page.dam),
    }
    return render(request, "dam/dam_detail.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def take_dam(request: Request, pk: int | None = None) -> HttpResponse:
    """Add a dam, or change its measures."""
    rows = Dam.objects.managed_by(request.user).select_related("demonstration")
    dam = row_or_new(rows, request, pk)
    form = forms.DamForm(typed(request), instance=dam)
    response = take_record(request, form, _words_of(dam))
    return redirect(form.saved) if form.saved else response


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_local_clock
def fill(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Begin a ret; nobody is asked to while the dam's water isn't clean."""
    now, dam = clock.now(), dam_at(request, pk)
    why_not = "" if request.method == "POST" else services.why_not_filled(dam)
    if why_not:
        messages.info(request, why_not)
        return redirect(dam)
    initial = {"began_at": now, "water_depth_m": dam.depth_m} | _came(dam)
    left = beets_left(dam.demonstration, now)
    new = Ret(dam=dam)
    form = forms.FillForm(typed(request), instance=new, initial=initial, lots=left.lots)
    if form.submit(by=request.user, now=now):
        messages.success(
            request, _("The ret has begun. Take the water temperature twice a day.")
        )
        return redirect(form.saved)
    form.ask_only_if_asked()
    context = {"form": form, "dam": dam, "left": left, "cautions": CAUTIONS}
    return render(request, "dam/ret_fill.html", context)


def _came(dam: Dam) -> dict[str, Any]:
    """Offer what came to the dam on its filling evening, lot by lot."""
    evening = open_evening(dam)
    if evening is None:
        return {}
    came = {f"lot_{lot.pk}": beets for lot, beets in what_came(evening).items()}
    return came | {"mixed": evening.mixed, "beets": sum(came.values()) or None}


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_local_clock
def water(request: Request, pk: int) -> HttpResponse:
    """Write down what became of the spent water, then that clean water is in."""
    now, dam = clock.now(), dam_at(request, pk)
    rows = Ret.objects.in_dam(dam).with_its_water()
    last = rows.select_related("dam__demonstration").first()
    if last is None or last.lifted_at is None:
        messages.info(request, _("There is no spent water in this dam."))
        return redirect(dam)
    is_spent = last.water == Water.SPENT
    form_class = forms.WentForm if is_spent else forms.CleanForm
    initial: dict[str, Any] = {"went_at": now, "clean_at": now}
    if is_spent:
        initial["leave"] = leave_given(last)
    form = form_class(typed(request), initial=initial)
    if form.submit(ret=last, now=now):
        messages.success(request, _("Saved."))
        return redirect(dam)
    context = {"dam": dam, "ret": last, "is_spent": is_spent}
    context |= {"form": form, "cautions": CAUTIONS}
    return render(request, "dam/dam_water.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def weigh(request: Request) -> HttpResponse:
    """Take the weight of some dry beets, for every figure that rests on it."""
    here = request.standing.demonstration
    form = forms.WeighedForm(typed(request), instance=here)
    if form.submit():
        messages.success(request, _("All figures use your own beets now."))
        return redirect("dam:list", here.slug)
    return render(request, "dam/weigh.html", {"form": form})


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def ret(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show how a ret stands, and when to test it."""
    now, ret = clock.now(), ret_at(request, pk)
    page = selectors.ret_page(ret, now)
    course = drawings.course(page)
    newest_first = Paginator(listed(ret), READINGS_A_PAGE)
    context = {
        "page": page,
        "state": page.state,
        "lots": lots_of(ret),
        "outcome": Outcome.objects.filter(ret=ret).first() if ret.lifted_at else None,
        "drawing": course and svg(course, "course"),
        "readings": newest_first.get_page(request.GET.get("page")),
        "treading": treading_on_ret(ret, now),
        "cautions": CAUTIONS,
        "may_tick": may_tick(request.user, request.standing.demonstration),
        "why_struck": StruckTest.choices,
    }
    return render(request, "dam/ret_detail.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_local_clock
def refill(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Correct which lots went into a dam, and how many beets of each."""
    ret = ret_at(request, pk)
    form = forms.RefillForm(typed(request), lots=may_have_gone_in(ret))
    if form.submit(ret=ret, by=request.user, now=clock.now()):
        messages.success(request, _("Corrected. Both are kept."))
        return redirect(ret)
    return render(request, "dam/ret_refill.html", {"form": form, "ret": ret})


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_local_clock
def lift(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Record the lifting."""
    now, ret = clock.now(), ret_at(request, pk)
    form = forms.LiftForm(typed(request), initial={"lifted_at": now})
    if form.submit(ret=ret, by=request.user, now=now):
        words = _(
            "The lifting is in the book. Don't let the water out: ask the people who "
            "look after your rivers first."
        )
        messages.success(request, words)
        return redirect(ret)
    context = {"form": form, "plan": lift_plan(ret, now), "cautions": CAUTIONS}
    context["learned"] = selectors.ret_page(ret, now).state.learned
    return render(request, "dam/ret_lift.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def log_sheet(request: Request, pk: int) -> HttpResponse:
    """Print the dam's log to fill in by hand."""
    now = clock.now()
    pdf = sheets.log_sheet(
        selectors.ret_page(ret_at(request, pk), now),
        printed_at=now,
        large_print=request.GET.get("large") == "1",
    )
    return pdf_response(pdf, "dam-log")


def _words_of(dam: Dam) -> RecordPage:
    there = dam.pk is not None
    return RecordPage(
        title=_("Measures of %s") % dam.name_in_sentence if there else _("Add a dam"),
        lead=_(
            "Measure from the bank with a tape and a pole. Nobody wades to measure "
            "alone."
        ),
        submit=_("Save") if there else _("Add the dam"),
        kept=_("The dam is saved.") if there else _("The dam is in the book."),
        back=dam.get_absolute_url()
        if there
        else reverse("dam:list", args=[dam.demonstration.slug]),
    )
