"""Markup in every stored word, and every page, mail, calendar and sheet read back.

Whatever somebody typed is shown as they typed it: it never becomes part of a page,
and ends no line of a calendar or of a mail's head.
"""

import re
from contextlib import suppress
from functools import cache
from io import BytesIO
from typing import Any

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction
from django.db.models.functions import Cast, Concat
from django.test import Client, TestCase
from pypdf import PdfReader

from heritage.briefings import mail as safety_mail
from heritage.briefings.selectors import Voided
from heritage.common import post
from heritage.common.access import Role
from heritage.common.chores import note_done
from heritage.common.models import Chore
from heritage.dam.rota import mail as dam_mail
from heritage.gatherings.letters import mail as evenings_mail
from heritage.people.invitations.mail import invitation_letter
from heritage.people.letters import services as letters
from heritage.people.models import Letter, User, Volunteer
from heritage.tally.services import answer_own
from tests.factories import NOW
from tests.people.test_access import ours, path_to
from tests.people.world import World, make_keeper, make_world
from tests.reading_mail import arrived
from tests.sheets_once import sheets_drawn_once

# Breaks out of an attribute, opens an element, is no entity, and ends a line.
POISON = '"><b>zq{}</b>&lt;\nX-ZQ:1'
RAW = re.compile(r"<b>zq(\d+)")
SHOWN = re.compile(r"zq(\d+)")
NEW_LINE = re.compile(rb"^X-ZQ", re.MULTILINE)
KEPT = models.TextField()
KINDS = (models.CharField, models.TextField)
# Codes, keys and what the site itself makes: no form lets anybody type them.
NOT_TYPED = {
    "season.Demonstration.time_zone",
    "season.Demonstration.slug",
    "people.User.password",
    "people.Volunteer.calendar_key",
    "people.Letter.key",
    "people.Letter.about",
    "people.Letter.also",
    "people.Letter.html",
    "people.Letter.message_id",
    "people.AccountLetter.key",
    "people.AccountLetter.message_id",
    "people.Invitation.key",
    "incidents.Incident.key",
    "incidents.Evidence.key",
    "incidents.ChildStep.step",
    "gatherings.Gathering.uid",
    "pictures.Picture.key",
    "pictures.Picture.sha256",
    "pictures.DeletedPicture.sha256",
    "privacy.Tidying.rule",
    "privacy.Complaint.key",
    "dam.Treading.uid",
}
# Sheets bound together, each of which is read by itself.
BOUND = {"public:pack", "public:process_booklet", "public:process_cards"}
# Words kept inside a bundle: every sentence in it is somebody's.
BUNDLES = {
    "briefings.BriefingVersion.content",
    "machines.MachineCheck.present",
    "gatherings.Call.reasons",
}


def ours_in(kinds: Any) -> list[tuple[type[models.Model], Any, str]]:
    """Return our columns of some kinds, each with its whole name."""
    return [
        (model, field, f"{model._meta.label}.{field.name}")
        for model in apps.get_models()
        if model.__module__.startswith("heritage.")
        for field in model._meta.concrete_fields
        if isinstance(field, kinds) and not field.choices
    ]


def poison() -> dict[int, str]:
    """Write markup into every typed column of every row, and name the columns."""
    columns = [row for row in ours_in(KINDS) if row[2] not in NOT_TYPED]
    for number, (model, field, _name) in enumerate(columns, 1):
        # The row's number keeps apart what must not be twice.
        marked = models.Value(POISON.format(number))
        words = Concat(Cast("pk", KEPT), marked, output_field=KEPT)
        # A rule may let no words stand there beside the state of their row.
        with suppress(IntegrityError), transaction.atomic():
            model._default_manager.update(**{field.name: words})
    bundles = [row for row in ours_in(models.JSONField) if row[2] in BUNDLES]
    for number, (model, field, _name) in enumerate(bundles, len(columns) + 1):
        for row in model._default_manager.all():
            said = spoilt(getattr(row, field.name), POISON.format(number))
            model._default_manager.filter(pk=row.pk).update(**{field.name: said})
    return {number: row[2] for number, row in enumerate(columns + bundles, 1)}


