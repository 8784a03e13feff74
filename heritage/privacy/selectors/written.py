"""The kinds of row that somebody's account wrote: shown, or about others counted."""

from typing import Any

from django.db import models
from django.utils.translation import gettext_lazy as _

from heritage.dam.models import Check, Reading, Treading
from heritage.fieldlog.models import FieldNote, Receipt, Thunder
from heritage.gatherings.models import Call, Muster, Run, Safe, Weighing
from heritage.people.models import Agreement, HealthNote, Invitation, Skill
from heritage.pictures.models import DeletedPicture, PaperPermission, Picture
from heritage.privacy.models import Complaint, ComplaintStep, Erasure, Merge, Tidying
from heritage.privacy.selectors.about import EVENING
from heritage.privacy.selectors.kinds import Column, Count, Source, line
from heritage.safety.models import (
    Acknowledgement,
    BriefingVersion,
    ChildStep,
    EmergencyPlan,
    Evidence,
    Hazard,
    HazardChange,
    Incident,
    IncidentChange,
    LostChild,
    MachineCheck,
    Witness,
)
from heritage.tally.models import Answer, Entry, OwnLog, PulledArea, Work

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
    "safety.Control": "What is done about a hazard.",
    "safety.Briefing": "Words for everybody.",
    "safety.Machine": "A machine.",
    "safety.Guard": "A part of a machine.",
    "safety.Stone": "A stone.",
    "safety.FirstAidPoint": "A place.",
    "safety.Exit": "A place.",
    "safety.CrowdPlan": "A place.",
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
