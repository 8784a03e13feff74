"""Which place, whose: the small forms behind the buttons of a gathering's page."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.briefings.models import BriefingVersion
from heritage.briefings.selectors import BriefingPage
from heritage.common.by_name import ByName
from heritage.common.forms import ServiceForm
from heritage.gatherings.ground.forms import ButtonForm
from heritage.gatherings.models import Gathering, SignUp, Station
from heritage.gatherings.places import services
from heritage.gatherings.places.selectors import ComePage, Mine, StationView
from heritage.gatherings.places.services import Ask, Verdict
from heritage.gatherings.rearranging.services import PlannedMove, Rearranged, rearrange
from heritage.people.forms import ChildForm, JoinForm
from heritage.people.models import User, Volunteer


class PlaceButton(ButtonForm):
    """A button of a gathering's page: which of its sign-ups, stations and people."""

    def __init__(self, *args: Any, gathering: Gathering, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.gathering = gathering
        rows = {
            "sign_up": gathering.sign_ups.select_related("volunteer", "gathering"),
            "station": gathering.stations.all(),
            "also": gathering.stations.all(),
            "volunteer": Volunteer.objects.of(gathering.demonstration).active(),
        }
        for name in rows.keys() & self.fields.keys():
            self.fields[name].queryset = rows[name]  # type: ignore[attr-defined]

    def out_of_date(self) -> ValidationError:
        return ValidationError(_("The page was out of date. Choose again, please."))


class PlaceForm(PlaceButton):
    """A station, and who asks for a place there."""

    station = forms.ModelChoiceField(Station.objects.none())
    volunteer = forms.ModelChoiceField(Volunteer.objects.none())

    def write(self, **given: Any) -> SignUp:
        return services.sign_up(**given, **self.cleaned_data)


class SomebodyForm(ServiceForm):
    """Somebody whom a lead signs up, and the station they go to."""

    volunteer = ByName(Volunteer.objects.none(), label=_("Who"))
    station = forms.ModelChoiceField(
        Station.objects.none(), label=_("Station"), empty_label=None
    )

    def __init__(self, *args: Any, gathering: Gathering, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer("station", gathering.stations.in_order())
        everybody = Volunteer.objects.of(gathering.demonstration).active()
        there = gathering.sign_ups.live().values("volunteer")
        self.offer("volunteer", everybody.exclude(pk__in=there).by_name())

    def write(self, **given: Any) -> SignUp:
        return services.sign_up(**given, **self.cleaned_data)


class MoveForm(PlaceButton):
    """Whose place it is, and the station they go to."""

    sign_up = forms.ModelChoiceField(SignUp.objects.none())
    station = forms.ModelChoiceField(Station.objects.none())

    def write(self, **given: Any) -> SignUp:
        return services.move(**given, **self.cleaned_data)


class GiveUpForm(PlaceButton):
    """Whose place is given up and, once that was asked, the children's too.

    ``gone`` are those who no longer come.
    """

    gone: Sequence[Volunteer] = ()

    sign_up = forms.ModelChoiceField(SignUp.objects.none())
    children = forms.ChoiceField(
        choices=[("ask", "ask"), ("too", "too")], required=False
    )

    def write(self, **given: Any) -> SignUp:
        entry = self.cleaned_data["sign_up"]
        beside = self.gathering.sign_ups.live().only_with(entry.volunteer)
        self.gone = [entry.volunteer, *(one.volunteer for one in beside)]
        children: services.Children = self.cleaned_data["children"] or "ask"
        return services.give_up(sign_up=entry, children=children, **given)


class AnswerForm(PlaceButton):
    """Whether somebody who moved up comes."""

    sign_up = forms.ModelChoiceField(SignUp.objects.none())
    comes = forms.TypedChoiceField(
        choices=[("yes", "yes"), ("no", "no")], coerce=lambda word: word == "yes"
    )

    def write(self, **given: Any) -> SignUp:
        return services.answer(**given, **self.cleaned_data)


class WishForm(PlaceButton):
    """Where else somebody would work; nothing ticked takes every wish back."""

    sign_up = forms.ModelChoiceField(SignUp.objects.none())
    also = forms.ModelMultipleChoiceField(Station.objects.none(), required=False)

    def write(self, **given: Any) -> SignUp:
        return services.wish(**given, **self.cleaned_data)


class PlannedMovesField(forms.Field):
    """The moves that were left ticked, each as the page wrote it."""

    widget = forms.MultipleHiddenInput
    default_error_messages: ClassVar = {
        "required": _("Leave at least one move ticked."),
        "invalid": _("The page was out of date. Look it over again, please."),
    }

    def to_python(self, value: Any) -> list[PlannedMove]:
        """Read each move's three keys."""
        moves = []
        for written in value or []:
            keys = str(written).split("-")
            if len(keys) != 3 or not all(key.isdecimal() for key in keys):
                raise forms.ValidationError(self.error_messages["invalid"])
            moves.append(PlannedMove(*(int(key) for key in keys)))
        return moves


class MovesForm(ServiceForm):
    """A suggestion as the lead left it."""

    moves = PlannedMovesField()

    def write(self, **given: Any) -> Rearranged:
        return rearrange(**given, **self.cleaned_data)


class StationField(forms.TypedChoiceField):
    """Where somebody works, or that they are not coming: never left unanswered."""

    says_optional = False


class ComeForm(ServiceForm):
    """A station for each of a household, and that they have read the briefing there.

    Somebody new joins on the same page (``joining``), and a child who is not entered
    yet can be brought (``child``). Everybody who comes stands at their first station
    to begin with, so that one press is enough.
    """

    only_together = forms.BooleanField(
        label=_("We come only together"),
        required=False,
        help_text=_(
            "Then all of you get a place, or nobody does. Without it each gets what "
            "there is, but a child under 13 only beside their adult."
        ),
    )
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    in_short = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        data: Any,
        *,
        gathering: Gathering,
        page: ComePage,
        joining: JoinForm | None,
        child: ChildForm | None,
    ) -> None:
        super().__init__(data)
        self.gathering, self.page = gathering, page
        self.joining, self.child = joining, child
        self.people = [one for one in page.people if one.offered(page.shown)]
        if len(self.people) < 2:
            del self.fields["only_together"]
        for one in self.people:
            self._ask(one)
        if child is not None and self.people:
            self.fields["station_child"] = self._station(self.people[0])
        if page.briefing is not None:
            self._ask_heard(page.briefing)

    def _ask(self, one: Mine) -> None:
        """Ask for one person's station and wishes."""
        key = key_of(one)
        self.fields[f"station_{key}"] = self._station(one)
        if one.may_wish and one.volunteer.pk:
            wished = [station.pk for station in one.may_wish]
            self.fields[f"also_{key}"] = forms.ModelMultipleChoiceField(
                self.gathering.stations.filter(pk__in=wished).in_order(),
                label=_("Could also help with"),
                required=False,
                widget=forms.CheckboxSelectMultiple,
            )

    def _station(self, one: Mine) -> forms.TypedChoiceField:
        offered = one.offered(self.page.shown)
        free = [choice for choice in offered if choice.view.free > 0]
        here = [one for one in free if one.opens_by(self.page.shown)]
        first = (here or free or offered)[0].view.station.pk
        return StationField(
            label=_("Station"),
            choices=[
                *((str(c.view.station.pk), _label(c.view)) for c in offered),
                ("", _("Not coming")),
            ],
            coerce=int,
            empty_value=None,
            required=False,
            initial=str(first),
        )

    def _ask_heard(self, page: BriefingPage) -> None:
        words = _("I've read this and will keep to it")
        if len(self.people) > 1 or self.child is not None:
            words = _(
                "I've read this, and read it to the children I bring. We'll keep to it"
            )
        self.fields["heard"] = forms.BooleanField(label=words, required=False)
        self.fields["version"].initial = page.version.pk if page.version else None
        self.fields["in_short"].initial = "1" if page.short else ""

    def is_valid(self) -> bool:
        """Say all faults at once, those of joining and of a child too."""
        parts: list[forms.BaseForm | None] = [self.joining, self.child_typed]
        good = [part.is_valid() for part in parts if part is not None]
        return super().is_valid() and all(good)

    @property
    def child_typed(self) -> ChildForm | None:
        """The child's form, where one was named."""
        child = self.child
        if child is None or not self.is_bound:
            return None
        return child if str(self.data.get("child-name") or "").strip() else None

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if self._asks_heard(data) and not data.get("heard"):
            words = _("Read the briefing, then tick that you'll keep to it.")
            self.add_error("heard", words)
        return data

    def _asks_heard(self, data: dict[str, Any]) -> bool:
        """Tell whether anybody comes to a station whose briefing stands here."""
        chosen = {key: data.get(f"station_{key}") for key in map(key_of, self.people)}
        return any(
            choice.opens_by(self.page.shown) and choice.view.station.pk == chosen[key]
            for one in self.people
            for key in [key_of(one)]
            for choice in one.choices
        )

    def of_each(self) -> list[tuple[Mine, list[forms.BoundField]]]:
        """Return the fields person by person, for the page."""
        names = ("station", "also")
        return [
            (
                one,
                [
                    self[f"{name}_{key_of(one)}"]
                    for name in names
                    if f"{name}_{key_of(one)}" in self.fields
                ],
            )
            for one in self.people
        ]

    def asks(self) -> list[Ask]:
        """Return what was asked, for everybody who comes."""
        asks = []
        for one in self.people:
            key = key_of(one)
            chosen = self.cleaned_data[f"station_{key}"]
            if chosen is not None:
                also = self.cleaned_data.get(f"also_{key}", [])
                asks.append(Ask(one.volunteer, self._chosen(chosen), tuple(also)))
        return asks

    def _chosen(self, key: int) -> Station:
        views = [choice.view for one in self.people for choice in one.choices]
        return next(view.station for view in views if view.station.pk == key)

    def _read(self) -> BriefingVersion | None:
        """Return the version that stood on the page, if it was ticked as read."""
        if not self.cleaned_data.get("heard") or self.page.briefing is None:
            return None
        versions = self.page.briefing.briefing.versions
        return versions.filter(pk=self.cleaned_data["version"] or 0).first()

    def write(self, *, by: User, now: datetime) -> list[Verdict]:
        child, station = self.child_typed, self.cleaned_data.get("station_child")
        coming = services.Coming(
            joining=self.joining.values() if self.joining else None,
            child=child.values() if child else None,
            station=self._chosen(station) if child and station else None,
            version=self._read(),
            in_short=self.cleaned_data["in_short"],
        )
        return services.come(
            gathering=self.gathering,
            asks=self.asks(),
            coming=coming,
            only_together=self.cleaned_data.get("only_together", False),
            by=by,
            now=now,
        )

    def refuse(self, error: ValidationError) -> None:
        """Give a refusal back to whichever part of the page it speaks of."""
        names = set(getattr(error, "error_dict", {}))
        for part in (self.joining, self.child_typed):
            if part is not None and names & set(part.fields):
                part.refuse(error)
                return
        super().refuse(error)


def key_of(one: Mine) -> str:
    """Return what names a person's fields: their key, or that they are new."""
    return str(one.volunteer.pk or "me")


def _label(view: StationView) -> str:
    return f"{view.station}: {view.filling.words}"
