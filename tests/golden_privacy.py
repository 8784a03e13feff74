"""What is held of people, and what erasing, merging and tidying do: in plain files.

``python -m tests.golden_privacy FOLDER`` writes it alone, in seconds; `tests.golden`
writes it with everything else. In a world of one row of each kind, all of them written
by the organiser, it writes each person's record as page, file and sheet, the archive,
and where a name stands in words. In another, two lines that meet everywhere become one,
somebody is erased, and years pass: the pages before, and every row after each.
"""

import io
import sys
import zipfile
from datetime import timedelta
from pathlib import Path

NAME = "Eva Zürn"
LEFT_ALONE = {
    "season.Demonstration.time_zone",
    "people.User.password",
    "people.Volunteer.name",
}
LATER = {"40-days": 40, "400-days": 400, "4-years": 4 * 366}


def privacy(folder: Path) -> None:
    from heritage.common import clock

    folder /= "privacy"
    records(folder)
    home, people = filled()
    before_and_after(folder, home, people)
    begun = clock.now()
    for when, days in LATER.items():
        clock.now = lambda days=days: begun + timedelta(days=days)
        due(folder, home, people["organiser"], when)
    clock.now = lambda: begun


def reader(user):
    """Sign somebody in, by the clock that stands."""
    from django.test import Client

    from heritage.common import clock

    client = Client()
    client.force_login(user)
    type(user).objects.filter(pk=user.pk).update(last_login=clock.now())
    return client


def write_page(folder, name, response) -> None:
    from tests.golden import words_of, write

    to = response.headers.get("Location", "")
    write(folder, name, f"{response.status_code} {to}\n{words_of(response)[0]}")


def records(folder: Path) -> None:
    """Write what is held of everybody of one world, and where somebody is named."""
    from django.db import connection

    from heritage.common.triggers import unsealed
    from tests.factories import make_erasure, make_volunteer
    from tests.people.world import make_keeper, make_world

    world = make_world()
    home, people = world.demonstration, world.rows
    keeper = make_volunteer(demonstration=home, user=make_keeper(), name="The keeper")
    with unsealed(connection):
        all_of(people["volunteer"], people["organiser"].user)
    written_by(people, people["organiser"].user)
    organiser = reader(people["organiser"].user)
    for name in ("volunteer", "child", "lead", "organiser", "gone"):
        person = people[name]
        write_record(folder / name, person, person.user or people["volunteer"].user)
    write_record(folder / "keeper", keeper, keeper.user)
    write_archive(folder, organiser, home)
    eva = make_volunteer(demonstration=home, name=NAME, phone="028 9000 0001")
    asked = make_erasure(volunteer=eva)
    with unsealed(connection):
        name_everywhere(home)
    address = f"/at/{home.slug}/privacy/erasures/{asked.pk}/"
    write_page(folder, "named", organiser.get(address))


def written_by(people, by) -> None:
    """Write what no row of the world can be changed into."""
    from allauth.account.models import EmailAddress

    from tests.factories import (
        NOW,
        make_acknowledgement,
        make_briefing,
        make_briefing_version,
        make_lost_child,
        make_treading,
    )

    ann, evening = people["volunteer"], people["gathering"]
    here = {"demonstration": evening.demonstration}
    briefing = make_briefing(title="The other briefing", **here)
    version = make_briefing_version(briefing=briefing)
    make_acknowledgement(version=version, volunteer=ann, recorded_by=by, read_by=ann)
    people["picture"].people.add(ann)
    EmailAddress.objects.create(user=ann.user, email=ann.user.email, verified=True)
    ended = make_lost_child(closed_at=NOW, closed_by=by, outcome="Home", **here)
    ended.steps.create(at=NOW, by=by, text="Found.")
    make_treading(
        plan=people["rota_plan"], day=NOW.date() + timedelta(days=9),
        trodden_at=NOW, recorded_at=NOW, recorded_by=by, note="Cold.", why_alone="Ill",
    )  # fmt: skip
    tried(
        type(people["receipt"]), {"is_apart": True, "settled_at": NOW, "settled_by": by}
    )
    answer_of(people["own_log"], by)


