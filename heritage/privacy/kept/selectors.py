"""What a part of somebody's record is made of: a kind of row, and its columns.

Each kind of row about a person is listed with its columns; a test walks the tables, and
a model or a field to a person that nobody listed fails it, so that no table can be
forgotten.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from django.db import models
from django.utils.translation import gettext_lazy as _

from heritage.briefings.models import (
    Acknowledgement,
    BriefingVersion,
    EmergencyPlan,
    Hazard,
    HazardChange,
)
from heritage.dam.models import Check, Reading, Treader, Treading
from heritage.fieldlog.models import FieldNote, Receipt, Thunder
from heritage.gatherings.models import (
    Awaited,
    Call,
    Gathering,
    Muster,
    Run,
    Safe,
    SignUp,
    Turnout,
    Weighing,
)
from heritage.grounds.models import StewardPost
from heritage.incidents.models import (
    ChildStep,
    Evidence,
    Incident,
    IncidentChange,
    LostChild,
    Witness,
)
from heritage.machines.models import MachineCheck
from heritage.people.models import (
    AccountLetter,
    Agreement,
    HealthNote,
    Invitation,
    Letter,
    Skill,
    User,
    Volunteer,
)
from heritage.pictures.models import DeletedPicture, PaperPermission, Picture
from heritage.privacy.models import Complaint, ComplaintStep, Erasure, Merge, Tidying
from heritage.tally.models import Answer, Entry, OwnLog, PulledArea, Work

# Words that are translated when they are read, for which Django names no type.
Words = Any
Value = str | int | bool | date | datetime | None


@dataclass(frozen=True, slots=True)
class Column:
    """One thing said in each row; ``path`` is where it stands, by the row's model."""

    key: str
    label: Words
    path: str


@dataclass(frozen=True, slots=True)
class Source:
    """Rows of one kind about one person.

    ``person`` is the path from the row to the volunteer, or to the account with
    ``by_account``; ``home`` is the path to the demonstration, asked of an account's
    rows alone, for a volunteer is of one demonstration only.
    """

    key: str
    title: Words
    why: Words
    model: type[models.Model]
    person: str
    columns: Sequence[Column]
    order: Sequence[str] = ("pk",)
    by_account: bool = False
    home: str = ""

    @property
    def relation(self) -> str:
        """The field that leads to the person, as ``app.Model.field``."""
        return relation(self.model, self.person)


@dataclass(frozen=True, slots=True)
class Count:
    """Rows an account wrote about others: counted, never shown to this person."""

    what: Words
    model: type[models.Model]
    person: str
    when: str
    home: str

    @property
    def relation(self) -> str:
        """The field that leads to the account, as ``app.Model.field``."""
        return relation(self.model, self.person)


def line(*columns: tuple[str, Any, str] | Column) -> list[Column]:
    """Return columns, each given whole or as key, words and path."""
    return [one if isinstance(one, Column) else Column(*one) for one in columns]


def relation(model: type[models.Model], path: str) -> str:
    """Name the first step of a path, as ``app.Model.field``."""
    return f"{model._meta.label}.{path.split('__')[0]}"


def said(model: type[models.Model], path: str) -> dict[object, str]:
    """Return the words of a field's choices; empty where it has none."""
    steps = path.split("__")
    for step in steps[:-1]:
        related = model._meta.get_field(step).related_model
        if not isinstance(related, type):
            return {}
        model = related
    field = model._meta.get_field(steps[-1])
    return {value: str(words) for value, words in getattr(field, "flatchoices", ())}


