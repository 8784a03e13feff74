"""Setting a demonstration up: one page, five answers."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, typed
from heritage.desk.setting_up.forms import SetUpForm, as_typed
from heritage.people.request import VolunteerRequest


@opens_to(Role.ACCOUNT)
@never_cache
@asks_and_takes
def set_up(request: VolunteerRequest) -> HttpResponse:
    """Set up a demonstration of one's own, with its first evening.

    Looking shows the place and its light, and judges nothing that is typed.
    """
    form = SetUpForm(typed(request), initial={"founder_name": request.user.name})
    looks = "look" in request.POST
    if not looks and form.submit(by=request.user, now=clock.now()):
        words = _("%s is set up, and its first evening is posted.")
        messages.success(request, words % form.saved.demonstration)
        return redirect(form.saved)
    if looks:
        form = SetUpForm(None, initial=as_typed(form, request.POST))
    context = {"form": form, "place": form.place(), "first": form.first_evening()}
    return render(request, "desk/set_up.html", context)