def answer_of(own_log, by) -> None:
    from heritage.tally.models import Answer
    from tests.factories import NOW

    Answer.objects.create(
        own_log=own_log, reason="Counted before.", answered_at=NOW, answered_by=by
    )


def write_record(folder, person, user) -> None:
    address = f"/at/{person.demonstration.slug}/privacy/held/{person.pk}/"
    for name, path in {"page": "", "file": "file/", "sheet": "sheet/"}.items():
        write_page(folder, name, reader(user).get(address + path))
    address = address.replace("held", "erase")
    write_page(folder, "erase", reader(user).get(address))


def write_archive(folder, organiser, home) -> None:
    from tests.golden import write
    from tests.responses import finish

    address = f"/at/{home.slug}/privacy/everything/"
    ticked = {"health": "on", "incidents": "on"}
    for name, posted in {"bare": {"x": ""}, "ticked": ticked}.items():
        content = finish(organiser.post(address, posted))
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            for member in archive.namelist():
                text = archive.read(member).decode("utf-8-sig")
                write(folder / f"archive-{name}", member, text)


def all_of(person, account) -> None:
    """Let every row be about one person, and be written by one account."""
    from django.apps import apps

    from heritage.common import clock
    from heritage.people.models import User, Volunteer

    for model in apps.get_models():
        for field in model._meta.concrete_fields:
            if not field.is_relation or not model.__module__.startswith("heritage."):
                continue
            if field.related_model is User and model is not Volunteer:
                at = field.name.removesuffix("_by") + "_at"
                there = {one.name for one in model._meta.concrete_fields}
                moment = {at: clock.now()} if field.null and at in there else {}
                tried(model, {field.name: account, **moment})
            elif field.related_model is Volunteer and model is not Volunteer:
                tried(model, {field.name: person})


def tried(model, values) -> None:
    """Change each row so, where the database lets it be."""
    from django.db import IntegrityError, transaction

    for key in model._default_manager.order_by("pk").values_list("pk", flat=True):
        try:
            with transaction.atomic():
                model._default_manager.filter(pk=key).update(**values)
        except IntegrityError:
            continue


def name_everywhere(home) -> None:
    """Write the name into every text of every table, but where a page would break."""
    from django.apps import apps
    from django.db import models

    for model in apps.get_models():
        if not model.__module__.startswith("heritage."):
            continue
        for field in model._meta.concrete_fields:
            whole = f"{model._meta.label}.{field.name}"
            if field.choices or field.unique or whole in LEFT_ALONE:
                continue
            if isinstance(field, models.EmailField | models.URLField):
                continue
            if isinstance(field, models.JSONField):
                tried(model, {field.name: {"said": ["", f"Ask {NAME}."]}})
            elif isinstance(field, models.CharField | models.TextField):
                tried(model, {field.name: NAME})


def filled():
    """Return a home of which everybody has a row of every kind, and some meet."""
    from tests.factories import make_volunteer
    from tests.privacy.world import fill, fill_once, make_home

    home, nora, ann, ned = make_home()
    here = {"demonstration": home}
    bob = make_volunteer(name="Bob Reed", emergency_name="Bea Reed", **here)
    on_paper = {"user": None, "phone": "1", "email": "a@b.org"}
    paper = make_volunteer(name="A. Rush", **on_paper, **here)
    people = {"organiser": nora, "volunteer": ann, "child": ned, "lead": bob}
    people["paper"] = paper
    for person in people.values():
        fill_once(person, by=nora.user)
        fill(person, by=person.user or ann.user)
    ned.health_note.delete()
    meet(here, [ann, paper, bob])
    home.gatherings.filter(lead=bob).update(first_aider=paper)
    end(here, people)
    return home, people


