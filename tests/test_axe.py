"""Every page of a full season, read by axe on a phone by day and on a desk in dusk."""

import re
from datetime import UTC, datetime
from io import StringIO

import pytest
from django.conf import settings
from django.core.management import call_command

from heritage.briefings.models import Briefing, Hazard
from heritage.common import clock
from heritage.dam.models import Dam, Ret, Treading
from heritage.gatherings.models import Gathering, Pattern, Run, SignUp
from heritage.lots.models import Lot
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration, Plot
from tests.everywhere import Page, client_of
from tests.factories import (
    make_account_letter,
    make_erasure,
    make_evidence,
    make_hazard,
    make_incident,
    make_lost_child,
    make_picture,
    make_session,
    make_session_move,
    make_spread_lot,
    make_spreading,
    make_turnout,
    make_volunteer,
    make_witness,
)
from tests.looking import (
    DESK,
    LIGHT,
    PHONE,
    SITE,
    narrow,
    opened,
    shut_out,
)
from tests.responses import finish

pytestmark = [
    pytest.mark.browser,
    pytest.mark.any_database,
    pytest.mark.django_db(transaction=True),
]

# Visitors' pages, and those of an evening; the elements' page has every colour.
IN_DUSK = re.compile(
    r"^/[^/]*/?$|/at/[^/]*/(story.*|today/|field/.*|dam/.*)?$|/gatherings/"
)


def addresses():
    """Name a page of each kind, of the show's own rows."""
    home = f"/at/{Demonstration.objects.get().slug}/"
    evening = Gathering.objects.get(starts_at__date="2026-08-12").pk
    place = SignUp.objects.live().filter(gathering=evening).first().pk
    came = walked_in(Gathering.objects.get(pk=evening))
    later = (
        Gathering.objects.filter(starts_at__date__gt="2026-08-12")
        .earliest("starts_at")
        .pk
    )
    turn = Treading.objects.get(day="2026-08-13", half="evening").pk
    past = Treading.objects.get(day="2026-08-11", half="morning").pk
    ret, dam = Ret.objects.earliest("pk").pk, Dam.objects.earliest("pk").pk
    lot = Lot.objects.order_by("pk").last().pk
    person = Volunteer.objects.order_by("pk").first().pk
    briefing = Briefing.objects.order_by("pk").first().pk
    hazard = Hazard.objects.order_by("pk").first().pk
    people = Volunteer.objects.order_by("pk")
    me = people.organisers().first().pk
    paper = people.without_account().first().pk
    pattern, run = Pattern.objects.first().pk, Run.objects.earliest("pk").pk
    plot = Plot.objects.first().pk
    incident, child = went_wrong(Demonstration.objects.get())
    asked = asked_to_be_erased(people.without_account().last())
    pages = [
        "", "story/", "story/pulling/",
        "today/", "season/", "season/pulling/", "set-up/", "set-up/plots/add/",
        *after_the_dam(Demonstration.objects.get()),
        "crop/", f"crop/lots/{lot}/", f"crop/lots/{lot}/move/",
        f"crop/lots/{lot}/part/", f"crop/lots/{lot}/seed/", "crop/together/",
        "crop/take-in/", f"dam/rets/{ret}/lots/",
        "crop/harvest/", "crop/growing/", "crop/growing/see/", "crop/growing/seen/",
        "crop/growing/warmth/", f"crop/growing/plots/{plot}/", "sheets/", "calendar/",
        # gatherings
        "gatherings/", "gatherings/post/", f"gatherings/{evening}/",
        f"gatherings/{evening}/call/", f"gatherings/{later}/",
        f"gatherings/{evening}/?here=1", f"gatherings/{evening}/head-count/",
        f"gatherings/{evening}/first-aid/", f"gatherings/{evening}/emergency/",
        f"gatherings/{evening}/places/{place}/", f"gatherings/{evening}/gate/{came}/",
        f"gatherings/{later}/come/", f"gatherings/{later}/suggestion/",
        "gatherings/young-people/", "gatherings/patterns/",
        "gatherings/patterns/add/", f"gatherings/patterns/{pattern}/",
        "gatherings/runs/", "gatherings/runs/post/", f"gatherings/runs/{run}/",
        f"gatherings/runs/{run}/edit/", f"gatherings/{later}/put-off/",
        # tally
        "tally/", f"tally/evening/{evening}/", "tally/forecast/",
        # dam
        "dam/", f"dam/{dam}/", f"dam/rets/{ret}/", f"dam/rets/{ret}/readings/add/",
        f"dam/rets/{ret}/checks/add/", f"dam/rets/{ret}/came-out/",
        f"dam/rets/{ret}/flax-and-water/", "dam/when-to-test/", "dam/days-ahead/",
        "season/forecasts/",
        f"dam/rets/{ret}/treading/", f"dam/rets/{ret}/treading/plan/",
        f"dam/rets/{ret}/treading/work-out/", f"dam/turns/{turn}/",
        f"dam/turns/{past}/record/",
        # safety
        "safety/", f"safety/{briefing}/", "safety/hazards/",
        f"safety/{briefing}/publish/", f"safety/{briefing}/tick-off/",
        f"safety/hazards/{hazard}/", f"safety/hazards/{hazard}/edit/",
        "safety/hazards/changes/", "safety/compose/", "safety/machines/",
        "safety/machines/add/", "safety/lifting/", "safety/stones/",
        "safety/stones/add/", f"gatherings/{evening}/briefings/",
        "safety/emergency/", "safety/emergency/edit/",
        "safety/emergency/first-aid/add/",
        "safety/incidents/", "safety/incidents/report/",
        f"safety/incidents/{incident}/",
        f"safety/incidents/{incident}/edit/", f"safety/incidents/{incident}/reporting/",
        "safety/lost-child/", "safety/lost-child/open/", f"safety/lost-child/{child}/",
        "safety/site/", "safety/site/edit/", "safety/stewards/", "safety/stewards/add/",
        # pictures
        "pictures/", "pictures/add/",
        # people
        "people/", "people/add/", "people/me/", "people/letters/",
        "people/letters/?show=trouble",
        "people/invitations/", "people/take-in/",
        "people/kept/", "people/competences/", "people/competences/enter/",
        "people/words/", "people/words/photograph/", f"people/{person}/about/",
        f"people/{person}/about/note/", f"people/{person}/about/photographs/",
        # field
        f"field/{evening}/stop/", f"field/{evening}/book/",
        # privacy
        "privacy/", "privacy/complain/", "privacy/complaints/", "privacy/due/",
        "privacy/erasures/", "privacy/merge/", "privacy/everything/",
        f"privacy/erasures/{asked}/", f"privacy/held/{me}/",
        f"privacy/erase/{paper}/", f"privacy/merge/{paper}/",
    ]  # fmt: skip
    account = ["second-lock", "email", "password/set", "2fa", "2fa/totp/activate"]
    account = [f"/account/{page}/" for page in account]
    return [
        "/",
        "/new/",
        "/cautions/",
        "/help/",
        *account,
        *[home + page for page in pages],
    ]


