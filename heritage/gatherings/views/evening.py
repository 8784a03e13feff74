"""The lead's pages: the call, and who came."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.gatherings import selectors, services
from heritage.gatherings.forms import CallForm, TurnoutForm, WalkInForm
from heritage.gatherings.models import Decision, Gathering
from heritage.gatherings.views.doors import led, put_back
from heritage.people.request import VolunteerRequest


@opens_to(Role.LEAD)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def call(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Weigh the weather and the light, then decide."""
    row, now = led(request, pk), clock.now()
    form = CallForm(request.POST or None)
    advice = None
    if request.method == "POST" and form.is_valid():
        advice = selectors.advise(row, form.readings(), now)
        form.fields["decision"].required = True
        if "decide" in request.POST and _decided(request, row, form):
            return redirect(row)
    context = {
        "gathering": row,
        "form": form,
        "advice": advice,
        "light": selectors.light_of(row),
        "calls": list(row.calls.newest_first()),
        "is_over": now >= row.ends_at,
    }
    return render(request, "gatherings/gathering_call.html", context)


def _decided(request: VolunteerRequest, row: Gathering, form: CallForm) -> bool:
    data = form.cleaned_data
    if not data["decision"]:
        form.add_error("decision", _("Choose what you decide."))
        return False
    try:
        made = services.make_call(
            gathering=row,
            readings=form.readings(),
            decision=Decision(data["decision"]),
            note=data["note"],
            by=request.user,
            now=clock.now(),
            key=data["key"],
        )
    except ValidationError as error:
        put_back(form, error)
        return False
    words = _("The call is made: %s.") % made.get_decision_display()
    messages.success(request, words)
    return True


@opens_to(Role.LEAD)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def turnout(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Tick off who came, from when to when."""
    row, now = led(request, pk), clock.now()
    page = selectors.turnout_page(row, now)
    form = TurnoutForm(request.POST or None, gathering=row, rows=page.rows)
    if request.method == "POST" and form.is_valid():
        try:
            services.record_list(gathering=row, marks=form.marks(), by=request.user)
        except ValidationError as error:
            put_back(form, error)
        else:
            messages.success(request, _("The list is written down."))
            return redirect(request.path)
    context = {"page": page, "form": form, "walk_in": WalkInForm(others=page.others)}
    return render(request, "gatherings/gathering_turnout.html", context)


@opens_to(Role.LEAD)
@never_cache
@require_POST
def walk_in(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write in somebody who came without a place."""
    row, now = led(request, pk), clock.now()
    page = selectors.turnout_page(row, now)
    walk_in = WalkInForm(request.POST, others=page.others)
    if walk_in.is_valid():
        try:
            came = services.write_in(
                gathering=row, by=request.user, now=now, **walk_in.cleaned_data
            )
        except ValidationError as error:
            put_back(walk_in, error)
        else:
            messages.success(request, _("%s is on the list.") % came.volunteer)
            return redirect("gatherings:turnout", row.demonstration.slug, row.pk)
    form = TurnoutForm(gathering=row, rows=page.rows)
    context = {"page": page, "form": form, "walk_in": walk_in}
    return render(request, "gatherings/gathering_turnout.html", context)
