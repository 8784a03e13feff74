"""What is asked on the gatherings' pages."""

from heritage.gatherings.forms.call import CallForm, filled_in
from heritage.gatherings.forms.gate import (
    ChildForm,
    EndForm,
    EverybodyOutForm,
    GivenStationForm,
    NewcomerForm,
    PersonForm,
    SeenNewForm,
)
from heritage.gatherings.forms.household import HouseholdForm
from heritage.gatherings.forms.patterns import PatternForm, pattern_initial
from heritage.gatherings.forms.places import (
    AnswerForm,
    GiveUpForm,
    MovesForm,
    PlaceForm,
    SignUpForm,
    WishForm,
)
from heritage.gatherings.forms.posting import (
    GatheringForm,
    PutOffForm,
    WorkForm,
    gathering_initial,
)
from heritage.gatherings.forms.runs import EndRunForm, RunEditForm, RunForm
from heritage.gatherings.forms.stations import (
    BaseStationFormSet,
    StationForm,
    starting_stations,
    station_initial,
    station_rows,
    typed_rows,
)
from heritage.gatherings.forms.turnout import TurnoutForm, WalkInForm
from heritage.gatherings.forms.weighing import WeighingForm

__all__ = [
    "AnswerForm",
    "BaseStationFormSet",
    "CallForm",
    "ChildForm",
    "EndForm",
    "EndRunForm",
    "EverybodyOutForm",
    "GatheringForm",
    "GiveUpForm",
    "GivenStationForm",
    "HouseholdForm",
    "MovesForm",
    "NewcomerForm",
    "PatternForm",
    "PersonForm",
    "PlaceForm",
    "PutOffForm",
    "RunEditForm",
    "RunForm",
    "SeenNewForm",
    "SignUpForm",
    "StationForm",
    "TurnoutForm",
    "WalkInForm",
    "WeighingForm",
    "WishForm",
    "WorkForm",
    "filled_in",
    "gathering_initial",
    "pattern_initial",
    "starting_stations",
    "station_initial",
    "station_rows",
    "typed_rows",
]
