"""The kinds of row that are about a volunteer: every one that may be held."""

from django.utils.translation import gettext_lazy as _

from heritage.dam.models import Treader
from heritage.fieldlog.models import Receipt
from heritage.gatherings.models import (
    Awaited,
    Gathering,
    Safe,
    SignUp,
    Turnout,
    Weighing,
)
from heritage.people.models import AccountLetter, Invitation, Letter
from heritage.pictures.models import Picture
from heritage.privacy.models import Erasure, Merge
from heritage.privacy.selectors.details import DETAILS
from heritage.privacy.selectors.kinds import Column, Source, line
from heritage.safety.models import Acknowledgement, Incident, StewardPost
from heritage.tally.models import Entry, OwnLog, Work

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
