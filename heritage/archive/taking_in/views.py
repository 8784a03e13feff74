"""A season's archive taken in again, by the keeper of an empty site."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache

from heritage.archive.taking_in import selectors
from heritage.archive.taking_in.forms import PackageForm
from heritage.archive.taking_in.services import TakenIn
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, sent


@opens_to(Role.KEEPER)
@never_cache
@asks_and_takes
def take_in(request: HttpRequest) -> HttpResponse:
    """Take a package in; say what came with it and what could not."""
    form = PackageForm(*sent(request))
    if form.submit():
        _say(request, form.saved)
        return redirect(form.saved.demonstration)
    context = {"form": form, "why_not": selectors.why_not_here()}
    return render(request, "archive/take_in.html", context)


def _say(request: HttpRequest, taken: TakenIn) -> None:
    words = _("%(season)s is back, with %(rows)d records and %(pictures)d pictures.")
    said = {"season": taken.demonstration, "rows": taken.rows}
    messages.success(request, words % (said | {"pictures": taken.pictures}))
    if taken.lost:
        words = ngettext(
            "%d picture came without its file.",
            "%d pictures came without their file.",
            taken.lost,
        )
        messages.warning(request, words % taken.lost)
    if taken.shut_out:
        words = ngettext(
            "%d account has no e-mail address, so nobody can sign in to it.",
            "%d accounts have no e-mail address, so nobody can sign in to them.",
            taken.shut_out,
        )
        messages.warning(request, words % taken.shut_out)
    if taken.as_usual:
        words = _("The archive is older than this site. It doesn't say: %s.")
        messages.warning(request, words % ", ".join(taken.as_usual))
