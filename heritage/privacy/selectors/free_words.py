"""Where people write in their own words, and so may name somebody.

Every text of every table stands here or in `not_searched`, with the reason; a test
walks the models, so that no field can be forgotten.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from heritage.privacy.selectors.kinds import Words

BY_LAW = _("The law asks for a record of it: it stays as written until it is due.")
SEALED = _("What has been written down there is never changed.")
AS_HEARD = _(
    "It is the proof of what people were told; a new version can leave it out."
)
SENT = _("It was sent like this; letters go after 12 months.")
ANOTHERS = _("It is somebody else's own: ask them to change it.")
COMPLAINED = _("It is what was complained of, kept until 3 years after it ended.")
CHILD_LOG = _("The log of a child stays as written, and goes after a year.")


@dataclass(frozen=True, slots=True)
class FreeWords:
    """Fields of one table, what a row of it is, and the page where it can be mended.

    ``args`` are paths to what the address takes; ``stays`` says why a row is not to
    be changed; ``goes`` is the path to a volunteer with whom the row goes anyway.
    """

    table: str
    fields: Sequence[str]
    what: Words
    view: str
    args: Sequence[str] = ("pk",)
    stays: Words = ""
    goes: str = ""


SEARCHED = (
    FreeWords(
        "season.Demonstration",
        ("name", "place_name", "directions", "contact", "story"),
        _("the demonstration's own words"),
        "desk:settings",
        (),
    ),
    FreeWords("season.Plot", ("name",), _("a plot"), "desk:plot_edit"),
    FreeWords("season.StageRecord", ("note",), _("a stage"), "desk:stage", ("stage",)),
    FreeWords(
        "people.Volunteer",
        ("emergency_name",),
        _("whom somebody else would have called"),
        "people:about",
        stays=ANOTHERS,
        goes="pk",
    ),
    FreeWords(
        "people.Competence",
        ("title", "asks"),
        _("a competence"),
        "people:competences",
        (),
    ),
    FreeWords(
        "people.Skill",
        ("refused_because",),
        _("why a competence was not confirmed"),
        "people:about",
        ("volunteer",),
        goes="volunteer",
    ),
    FreeWords(
        "people.HealthNote",
        ("text",),
        _("somebody else's health note"),
        "people:about",
        ("volunteer",),
        ANOTHERS,
        "volunteer",
    ),
    FreeWords(
        "people.Wording",
        ("text",),
        _("words to agree to"),
        "people:words",
        (),
        AS_HEARD,
    ),
    FreeWords(
        "people.Letter",
        ("subject", "text"),
        _("a letter to somebody else"),
        "people:letter",
        stays=SENT,
        goes="volunteer",
    ),
    FreeWords(
        "safety.Hazard",
        ("title", "harm", "where", "severity_reason", "caution", "controller"),
        _("a hazard"),
        "safety:edit_hazard",
    ),
    FreeWords(
        "safety.HazardChange",
        ("title", "what"),
        _("the history of the hazards"),
        "safety:hazard_changes",
        (),
        SEALED,
    ),
    FreeWords(
        "safety.Control",
        ("text",),
        _("a control of a hazard"),
        "safety:edit_hazard",
        ("hazard",),
    ),
    FreeWords(
        "safety.Briefing",
        (
            *("title", "task", "plan", "in_charge", "stop_signal", "no_go"),
            *("machine_stop", "lifting", "weather", "clothing", "first_aid", "aed"),
            *("hospital", "emergency", "assembly_point", "lost_child", "welfare"),
            *("not_for", "photos"),
        ),
        _("a briefing"),
        "safety:edit_briefing",
    ),
    FreeWords(
        "safety.BriefingVersion",
        ("content",),
        _("a briefing as it was heard"),
        "safety:briefing",
        ("briefing",),
        AS_HEARD,
    ),
    FreeWords(
        "safety.Incident",
        (
            *("place", "account", "hurt_name", "hurt_contact", "injury", "done"),
            *("learnt", "told_authority_how", "not_told_why", "held_for"),
        ),
        _("an incident"),
        "safety:incident",
        stays=BY_LAW,
    ),
    FreeWords(
        "safety.Witness",
        ("name", "contact", "says"),
        _("a witness of an incident"),
        "safety:incident",
        ("incident",),
        BY_LAW,
    ),
    FreeWords(
        "safety.Evidence",
        ("words",),
        _("a photograph of an incident"),
        "safety:incident",
        ("incident",),
        BY_LAW,
    ),
    FreeWords(
        "safety.IncidentChange",
        ("what",),
        _("the history of an incident"),
        "safety:incident",
        ("incident",),
        BY_LAW,
    ),
    FreeWords(
        "safety.LostChild",
        (
            *("reporter", "name", "looks", "last_seen", "needs"),
            *("outcome", "went_to", "checked_by"),
        ),
        _("the log of a child"),
        "safety:child_log",
        stays=CHILD_LOG,
    ),
    FreeWords(
        "safety.ChildStep",
        ("text",),
        _("the log of a child"),
        "safety:child_log",
        ("lost_child",),
        CHILD_LOG,
    ),
    FreeWords(
        "safety.Machine",
        ("name", "stop", "fuel", "barrier", "note"),
        _("a machine"),
        "safety:edit_machine",
    ),
    FreeWords(
        "safety.Guard",
        ("name",),
        _("a guard of a machine"),
        "safety:edit_machine",
        ("machine",),
    ),
    FreeWords(
        "safety.MachineCheck",
        ("note",),
        _("the check of a machine"),
        "safety:machine",
        ("machine",),
        SEALED,
    ),
    FreeWords("safety.Stone", ("mark",), _("a stone"), "safety:edit_stone"),
    FreeWords(
        "safety.EmergencyPlan",
        (
            *("controller", "deputy", "calls", "way_in", "hospital", "meeting_point"),
            *("shelter", "signal", "no_signal", "fire", "water_rescue"),
            *("machine_stop", "lost_child", "light_failure", "aed"),
        ),
        _("the emergency plan"),
        "safety:edit_emergency",
        (),
    ),
    FreeWords(
        "safety.FirstAidPoint",
        ("place", "holds"),
        _("a first-aid point"),
        "safety:emergency",
        (),
    ),
    FreeWords("safety.Exit", ("name",), _("an exit"), "safety:edit_exit"),
    FreeWords(
        "safety.StewardPost",
        ("place", "task"),
        _("a steward's post"),
        "safety:edit_post",
    ),
    FreeWords(
        "gatherings.Gathering",
        ("title", "place", "bring", "note", "moved_from_place"),
        _("a gathering"),
        "gatherings:edit",
    ),
    FreeWords(
        "gatherings.Station",
        ("title", "note"),
        _("a station of a gathering"),
        "gatherings:edit",
        ("gathering",),
    ),
    FreeWords(
        "gatherings.Call",
        ("note", "reasons"),
        _("the call on a gathering"),
        "gatherings:call",
        ("gathering",),
        SEALED,
    ),
    FreeWords(
        "gatherings.Muster",
        ("why", "note"),
        _("a head-count"),
        "gatherings:head_count",
        ("gathering",),
        SEALED,
    ),
    FreeWords(
        "gatherings.Pattern",
        ("title", "bring", "note"),
        _("a pattern"),
        "gatherings:edit_pattern",
    ),
    FreeWords(
        "gatherings.PatternStation",
        ("title", "note"),
        _("a station of a pattern"),
        "gatherings:edit_pattern",
        ("pattern",),
    ),
    FreeWords("gatherings.Run", ("title",), _("a run"), "gatherings:run"),
    FreeWords(
        "gatherings.Weighing",
        ("why",),
        _("a decision on somebody else's work"),
        "gatherings:weighings",
        (),
        SEALED,
        "volunteer",
    ),
    FreeWords(
        "tally.Entry",
        ("reason",),
        _("a correction in the tally book"),
        "tally:log",
        ("gathering",),
        SEALED,
    ),
    FreeWords(
        "tally.OwnLog",
        ("note",),
        _("what somebody logged of their own work"),
        "tally:confirm",
        ("gathering",),
        ANOTHERS,
    ),
    FreeWords(
        "tally.Answer",
        ("reason",),
        _("the answer to somebody's own log"),
        "tally:confirm",
        ("own_log__gathering",),
        SEALED,
    ),
    FreeWords(
        "tally.Work",
        ("note",),
        _("other work in the tally book"),
        "tally:work",
        ("gathering",),
        SEALED,
    ),
    FreeWords("dam.Dam", ("name",), _("a dam"), "dam:edit"),
    FreeWords(
        "dam.Ret", ("why_more", "water_leave"), _("a ret"), "dam:ret", stays=SEALED
    ),
    FreeWords(
        "dam.Check", ("note",), _("the test of a ret"), "dam:ret", ("ret",), SEALED
    ),
    FreeWords(
        "dam.Treading",
        ("note", "why_alone"),
        _("a turn of treading"),
        "dam:treading_record",
    ),
    FreeWords(
        "pictures.Picture",
        ("caption", "alt_text", "credit"),
        _("a picture"),
        "pictures:edit",
    ),
    FreeWords(
        "pictures.PaperPermission",
        ("name", "guardian", "kept_where"),
        _("a permission on paper for a picture"),
        "pictures:picture",
        ("picture",),
    ),
    FreeWords(
        "pictures.DeletedPicture",
        ("reason",),
        _("why a picture was deleted"),
        "pictures:list",
        (),
        SEALED,
    ),
    FreeWords(
        "fieldlog.Receipt",
        ("words",),
        _("a slip from the field page"),
        "fieldlog:book",
        ("gathering",),
        SEALED,
        "volunteer",
    ),
    FreeWords(
        "fieldlog.FieldNote",
        ("text",),
        _("a note from the field"),
        "fieldlog:book",
        ("gathering",),
        SEALED,
    ),
    FreeWords(
        "privacy.Complaint",
        ("about", "name", "contact", "outcome"),
        _("a complaint"),
        "privacy:complaint",
        stays=COMPLAINED,
    ),
    FreeWords(
        "privacy.ComplaintStep",
        ("text",),
        _("a complaint"),
        "privacy:complaint",
        ("complaint",),
        COMPLAINED,
    ),
)