DETAILS = [
    Source(
        "details",
        _("Details"),
        _("To reach you about a gathering, and to keep the rules on young people."),
        Volunteer,
        "pk",
        line(
            ("name", _("name"), "name"),
            ("email", _("e-mail address"), "email"),
            ("phone", _("telephone"), "phone"),
            ("age", _("age"), "age_band"),
            ("born_on", _("date of birth"), "born_on"),
            ("guardian", _("guardian"), "guardian__name"),
            ("emergency_name", _("whom to call in an emergency"), "emergency_name"),
            ("emergency_phone", _("their telephone"), "emergency_phone"),
            ("is_organiser", _("organiser"), "is_organiser"),
            ("organiser_since", _("organiser since"), "organiser_since"),
            ("joined_at", _("joined"), "joined_at"),
            ("left_at", _("left"), "left_at"),
            ("erased_at", _("erased"), "erased_at"),
        ),
    ),
    Source(
        "account",
        _("Account"),
        _("To let you sign in."),
        User,
        "volunteers__in",
        line(
            ("email", _("e-mail address"), "email"),
            ("name", _("name"), "name"),
            ("last_login", _("last signed in"), "last_login"),
            ("is_active", _("may sign in"), "is_active"),
            ("is_staff", _("keeper of the site"), "is_staff"),
        ),
    ),
    Source(
        "addresses",
        _("Addresses of the account"),
        _("To send you the code for signing in."),
        EmailAddress,
        "user__volunteers__in",
        line(
            ("email", _("e-mail address"), "email"),
            ("verified", _("checked"), "verified"),
            ("primary", _("the one written to"), "primary"),
        ),
    ),
    Source(
        "second_steps",
        _("Second step of signing in"),
        _("To keep others out of your account. The secret itself is shown to nobody."),
        Authenticator,
        "user__volunteers__in",
        line(
            ("type", _("kind"), "type"),
            ("created_at", _("set up"), "created_at"),
            ("last_used_at", _("last used"), "last_used_at"),
        ),
    ),
    Source(
        "children",
        _("Children you answer for"),
        _("So that you can sign them up. What is held of each has a page of its own."),
        Volunteer,
        "guardian__in",
        line(("name", _("name"), "name"), ("age", _("age"), "age_band")),
    ),
    Source(
        "skills",
        _("What you can do"),
        _("To give work only to those who know it."),
        Skill,
        "volunteer__in",
        line(
            ("can_do", _("can do"), "competence__title"),
            ("said_at", _("said"), "said_at"),
            ("confirmed_at", _("confirmed"), "confirmed_at"),
            ("runs_out_on", _("good until"), "runs_out_on"),
        ),
    ),
    Source(
        "health_note",
        _("Health note"),
        _("Because you agreed, for the day's first-aider. Deleted on its day."),
        HealthNote,
        "volunteer__in",
        line(
            ("text", _("note"), "text"),
            ("agreed_at", _("given"), "agreed_at"),
            ("delete_on", _("is deleted on"), "delete_on"),
        ),
    ),
    Source(
        "agreements",
        _("What you were told or agreed to"),
        _("To show which words you read, and to let you take them back."),
        Agreement,
        "volunteer__in",
        line(
            ("about", _("about"), "wording__subject"),
            ("version", _("version"), "wording__number"),
            ("words", _("words"), "wording__text"),
            ("given_at", _("given"), "given_at"),
            ("how", _("how"), "how"),
            ("withdrawn_at", _("taken back"), "withdrawn_at"),
        ),
        ("given_at", "pk"),
    ),
]


EVENING = Column("gathering", _("gathering"), "gathering__title")
BEGAN = Column("starts_at", _("began"), "gathering__starts_at")
BY_EVENING = ("gathering__starts_at", "pk")