def spoilt(said: Any, words: str) -> Any:
    """Put words in the place of every sentence in a bundle."""
    if isinstance(said, dict):
        return {key: spoilt(value, words) for key, value in said.items()}
    if isinstance(said, list):
        return [spoilt(value, words) for value in said] or [words]
    return words if isinstance(said, str) else said


def let_go_of_triggers() -> None:
    """Open what the database keeps: the words stand there, however they came."""
    found = "SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger'"
    if connection.vendor == "postgresql":
        found = (
            "SELECT tgname, tgrelid::regclass FROM pg_trigger WHERE NOT tgisinternal"
        )
    with connection.cursor() as cursor:
        cursor.execute(found)
        for name, table in cursor.fetchall():
            on = f" ON {table}" if connection.vendor == "postgresql" else ""
            cursor.execute(f'DROP TRIGGER "{name}"{on}')


def make_room() -> None:
    """Let every column hold the whole of the markup; SQLite's do as they are."""
    if connection.vendor != "postgresql":
        return
    with connection.cursor() as cursor:
        for model, field, _name in ours_in(models.CharField):
            table, column = model._meta.db_table, field.column
            cursor.execute(f'ALTER TABLE "{table}" ALTER COLUMN "{column}" TYPE text')


@pytest.mark.any_database
@pytest.mark.long
class PoisonedTests(TestCase):
    world: World
    columns: dict[int, str]

    @classmethod
    def setUpTestData(cls):
        cls.world = make_world()
        rows, by = cls.world.rows, cls.world.users["lead"]
        note_done(chore=Chore.TEND, now=NOW, trouble="Failed")
        rows["lost_child"].steps.create(at=NOW, by=by, text="Told")
        answer_own(own_log=rows["own_log"], right_beets=0, reason="No", by=by, now=NOW)
        cls.addresses = dict(User.objects.values_list("pk", "email"))
        if connection.vendor == "postgresql":
            # No table is altered while a check of it still waits.
            connection.check_constraints()
        let_go_of_triggers()
        make_room()
        cls.columns = poison()

    def pages(self):
        """Ask for every address as each who may, and give what was answered.

        A keeper sees what an organiser does, and is asked for the rest.
        """
        users = self.world.users
        self.enterContext(sheets_drawn_once())
        askers = {
            Role.ORGANISER: users["organiser"],
            Role.LEAD: users["lead"],
            Role.VOLUNTEER: users["volunteer"],
            Role.VISITOR: None,
            Role.KEEPER: make_keeper(),
        }
        for role, user in askers.items():
            client = Client()
            if user:
                client.force_login(user)
            for address in ours():
                if address.name in BOUND or address.role > role:
                    continue
                if role is Role.KEEPER and address.role < role:
                    continue
                answer = client.get(path_to(address, self.world))
                body = answer.getvalue() if answer.streaming else answer.content
                kind = answer.headers.get("Content-Type", "").split(";")[0]
                yield address.name, kind, body

    def test_no_stored_word_becomes_part_of_a_page(self):
        seen, kinds = set(), set()
        for name, kind, body in self.pages():
            kinds.add(kind)
            with self.subTest(address=name, kind=kind):
                seen |= self.read(kind, body)
        assert {"text/html", "text/calendar", "application/pdf"} <= kinds
        # The rest is shown only in a state that these rows are not in.
        assert len(seen) > 0.9 * len(self.columns)

    def read(self, kind: str, body: bytes) -> set[int]:
        """Refuse markup that works; return the columns that were read."""
        if kind == "application/pdf":
            return self.read_sheet(body)
        text = body.decode(errors="replace")
        if kind in {"text/html", "image/svg+xml"}:
            assert RAW.findall(text) == []
        if kind == "text/calendar":
            assert NEW_LINE.findall(body) == []
        return {int(number) for number in SHOWN.findall(text)}

    @staticmethod
    @cache
    def read_sheet(body: bytes) -> set[int]:
        text = "".join(page.extract_text() for page in PdfReader(BytesIO(body)).pages)
        plain = re.sub(r"\s", "", text)
        shown = SHOWN.findall(plain)
        # What was taken for markup would be missing beside its number.
        assert len(shown) == len(RAW.findall(plain))
        return {int(number) for number in shown}

    def write_letters(self):
        """Write every letter that the site writes of its own accord."""
        found = self.world.rows.items()
        rows = {name: type(row)._default_manager.get(pk=row.pk) for name, row in found}
        place, evening, run = rows["sign_up"], rows["gathering"], rows["run"]
        for write in (
            evenings_mail.signed_up,
            evenings_mail.moved_up,
            evenings_mail.lapsed,
            evenings_mail.moved,
            evenings_mail.gave_up,
        ):
            write(place.pk)
        was = evenings_mail.Before(NOW, NOW, POISON.format(0))
        evenings_mail.changed(evening.pk, was)
        call = rows["call"].pk
        for write in (
            evenings_mail.called_off,
            evenings_mail.back_on,
            evenings_mail.going_ahead,
            evenings_mail.on_hold,
        ):
            write(call, call)
        entry = evening.sign_ups.for_page().get(pk=place.pk)
        to_hear = [rows["briefing"].title]
        evenings_mail.reminder(evening, [entry], key="r", now=NOW, to_hear=to_hear)
        before = {evening.pk: evenings_mail.Before(NOW, NOW, POISON.format(0))}
        evenings = type(evening).objects.filter(pk=evening.pk)
        evenings.update(run=run)
        evenings_mail.run_called_off(run.pk, [evening.pk], POISON.format(0), NOW)
        evenings_mail.run_changed(run.pk, before, NOW)
        heard = Voided(rows["volunteer"], None)
        safety_mail.hear_again(rows["version"], [heard], NOW)
        type(rows["treader"]).objects.update(told=False, state="on")
        dam_mail.tell_changed(rows["rota_plan"], NOW)
        dam_mail.lost([rows["treading"].pk], NOW)
        subject, text = invitation_letter(rows["invitation"])
        Letter.objects.create(
            demonstration=self.world.demonstration,
            key="invitation",
            subject=post.one_line(subject)[:200],
            text=text,
            address="ann@example.org",
            queued_at=NOW,
            try_at=NOW,
        )

    def test_no_stored_word_becomes_part_of_a_mail_or_a_calendar_in_one(self):
        # What is no address gets no mail at all.
        Volunteer.objects.update(email="")
        for key, address in self.addresses.items():
            User.objects.filter(pk=key).update(email=address)
        old = list(Letter.objects.values_list("pk", flat=True))
        self.write_letters()
        written = Letter.objects.exclude(pk__in=old)
        assert written.count() > 12
        for letter in written:
            with self.subTest(letter=letter.key):
                self.read_mail(letter)

    def read_mail(self, letter):
        """Refuse a new head, working markup, and a new line of a calendar."""
        found = arrived(letters._mail(letter))
        kinds = {part.get_content_type() for part in found.walk()}
        assert {"text/plain", "text/html"} <= kinds
        for part in found.walk():
            assert "X-ZQ" not in part
            if part.get_content_type() == "text/html":
                assert RAW.findall(part.get_content()) == []
            if part.get_content_type() == "text/calendar":
                assert NEW_LINE.findall(part.get_payload(decode=True)) == []
        text = found.get_body(["plain"]).get_content()
        # In plain words it stands as it was typed: nothing is escaped twice.
        assert RAW.findall(text)
        assert "&quot;" not in text