def meet(here, people) -> None:
    """Let some be at the same of everything."""
    from tests import factories as new
    from tests.factories import NOW

    hours = timedelta(hours=1)
    times = {"starts_at": NOW - 3 * hours, "ends_at": NOW - hours}
    evening = new.make_gathering(lead=people[-1], **times, **here)
    station = new.make_station(gathering=evening)
    other = new.make_station(gathering=new.make_gathering(**here))
    briefing = new.make_briefing(**here)
    version = new.make_briefing_version(briefing=briefing)
    competence = new.make_competence(**here)
    wording = new.make_wording(number=99, **here)
    muster = new.make_muster(gathering=evening)
    rets = [new.make_ret(dam=new.make_dam(name=name, **here)) for name in "AB"]
    ahead, trodden = [
        new.make_treading(plan=new.make_rota_plan(ret=ret)) for ret in rets
    ]
    for number, person in enumerate(people):
        since, one = NOW - (2 + number / 8) * hours, {"volunteer": person}
        new.make_sign_up(station=station, asked_at=since, **one)
        new.make_sign_up(station=other, asked_at=since, **one)
        new.make_turnout(gathering=evening, arrived_at=since, **one)
        heard = {"heard_at": since, "read_by": people[-1]}
        new.make_acknowledgement(version=version, **heard, **one)
        new.make_skill(competence=competence, **one)
        new.make_agreement(wording=wording, given_at=since, **one)
        new.make_awaited(muster=muster, since=since, **one)
        new.make_safe(muster=muster, seen_at=since, **one)
        new.make_weighing(**one)
        new.make_treader(turn=ahead, changed_at=since, **one)
        new.make_treader(turn=trodden, changed_at=since, trod=True, **one)


def end(here, people) -> None:
    """Make what has ended, and beside it what has not."""
    from tests import factories as new
    from tests.factories import NOW

    by, ann = people["organiser"].user, people["volunteer"]
    over = {"closed_at": NOW, "outcome": "Home"}
    new.make_lost_child(**here)
    new.make_lost_child(closed_by=by, **over, **here)
    new.make_complaint(**here)
    seen = {"acknowledged_at": NOW, "acknowledged_by": by}
    new.make_complaint(**over, **seen, **here)
    done = {"completed_at": NOW, "completed_by": by}
    new.make_incident(**done, **here)
    claim = {"volunteer": people["child"], "held_for": "A solicitor wrote"}
    new.make_incident(**claim, **done, **here)
    new.make_letter(volunteer=ann, state="sent", **here)
    new.make_account_letter(user=ann.user, state="sent", text="")
    wording = new.make_wording(number=98, **here)
    back = {"withdrawn_at": NOW, "withdrawn_by": ann.user}
    new.make_agreement(volunteer=ann, wording=wording, **back)


def before_and_after(folder, home, people) -> None:
    """Write the pages before a merge and an erasing, and the rows before and after."""
    from tests.golden import rows, write

    organiser, at = reader(people["organiser"].user), f"/at/{home.slug}/privacy/"
    write(folder, "rows-0-before", rows())
    for name, person in people.items():
        write_page(folder / "erase", name, organiser.get(f"{at}erase/{person.pk}/"))
    gone, kept = people["paper"], people["volunteer"]
    merge = f"{at}merge/{gone.pk}/"
    write_page(folder, "merge", organiser.get(f"{merge}?into={kept}"))
    done = organiser.post(merge, {"into": kept.pk, "sure": "on"})
    write_page(folder, "merged", done)
    write(folder, "rows-1-merged", rows())
    write_record(folder / "merged-with", kept, kept.user)
    write_page(folder, "merges", organiser.get(f"{at}merge/"))
    erased = people["lead"]
    organiser.post(f"{at}erase/{erased.pk}/")
    asked = erased.erasures.get()
    write_page(folder, "erasure", organiser.get(f"{at}erasures/{asked.pk}/"))
    said = {"sure": "on", "why_left": "It may stay."}
    write_page(folder, "erased", organiser.post(f"{at}erasures/{asked.pk}/", said))
    write(folder, "rows-2-erased", rows())
    write_page(folder, "erasures", organiser.get(f"{at}erasures/"))


def due(folder, home, organiser, when) -> None:
    """Write what is due by now, and the rows that are left once it is deleted."""
    from tests.golden import rows, write

    address = f"/at/{home.slug}/privacy/due/"
    client = reader(organiser.user)
    write_page(folder, f"due-{when}", client.get(address))
    write_page(folder, f"tidied-{when}", client.post(address, {"sure": "on"}))
    write(folder, f"rows-3-{when}", rows())
    write_page(folder, f"due-{when}-after", client.get(address))


def main(folder: Path) -> None:
    from tests.golden import ready

    ready()
    privacy(folder)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