EVENINGS = [
    Source(
        "sign_ups",
        _("Places and turns"),
        _("To know who comes."),
        SignUp,
        "volunteer__in",
        line(
            EVENING,
            BEGAN,
            ("station", _("station"), "station__title"),
            ("state", _("state"), "status"),
            ("asked_at", _("asked"), "asked_at"),
            ("changed_at", _("changed"), "changed_at"),
            ("answer_by", _("to be answered by"), "answer_by"),
        ),
        BY_EVENING,
    ),
    Source(
        "turnout",
        _("When you came"),
        _("To count everybody out in an emergency, and to record who was there."),
        Turnout,
        "volunteer__in",
        line(
            EVENING,
            BEGAN,
            ("arrived_at", _("came"), "arrived_at"),
            ("left_at", _("left"), "left_at"),
        ),
        BY_EVENING,
    ),
    Source(
        "treadings",
        _("Turns of treading you answered for"),
        _("To know who treads when, and that nobody treads alone."),
        Treader,
        "volunteer__in",
        line(
            ("dam", _("dam"), "turn__plan__ret__dam__name"),
            ("day", _("day"), "turn__day"),
            ("half", _("turn"), "turn__half"),
            ("state", _("state"), "state"),
            ("by_hand", _("settled by hand"), "by_hand"),
            ("watches", _("watches from the bank"), "watches"),
            ("told", _("was told of it"), "told"),
            ("trod", _("trod"), "trod"),
            ("changed_at", _("changed"), "changed_at"),
        ),
        ("turn__at", "pk"),
    ),
    Source(
        "led",
        _("Gatherings you led"),
        _("To say who is in charge."),
        Gathering,
        "lead__in",
        line(
            ("gathering", _("gathering"), "title"),
            ("starts_at", _("began"), "starts_at"),
        ),
        ("starts_at", "pk"),
    ),
    Source(
        "first_aid",
        _("Gatherings where you gave first aid"),
        _("To say whom to call."),
        Gathering,
        "first_aider__in",
        line(
            ("gathering", _("gathering"), "title"),
            ("starts_at", _("began"), "starts_at"),
        ),
        ("starts_at", "pk"),
    ),
    Source(
        "awaited",
        _("Head-counts you were in"),
        _("To know whom to look for."),
        Awaited,
        "volunteer__in",
        line(
            ("gathering", _("gathering"), "muster__gathering__title"),
            ("called_at", _("called"), "muster__called_at"),
            ("since", _("counted from"), "since"),
        ),
        ("since", "pk"),
    ),
    Source(
        "head_counts",
        _("Head-counts you were seen at"),
        _("To know that everybody is out."),
        Safe,
        "volunteer__in",
        line(
            ("gathering", _("gathering"), "muster__gathering__title"),
            ("called_at", _("called"), "muster__called_at"),
            ("seen_at", _("seen at the meeting point"), "seen_at"),
        ),
        ("seen_at", "pk"),
    ),
    Source(
        "slips",
        _("What the field page sent about you"),
        _("So that nothing sent from the field counts twice."),
        Receipt,
        "volunteer__in",
        line(
            EVENING,
            ("kind", _("kind"), "kind"),
            ("outcome", _("what became of it"), "outcome"),
            ("words", _("words"), "words"),
            ("received_at", _("received"), "received_at"),
        ),
        ("received_at", "pk"),
    ),
]

BOOK = [
    Source(
        "entries",
        _("Your lines in the tally book"),
        _("To credit you with what you pulled. The book is never rubbed out."),
        Entry,
        "volunteer__in",
        line(
            EVENING,
            BEGAN,
            ("plot", _("plot"), "plot__name"),
            ("way", _("pulled"), "way"),
            ("beets", _("beets"), "beets"),
            ("source", _("comes from"), "source"),
            ("reason", _("reason"), "reason"),
            ("entered_at", _("entered"), "entered_at"),
        ),
        ("entered_at", "pk"),
    ),
    Source(
        "work",
        _("Your other work in the book"),
        _("To credit you with it."),
        Work,
        "volunteer__in",
        line(
            EVENING,
            BEGAN,
            ("kind", _("work"), "kind"),
            ("amount", _("how much"), "amount"),
            ("note", _("note"), "note"),
            ("entered_at", _("entered"), "entered_at"),
        ),
        ("entered_at", "pk"),
    ),
    Source(
        "own_logs",
        _("What you logged yourself"),
        _("For a lead to confirm."),
        OwnLog,
        "volunteer__in",
        line(
            EVENING,
            BEGAN,
            ("way", _("pulled"), "way"),
            ("beets", _("beets"), "beets"),
            ("note", _("note"), "note"),
            ("said_at", _("written"), "said_at"),
            ("answered_at", _("answered"), "answer__answered_at"),
            ("answer", _("answer"), "answer__reason"),
        ),
        ("said_at", "pk"),
    ),
]