def after_the_dam(here):
    """Let some flax lie on the grass, and some be broken."""
    spread = make_spread_lot(spreading=make_spreading(demonstration=here)).spreading
    session = make_session_move(session=make_session(demonstration=here)).session
    pages = ["", "account/", "store/", "store/look/", "store/dry/", "grass/spread/"]
    pages += ["grass/dew/", "grass/weather/", f"grass/{spread.pk}/"]
    pages += [f"grass/{spread.pk}/add/", f"grass/{spread.pk}/bring-in/"]
    pages += ["work/break/", "work/scutch/", "work/hackle/", f"work/{session.pk}/"]
    return [f"crop/fibre/{page}" for page in pages]


def walked_in(evening):
    """Let somebody come whom no station could be given yet."""
    row = make_turnout(
        gathering=evening,
        volunteer=make_volunteer(demonstration=evening.demonstration, user=None),
        left_at=None,
        arrived_at=datetime(2026, 8, 12, 17, 30, tzinfo=UTC),
    )
    return row.volunteer_id


def asked_to_be_erased(person):
    """Let somebody ask it whom others name whole, and by a part of the name."""
    home, first = person.demonstration, person.name.split()[0]
    make_picture(demonstration=home, caption=f"{person.name} ties a beet")
    make_hazard(demonstration=home, title=f"The gap by {first}'s gate")
    return make_erasure(volunteer=person).pk


def went_wrong(place):
    """Write down what the show, where all goes well, has none of."""
    organiser = User.objects.get(email__startswith="organiser@")
    make_account_letter(user=organiser, state="bounced", queued_at=clock.now())
    said = {"demonstration": place, "reported_by": organiser}
    incident = make_incident(kind="injury", who="visitor", **said)
    make_evidence(incident=incident)
    make_witness(incident=incident)
    return incident.pk, make_lost_child(demonstration=place).pk


def of_others(home, evening):
    """Name what others see otherwise than an organiser, for each of them."""
    return {
        "visitor": ["", "story/pulling/", "pictures/", f"gatherings/{evening}/"],
        "newcomer": [f"gatherings/{evening}/come/", "people/join/"],
        "volunteer": ["today/", f"gatherings/{evening}/", "people/me/", "more/"],
        "lead": ["today/", f"gatherings/{evening}/", f"field/{evening}/"],
    }


def everybodys():
    """Yield each page that the suite looks at, as one of them sees it."""
    known = addresses()
    here = Demonstration.objects.get()
    evening = Gathering.objects.get(starts_at__date="2026-08-12").pk
    home = f"/at/{here.slug}/"
    for who, paths in {"organiser": known, **of_others(here, evening)}.items():
        client = client_of(who)
        for path in paths:
            address = path if path.startswith("/") else home + path
            answer = client.get(address, follow=True)
            assert answer.status_code == 200, (who, address)
            yield Page(who, address, finish(answer).decode())


@pytest.mark.long
def test_no_page_of_a_season_shuts_anybody_out(chromium, live_server, monkeypatch):
    """Axe finds nothing by day and in dusk, and nothing scrolls sideways.

    Every rule is asked on a phone by day; a wide screen in dusk has only its colours
    to say, and what is read at dusk says them. `tests.everywhere --look` asks the whole
    of everybody.
    """
    monkeypatch.setattr(settings, "CLOCK_STARTS_AT", "2026-08-12T18:40:00+01:00")
    call_command("demo", "--no-serve", stdout=StringIO())
    found = {}
    with opened(chromium) as (tab, shown):
        for page in everybodys():
            shown[page.path] = page.html
            tab.goto(SITE + page.path)
            broken = shut_out(tab, PHONE, "light") + narrow(tab)
            if IN_DUSK.search(page.path):
                broken += shut_out(tab, DESK, "dark", LIGHT)
            if broken:
                found[page.who, page.path] = broken
    assert found == {}
