"""Every change to who belongs to a demonstration, and what is held of them."""

from heritage.people.services.ages import (
    bring_ages_up_to_date,
    bring_all_ages_up_to_date,
    change_keeping,
)
from heritage.people.services.agreements import (
    agree,
    agree_on_paper,
    note_notice_read,
    publish_wording,
    withdraw,
)
from heritage.people.services.answering import (
    require_organiser,
    require_own_word,
    require_own_word_or_organiser,
)
from heritage.people.services.competences import (
    add_competence,
    change_competence,
    confirm_able,
    refuse_able,
    remove_competence,
    say_able,
    take_back_able,
    take_starting_competences,
)
from heritage.people.services.intake import (
    take_in,
)
from heritage.people.services.invitations import (
    invite,
    make_claim,
    take_up,
    withdraw_invitation,
)
from heritage.people.services.membership import (
    add_child,
    add_volunteer,
    appoint_founder,
    come_back,
    edit_volunteer,
    join,
    leave,
    make_organiser,
    renew_calendar_key,
    stop_organiser,
)
from heritage.people.services.notes import (
    delete_due_notes,
    keep_health_note,
    take_back_health_note,
)
from heritage.people.services.particulars import Particulars

__all__ = [
    "Particulars",
    "add_child",
    "add_competence",
    "add_volunteer",
    "agree",
    "agree_on_paper",
    "appoint_founder",
    "bring_ages_up_to_date",
    "bring_all_ages_up_to_date",
    "change_competence",
    "change_keeping",
    "come_back",
    "confirm_able",
    "delete_due_notes",
    "edit_volunteer",
    "invite",
    "join",
    "keep_health_note",
    "leave",
    "make_claim",
    "make_organiser",
    "note_notice_read",
    "publish_wording",
    "refuse_able",
    "remove_competence",
    "renew_calendar_key",
    "require_organiser",
    "require_own_word",
    "require_own_word_or_organiser",
    "say_able",
    "stop_organiser",
    "take_back_able",
    "take_back_health_note",
    "take_in",
    "take_starting_competences",
    "take_up",
    "withdraw",
    "withdraw_invitation",
]