SAFETY = [
    Source(
        "briefings",
        _("Briefings you heard"),
        _("As proof that you were told what can hurt."),
        Acknowledgement,
        "volunteer__in",
        line(
            ("briefing", _("briefing"), "version__briefing__title"),
            ("version", _("version"), "version__number"),
            ("heard_at", _("heard"), "heard_at"),
            ("how", _("how"), "how"),
        ),
        ("heard_at", "pk"),
    ),
    Source(
        "briefings_read",
        _("Briefings you read out"),
        _("As proof of who told others what can hurt."),
        Acknowledgement,
        "read_by__in",
        line(
            ("briefing", _("briefing"), "version__briefing__title"),
            ("version", _("version"), "version__number"),
            ("heard_at", _("heard"), "heard_at"),
        ),
        ("heard_at", "pk"),
    ),
    Source(
        "incidents",
        _("Incidents in which you were hurt or named"),
        _("The law asks for a record. What others say of it is not shown here."),
        Incident,
        "volunteer__in",
        line(
            ("happened_at", _("when"), "happened_at"),
            ("place", _("where"), "place"),
            ("kind", _("what came of it"), "kind"),
            ("name", _("name written down"), "hurt_name"),
            ("contact", _("how to reach you"), "hurt_contact"),
            ("born_on", _("date of birth"), "born_on"),
            ("injury", _("injury or illness"), "injury"),
            ("done", _("what was done at once"), "done"),
            ("keep_until", _("kept until"), "keep_until"),
        ),
        ("happened_at", "pk"),
    ),
    Source(
        "weighings",
        _("What an organiser weighed of work you may do"),
        _("To keep young people from work that is too much for them."),
        Weighing,
        "volunteer__in",
        line(
            ("work", _("work"), "work"),
            ("may", _("may"), "may"),
            ("why", _("what was weighed"), "why"),
            ("weighed_at", _("decided"), "weighed_at"),
        ),
        ("weighed_at", "pk"),
    ),
    Source(
        "steward_posts",
        _("Posts you keep as a steward"),
        _("To know who stands where."),
        StewardPost,
        "volunteer__in",
        line(("post", _("post"), "duty"), ("place", _("where"), "place")),
    ),
]

