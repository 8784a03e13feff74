"""The words people are told and agree to, and new versions of them."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, typed
from heritage.people import selectors, services
from heritage.people.forms import WordingForm
from heritage.people.request import VolunteerRequest


@opens_to(Role.ORGANISER)
@require_safe
def list_(request: VolunteerRequest) -> HttpResponse:
    """Show the words that hold on each subject."""
    words = selectors.all_words(request.standing.demonstration)
    return render(request, "people/wording_list.html", {"all": words.values()})


@opens_to(Role.ORGANISER)
@asks_and_takes
def publish(request: VolunteerRequest, subject: str) -> HttpResponse:
    """Publish new words on a subject."""
    demonstration = request.standing.demonstration
    words = selectors.current_words(demonstration, subject)
    form = WordingForm(typed(request), initial={"text": words.text})

    def write() -> object:
        return services.publish_wording(
            demonstration=demonstration,
            subject=subject,
            by=request.user,
            now=clock.now(),
            **form.cleaned_data,
        )

    if carried_out(request, form, write):
        messages.success(request, _("The new words hold from now on."))
        return redirect("people:words", demonstration.slug)
    context = {"form": form, "words": words}
    return render(request, "people/wording_publish.html", context)
