"""The ground for visitors: how many it may hold, and who stands where."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_new
from heritage.common.forms import RecordPage, asks_and_takes, take_record, typed
from heritage.common.sheets import pdf_response
from heritage.grounds import selectors, services, sheets
from heritage.grounds.forms import CrowdPlanForm, ExitForm, StewardPostForm
from heritage.grounds.models import CrowdPlan, Exit, StewardPost
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@require_safe
def site(request: VolunteerRequest) -> HttpResponse:
    """Show how many the ground may hold, with the working."""
    page = selectors.site_page(request.standing.demonstration)
    return render(request, "grounds/site.html", {"page": page})


@opens_to(Role.ORGANISER)
@asks_and_takes
def edit_crowd_plan(request: VolunteerRequest) -> HttpResponse:
    """Write down the ground and the time."""
    here = request.standing.demonstration
    plan = CrowdPlan.objects.of(here).first() or CrowdPlan(demonstration=here)
    page = RecordPage(
        title=_("The ground for visitors"),
        lead=_("Where visitors may stand, and how fast it must clear."),
        submit=_("Save"),
        kept=_("Saved."),
        back=reverse("grounds:site", args=[here.slug]),
    )
    return take_record(request, CrowdPlanForm(typed(request), instance=plan), page)


@opens_to(Role.ORGANISER)
@asks_and_takes
def take_exit(request: VolunteerRequest, pk: int | None = None) -> HttpResponse:
    """Write down a way out, change it, or take it away."""
    rows = Exit.objects.managed_by(request.user).select_related("demonstration")
    way = row_or_new(rows, request, pk)
    page = RecordPage(
        title=_("Way out"),
        lead=_("As on the day: open, lit after dusk, nothing parked in it."),
        submit=_("Save"),
        kept=_("Way out saved."),
        back=reverse("grounds:site", args=[request.standing.demonstration.slug]),
        remove=_("Remove it from the plan"),
        removed=_("Removed from the plan."),
    )
    return take_record(request, ExitForm(typed(request), instance=way), page)


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def stewards(request: VolunteerRequest) -> HttpResponse:
    """Show who stands where, and where nobody does."""
    page = selectors.steward_page(request.standing.demonstration)
    return render(request, "grounds/stewards.html", {"page": page})


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def steward_sheet(request: VolunteerRequest) -> HttpResponse:
    """Print the posts for the stewards."""
    here = request.standing.demonstration
    day = clock.today(here.time_zone)
    pdf = sheets.steward_sheet(
        selectors.steward_sheet(here, day), large_print="large" in request.GET
    )
    return pdf_response(pdf, "steward-sheet")


@opens_to(Role.ORGANISER)
@asks_and_takes
def take_post(request: VolunteerRequest, pk: int | None = None) -> HttpResponse:
    """Write down a post and who keeps it, change it, or take it away."""
    rows = StewardPost.objects.managed_by(request.user).select_related("demonstration")
    post = row_or_new(rows, request, pk)
    page = RecordPage(
        title=_("Steward's post"),
        lead=_("What to watch there, and who does."),
        submit=_("Save"),
        kept=_("Post saved."),
        back=reverse("grounds:stewards", args=[request.standing.demonstration.slug]),
        remove=_("Remove it from the plan"),
        removed=_("Removed from the plan."),
    )
    form = StewardPostForm(typed(request), instance=post)
    return take_record(request, form, page, now=clock.now())


@opens_to(Role.ORGANISER)
@require_POST
def suggest_posts(request: VolunteerRequest) -> HttpResponse:
    """Add the posts that the ground asks for."""
    here = request.standing.demonstration
    added = len(services.suggest_posts(demonstration=here))
    words = ngettext("%d post added.", "%d posts added.", added)
    messages.success(request, words % added)
    return redirect("grounds:stewards", here.slug)