REST = [
    Source(
        "pictures",
        _("Pictures you are in"),
        _("So that they can be taken down when you ask."),
        Picture,
        "people__in",
        line(
            ("taken_on", _("taken"), "taken_on"),
            ("caption", _("caption"), "caption"),
            ("credit", _("photographer"), "credit"),
            ("published", _("shown to visitors"), "is_published"),
        ),
        ("taken_on", "pk"),
    ),
    Source(
        "letters",
        _("Letters written to you"),
        _("To show that you were told."),
        Letter,
        "volunteer__in",
        line(
            ("queued_at", _("written"), "queued_at"),
            ("address", _("to"), "address"),
            ("subject", _("subject"), "subject"),
            ("words", _("words"), "text"),
            ("state", _("state"), "state"),
            ("sent_at", _("sent"), "sent_at"),
        ),
        ("queued_at", "pk"),
    ),
    Source(
        "account_letters",
        _("Letters about your account"),
        _("To see that you could sign in. Their words are not kept."),
        AccountLetter,
        "user__volunteers__in",
        line(
            ("queued_at", _("written"), "queued_at"),
            ("address", _("to"), "address"),
            ("subject", _("subject"), "subject"),
            ("state", _("state"), "state"),
            ("sent_at", _("sent"), "sent_at"),
        ),
        ("queued_at", "pk"),
    ),
    Source(
        "invitations",
        _("Invitations sent to you"),
        _("To let you join."),
        Invitation,
        "volunteer__in",
        line(
            ("address", _("to"), "email"),
            ("made_at", _("made"), "made_at"),
            ("expires_at", _("good until"), "expires_at"),
            ("taken_at", _("taken up"), "taken_at"),
            ("withdrawn_at", _("withdrawn"), "withdrawn_at"),
        ),
        ("made_at", "pk"),
    ),
    Source(
        "erasures",
        _("Your asking to be erased"),
        _("To show what was asked and done."),
        Erasure,
        "volunteer__in",
        line(
            ("asked_at", _("asked"), "asked_at"),
            ("taken_back_at", _("taken back"), "taken_back_at"),
            ("carried_out_at", _("carried out"), "carried_out_at"),
        ),
        ("asked_at", "pk"),
    ),
    Source(
        "merges",
        _("Lines that were found to be yours"),
        _("To show why two lines became one."),
        Merge,
        "kept__in",
        line(("name", _("the other line"), "gone__name"), ("at", _("when"), "at")),
        ("at", "pk"),
    ),
]

ABOUT = [*DETAILS, *EVENINGS, *BOOK, *SAFETY, *REST]


HERE = "demonstration"
AT_EVENING = "gathering__demonstration"


def _wrote(
    key: str,
    title: Any,
    model: type[models.Model],
    person: str,
    home: str,
    *columns: tuple[str, Any, str] | Column,
) -> Source:
    last = columns[-1]
    when = last.path if isinstance(last, Column) else last[2]
    return Source(
        key,
        title,
        _("The record says who wrote or decided what."),
        model,
        person,
        line(*columns),
        (when, "pk"),
        by_account=True,
        home=home,
    )


