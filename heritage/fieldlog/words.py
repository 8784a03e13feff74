"""What the field page's script says, in the reader's language.

The page carries them, since a phone must know them without a signal. A word in braces
is put in by the script. No text counts a thing in its grammar (“Beets: 1”), because the
script knows nothing of a language's plurals.
"""

from django.utils.translation import gettext as _


def phone_texts() -> dict[str, str]:
    """Return every text of the script, by its name there."""
    return {**_states(), **_people(), **_counting(), **_sky(), **_mends(), **_slips()}


def _states() -> dict[str, str]:
    return {
        "cannot_save": _(
            "This browser cannot save anything on the phone. Use the plain forms "
            "below, or paper."
        ),
        "no_signal": _("No signal."),
        "no_answer": _("No answer from the server."),
        "server_cannot": _("The server cannot take it."),
        "sign_in_again": _("Sign in again to send."),
        "sign_in": _("Sign in"),
        "closed": _("This gathering's page has closed."),
        "no_names": _("Tonight's names have not come yet: they need a signal once."),
        "unsent": _("{count} saved on this phone, not yet sent."),
        "sent": _("{count} sent."),
        "nothing": _("Nothing to send."),
        "refused": _("{count} refused: see “Phone”."),
        "not_saved": _("Not saved: this phone refused it ({why}). Write it on paper."),
        "no_reason": _("no reason"),
        "here_alone": _("{count} on this phone alone."),
        "kept": _(
            "This page is kept on this phone: it opens without a signal until the "
            "gathering closes."
        ),
        "not_kept": _(
            "This browser cannot keep the page. Leave it open, or use paper."
        ),
        "over": _(
            "This gathering's page has closed: nothing of it is kept any longer."
        ),
        "usual_stones": _("the dam's usual stones"),
        "tonights_pull": _("Tonight's pull"),
    }


def _people() -> dict[str, str]:
    return {
        "somebody": _("somebody"),
        "nobody": _("nobody"),
        "you": _("{who} (you)"),
        "more_names": _("and {count} more: type to find one"),
        "and_more": _("{count} more"),
        "gone_home": _("Gone home: {count}"),
        "no_such_name": _("Not on the list. Check the spelling."),
        "alone": _("{who}: their adult is not here. Who is with them?"),
        "no_station": _("no station yet"),
        "theirs": _("theirs"),
        "to_hear": _("to hear first"),
        "not_heard": _("not heard"),
        "full": _("full"),
        "read_to": _("Read the briefing to them"),
        "read_for": _("Read the briefing for {station} to {who}"),
        "version": _("{title}, version {number}"),
        "nobody_here": _("nobody is here yet"),
        "still_to_hear": _("{count} still to hear it"),
        "all_heard": _("everybody here has heard it"),
        "heard_it": _("{who} heard it"),
        "heard_that": _("{who} heard it: {title}"),
    }


def _counting() -> dict[str, str]:
    return {
        "called_out": _("Everybody out, called {at}. {so_far}"),
        "not_seen": _("Not seen yet: {who}."),
        "none_counted": _("Nobody was marked here: nobody has been counted."),
        "missing": _("{missing} of {all} not seen yet."),
        "all_seen": _("All {all} have been seen."),
        "at_station": _("{who} ({station})"),
    }


def _sky() -> dict[str, str]:
    return {
        "thunder_over": _(
            "Thunder was last heard at {at}, and the wait of 30 minutes is over. You "
            "decide whether the sky is safe."
        ),
        "thunder": _(
            "Thunder: all work stopped, everybody under shelter until {at} at the "
            "least."
        ),
        "left": _("{time} left."),
        "all_night": _("There is light all night."),
        "sunset": _("Sunset {at}: machines and work at the water stop then."),
        "past_stop": _(
            "Past the hour to stop ({at}). Count everybody out of the field."
        ),
        "stop": _("Light: stop at {at}, in {time}. {sunset}"),
        "hours": _("{hours} h {minutes} min"),
        "minutes": _("{minutes} min"),
    }


def _mends() -> dict[str, str]:
    return {
        "mend_beets": _("How many beets"),
        "mend_note": _("The note"),
        "mend_temperature": _("Degrees Celsius"),
        "mend_stones": _("How many stones"),
        "mend_trod": _("Why one trod alone, or nobody watched"),
        "mend_move": _("How many beets"),
        "mend_observation": _("Height in centimetres"),
        "mend_picture": _("What it shows, in a few words"),
        "mend_walk_in": _("Their name"),
        "mend_child": _("Name of the child"),
        "mend_counted": _("Who was not seen, and where they are"),
        "more_before": _("and {count} before these"),
    }


def _slips() -> dict[str, str]:
    return {
        "came": _("{who} came"),
        "struck": _("{who} did not come after all"),
        "left_field": _("{who} left"),
        "stayed": _("{who} had not left after all"),
        "walk_in": _("{name} walked in"),
        "child": _("{name}, a child, came with {who}"),
        "station": _("{who} at {title}"),
        "heard": _("{who} heard “{title}”"),
        "beets": _("Beets for {who}: {count}"),
        "uncount": _("Beets taken back from {who}: {count}"),
        "note": _("Note: {text}"),
        "temperature": _("Water {temp_c} °C"),
        "stones_on": _("Stones put on: {how_many}"),
        "stones_off": _("Stones taken off: {how_many}"),
        "trod": _("Trod: {count}, and somebody watched"),
        "trod_unwatched": _("Trod: {count}, and nobody watched"),
        "observation": _("Crop: {seen}"),
        "moved_cart": _("Beets moved to the cart: {beets}"),
        "moved_store": _("Beets moved to the store: {beets}"),
        "moved_stook": _("Beets moved to the field: {beets}"),
        "moved_lost": _("Beets lost: {beets}"),
        "thunder_heard": _("Thunder heard"),
        "muster": _("Everybody called out"),
        "seen": _("{who} seen, safe"),
        "unseen": _("{who} not seen after all"),
        "counted": _("Head-count ended"),
        "picture": _("Photograph: {caption}"),
        "flower_none": _("no flowers yet"),
        "flower_start": _("first flowers open"),
        "flower_full": _("in full flower"),
        "flower_end": _("flowers over"),
        "height": _("{height_cm} cm tall"),
        "stems": _("stems {stems_yellow} % yellow"),
        "leaves": _("leaves off {leaves_fallen} %"),
        "bolls_green": _("green bolls: {bolls_green}"),
        "bolls_yellow": _("yellow bolls: {bolls_yellow}"),
        "bolls_brown": _("brown bolls: {bolls_brown}"),
        "lodged": _("{lodged} % lying flat"),
    }
