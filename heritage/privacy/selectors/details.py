"""The kinds of row that say who somebody is, what they can do and agreed to."""

from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from django.utils.translation import gettext_lazy as _

from heritage.people.models import Agreement, HealthNote, Skill, User, Volunteer
from heritage.privacy.selectors.kinds import Source, line

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