WRITTEN = [
    _wrote(
        "calls", _("Calls you made"), Call, "made_by", AT_EVENING, EVENING,
        ("decision", _("decision"), "decision"), ("note", _("note"), "note"),
        ("made_at", _("made"), "made_at"),
    ),
    _wrote(
        "notes", _("Notes you wrote in the field"), FieldNote, "by", AT_EVENING,
        EVENING, ("text", _("note"), "text"), ("at", _("written"), "at"),
    ),
    _wrote(
        "thunder", _("Thunder you heard"), Thunder, "by", AT_EVENING, EVENING,
        ("at", _("heard"), "at"),
    ),
    _wrote(
        "head_counts_called", _("Head-counts you called"), Muster, "called_by",
        AT_EVENING, EVENING, ("why", _("why"), "why"),
        ("called_at", _("called"), "called_at"),
    ),
    _wrote(
        "runs", _("Runs of evenings you posted"), Run, "made_by", HERE,
        ("title", _("run"), "title"), ("made_at", _("made"), "made_at"),
    ),
    _wrote(
        "ground", _("Ground you measured"), PulledArea, "entered_by", AT_EVENING,
        EVENING, ("plot", _("plot"), "plot__name"),
        ("entered_at", _("entered"), "entered_at"),
    ),
    _wrote(
        "water", _("Water you measured"), Reading, "entered_by",
        "ret__dam__demonstration", ("dam", _("dam"), "ret__dam__name"),
        ("at", _("when"), "at"),
    ),
    _wrote(
        "tests", _("Tests of the ret you made"), Check, "entered_by",
        "ret__dam__demonstration", ("dam", _("dam"), "ret__dam__name"),
        ("finding", _("finding"), "finding"), ("at", _("when"), "at"),
    ),
    _wrote(
        "treadings_written", _("Turns of treading you wrote down"), Treading,
        "recorded_by", "plan__ret__dam__demonstration",
        ("dam", _("dam"), "plan__ret__dam__name"),
        ("trodden_at", _("trodden"), "trodden_at"), ("note", _("note"), "note"),
        ("why_alone", _("why one trod alone, or nobody watched"), "why_alone"),
        ("recorded_at", _("written"), "recorded_at"),
    ),
    _wrote(
        "pictures_added", _("Pictures you added"), Picture, "added_by", HERE,
        ("caption", _("caption"), "caption"), ("credit", _("credit"), "credit"),
        ("added_at", _("added"), "added_at"),
    ),
    _wrote(
        "pictures_deleted", _("Pictures you deleted"), DeletedPicture, "deleted_by",
        HERE, ("reason", _("why"), "reason"),
        ("deleted_at", _("deleted"), "deleted_at"),
    ),
    _wrote(
        "incidents_written", _("Incidents you wrote down"), Incident, "reported_by",
        HERE, ("happened_at", _("when"), "happened_at"),
        ("place", _("where"), "place"), ("account", _("what happened"), "account"),
        ("reported_at", _("written"), "reported_at"),
    ),
    _wrote(
        "evidence", _("Photographs of an incident you took"), Evidence, "added_by",
        "incident__demonstration", ("words", _("what it shows"), "words"),
        ("added_at", _("added"), "added_at"),
    ),
    _wrote(
        "hazards", _("Hazards you assessed"), Hazard, "assessed_by", HERE,
        ("title", _("hazard"), "title"), ("assessed_at", _("when"), "assessed_at"),
    ),
    _wrote(
        "hazard_changes", _("Hazards you changed"), HazardChange, "by", HERE,
        ("title", _("hazard"), "title"), ("at", _("when"), "at"),
    ),
    _wrote(
        "published", _("Briefings you published"), BriefingVersion, "published_by",
        "briefing__demonstration", ("briefing", _("briefing"), "briefing__title"),
        ("version", _("version"), "number"), ("at", _("when"), "published_at"),
    ),
    _wrote(
        "machines", _("Machines you looked over"), MachineCheck, "checked_by",
        "machine__demonstration", ("machine", _("machine"), "machine__name"),
        ("may_run", _("may run"), "may_run"), ("note", _("note"), "note"),
        ("checked_at", _("when"), "checked_at"),
    ),
    _wrote(
        "emergency_plan", _("The emergency plan you changed last"), EmergencyPlan,
        "revised_by", HERE, ("revised_at", _("when"), "revised_at"),
    ),
    _wrote(
        "complaints", _("Complaints you made"), Complaint, "made_by", HERE,
        ("about", _("what it is about"), "about"), ("name", _("name"), "name"),
        ("contact", _("how to answer"), "contact"),
        ("outcome", _("what came of it"), "outcome"), ("made_at", _("made"), "made_at"),
    ),
]  # fmt: skip

THEIRS = "volunteer__demonstration"
COUNTED = [
    Count(_("beets entered"), Entry, "entered_by", "entered_at", AT_EVENING),
    Count(_("other work entered"), Work, "entered_by", "entered_at", AT_EVENING),
    Count(_("own logs written"), OwnLog, "said_by", "said_at", AT_EVENING),
    Count(
        _("own logs answered"), Answer, "answered_by", "answered_at",
        "own_log__gathering__demonstration",
    ),
    Count(_("slips sent from the field"), Receipt, "by", "received_at", AT_EVENING),
    Count(_("names settled"), Receipt, "settled_by", "settled_at", AT_EVENING),
    Count(
        _("people seen at a meeting point"), Safe, "seen_by", "seen_at",
        "muster__gathering__demonstration",
    ),
    Count(_("head-counts ended"), Muster, "closed_by", "closed_at", AT_EVENING),
    Count(_("skills confirmed"), Skill, "confirmed_by", "confirmed_at", THEIRS),
    Count(_("invitations made"), Invitation, "made_by", "made_at", HERE),
    Count(_("invitations taken up"), Invitation, "taken_by", "taken_at", HERE),
    Count(_("health notes given"), HealthNote, "agreed_by", "agreed_at", THEIRS),
    Count(_("agreements given"), Agreement, "given_by", "given_at", THEIRS),
    Count(
        _("agreements taken back"), Agreement, "withdrawn_by", "withdrawn_at", THEIRS
    ),
    Count(
        _("briefings ticked off"), Acknowledgement, "recorded_by", "heard_at", THEIRS
    ),
    Count(_("incidents completed"), Incident, "completed_by", "completed_at", HERE),
    Count(
        _("incidents changed"), IncidentChange, "by", "at", "incident__demonstration"
    ),
    Count(
        _("witnesses written down"), Witness, "added_by", "incident__happened_at",
        "incident__demonstration",
    ),
    Count(
        _("permissions on paper for pictures"), PaperPermission, "added_by",
        "added_at", "picture__demonstration",
    ),
    Count(_("work of the young weighed"), Weighing, "weighed_by", "weighed_at", THEIRS),
    Count(_("logs of a child opened"), LostChild, "opened_by", "opened_at", HERE),
    Count(_("logs of a child ended"), LostChild, "closed_by", "closed_at", HERE),
    Count(
        _("lines in the log of a child"), ChildStep, "by", "at",
        "lost_child__demonstration",
    ),
    Count(_("erasures asked for"), Erasure, "asked_by", "asked_at", HERE),
    Count(
        _("erasures carried out"), Erasure, "carried_out_by", "carried_out_at", HERE
    ),
    Count(_("lines merged"), Merge, "by", "at", HERE),
    Count(_("tidyings carried out"), Tidying, "by", "at", HERE),
    Count(
        _("complaints acknowledged"), Complaint, "acknowledged_by", "acknowledged_at",
        HERE,
    ),
    Count(
        _("answers to complaints"), ComplaintStep, "by", "at",
        "complaint__demonstration",
    ),
]  # fmt: skip

# Fields that lead to a person and are not told of, each with the reason.
UNTOLD = {
    "people.Volunteer.user": "It is the account, which has a part of its own.",
    "people.Volunteer.merged_into": "Merged lines are read together with the kept one.",
    "privacy.Merge.gone": "It is told of with the line that was kept.",
}
# Tables that hold nothing about one person, each with the reason.
IMPERSONAL = {
    "common.LastRun": "When the site last did its own work.",
    "season.Demonstration": "The organiser's own words about the place.",
    "season.Plot": "Ground.",
    "season.StageRecord": "Dates of the crop.",
    "people.Competence": "A list of skills, of nobody in particular.",
    "people.Wording": "Words put to everybody; told of with each agreement.",
    "briefings.Control": "What is done about a hazard.",
    "briefings.Briefing": "Words for everybody.",
    "machines.Machine": "A machine.",
    "machines.Guard": "A part of a machine.",
    "machines.Stone": "A stone.",
    "briefings.FirstAidPoint": "A place.",
    "grounds.Exit": "A place.",
    "grounds.CrowdPlan": "A place.",
    "gatherings.RainAhead": "Weather.",
    "gatherings.Station": "Work, of nobody in particular.",
    "gatherings.Pattern": "A way of posting evenings.",
    "gatherings.PatternStation": "A way of posting evenings.",
    "dam.Dam": "Water.",
    "dam.Ret": "Water.",
    "dam.RotaPlan": "Days and times of work, of nobody in particular.",
    "auth.Permission": "The framework's own; nothing of ours uses it.",
    "auth.Group": "The framework's own; nothing of ours uses it.",
    "contenttypes.ContentType": "The framework's own.",
    "sessions.Session": "Signed-in browsers; sealed, and deleted when they end.",
    "account.EmailConfirmation": "Codes on their way, gone within minutes.",
    "django_tasks_database.DBTaskResult": "Letters on their way; told of as letters.",
}
