"""A package taken in again by an empty site, and what stops one that is not right."""

import io
import json
import re
import zipfile
from unittest.mock import patch

import pytest
from django.contrib.messages import get_messages
from django.core import mail
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction
from django.test import SimpleTestCase, TestCase
from django.urls import reverse

from heritage.archive.taking_in import services
from heritage.archive.taking_in.selectors import FORMAT, opened
from heritage.archive.taking_in.services import take_in
from heritage.common import clock
from heritage.common.backup_rows import rows_of
from heritage.common.store import stored_files
from heritage.kits.bag import Bag, Part
from heritage.people.models import AgeBand, Letter, LetterState, User, Volunteer
from heritage.pictures import services as pictures
from heritage.season.models import Demonstration, Plot, Tool
from heritage.tally.models import Entry
from tests.archive.test_contents import made
from tests.factories import NOW, make_sign_up, make_user, make_volunteer
from tests.people.world import make_keeper, make_world
from tests.pictures.photographs import photograph
from tests.responses import CommittingClient

RECORDS = "organiser-only/records"
# Made of the moment by another program, or lists of hashes.
OF_ITS_MAKING = (
    r".*/(tally\.xlsx|manifest-sha512\.txt|tagmanifest-sha512\.txt|bag-info\.txt)"
)


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


def empty_the_site():
    """Leave nothing, as in a database that was only migrated."""
    rows = rows_of(connection)
    connection.check_constraints()
    with rows.opened():
        rows.empty()
        connection.check_constraints()


def packed(parts):
    """Make a package anew of its files, hashes and all."""
    given = [Part(path, [data]) for path, data in parts.items()]
    return io.BytesIO(b"".join(Bag("x", given, info=(), moment=NOW).pieces()))


def parts_of(data):
    """Return a package's files by their path, without the sheets."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        names = {name.partition("/data/")[2]: name for name in archive.namelist()}
        kept = {path: at for path, at in names.items() if path.startswith(RECORDS)}
        return {path: archive.read(at) for path, at in kept.items()}


class PackageCase(TestCase):
    """A world with what its rules would refuse, were it written down only today."""

    @classmethod
    def setUpTestData(cls):
        cls.world = make_world(name="Flax at Lintholm")
        cls.home, rows = cls.world.demonstration, cls.world.rows
        Letter.objects.update(state=LetterState.SENT)
        rows["picture"].original.save("original", ContentFile(photograph()))
        pictures.adjust(
            picture=rows["picture"],
            values={"hidden_squares": [1, 40], "tool": Tool.RIPPLE_COMB},
        )
        # A child came beside one adult, and another answers for them since.
        child = make_volunteer(
            demonstration=cls.home,
            user=None,
            age_band=AgeBand.UNDER_13,
            guardian=rows["volunteer"],
        )
        make_sign_up(station=rows["station"], volunteer=child)
        child.guardian = rows["lead"]
        child.save()
        # Somebody heard on a screen, and has another account since.
        heard = rows["acknowledgement"]
        type(heard).objects.filter(pk=heard.pk).update(volunteer=child)
        cls.data = cls.export(cls.world.users["organiser"].pk)
        cls.parts = parts_of(cls.data)
        empty_the_site()

    @classmethod
    def export(cls, by):
        home, user = Demonstration.objects.get(), User.objects.get(pk=by)
        with made(home, user).file.open("rb") as stored:
            return stored.read()

    def take(self, data=None):
        return take_in(file=io.BytesIO(data or self.data))

    def spoilt(self, path, change):
        """Return the package with one of its records changed, and listed anew."""
        path = f"{RECORDS}/{path}"
        said = json.loads(self.parts[path])
        change(said)
        if isinstance(said, list):
            rows = ",\n".join(json.dumps(row) for row in said)
            return packed(self.parts | {path: f"[\n{rows}\n]\n".encode()})
        return packed(self.parts | {path: json.dumps(said).encode()})

    def refused(self, file):
        """Return why a package was refused, once nothing was left of it."""
        before = set(stored_files())
        with pytest.raises(ValidationError) as refusal:
            take_in(file=file)
        assert not Demonstration.objects.exists()
        assert not User.objects.filter(is_staff=False).exists()
        assert set(stored_files()) == before
        return " ".join(refusal.value.messages)


class RoundTripTests(PackageCase):
    def test_the_same_records_come_back_to_the_byte(self):
        taken = self.take()
        assert (taken.pictures, taken.lost, taken.as_usual) == (1, 0, [])
        again = self.export(self.world.users["organiser"].pk)
        one, two = (zipfile.ZipFile(io.BytesIO(x)) for x in (self.data, again))
        assert one.namelist() == two.namelist()
        differ = {name for name in one.namelist() if one.read(name) != two.read(name)}
        assert [name for name in differ if not re.fullmatch(OF_ITS_MAKING, name)] == []
        assert len(json.loads(self.parts[f"{RECORDS}/package.json"])["tables"]) > 80

    def test_the_books_stay_sealed_and_every_rule_stands(self):
        standing = rows_of(connection).triggers()
        laid_aside = []
        pour = services._pour

        def poured(model, name, rows):
            laid_aside.append(set(standing) - set(rows_of(connection).triggers()))
            return pour(model, name, rows)

        with patch.object(services, "_pour", poured):
            self.take()
        if connection.vendor == "sqlite":
            assert laid_aside[0]
            assert not any("_no_" in name for name in laid_aside[0])
            assert not any("written_once" in name for name in laid_aside[0])
        assert rows_of(connection).triggers() == standing
        with pytest.raises(DatabaseError), transaction.atomic():
            Entry.objects.update(beets=1)

    def test_new_rows_are_numbered_after_those_that_came(self):
        self.take()
        most = Plot.objects.order_by("pk").last()
        values = {"name": "New", "area_m2": 10, "demonstration": most.demonstration}
        assert Plot.objects.create(**values).pk > most.pk
        assert make_user().pk > max(u.pk for u in self.world.users.values())

    def test_a_number_that_is_taken_here_gives_way_and_a_keeper_is_known(self):
        organiser = self.world.users["organiser"]
        keeper = make_user(
            pk=self.world.users["lead"].pk, is_staff=True, email=organiser.email.upper()
        )
        self.take()
        assert User.objects.get(email__iexact=organiser.email) == keeper
        line = Volunteer.objects.get(pk=self.world.rows["organiser"].pk)
        assert line.user == keeper
        lead = Volunteer.objects.get(pk=self.world.rows["lead"].pk)
        assert lead.user.email == lead.email
        assert lead.user.pk not in {u.pk for u in self.world.users.values()}

    def test_one_without_an_address_stays_shut_and_none_has_a_password(self):
        def forget(rows):
            for row in rows:
                row["email"] = "" if row["user_id"] else row["email"]

        taken = take_in(file=self.spoilt("json/people-volunteer.json", forget))
        assert taken.shut_out == User.objects.count()
        assert not any(user.has_usable_password() for user in User.objects.all())

    def test_a_letter_that_waited_is_not_sent_from_here(self):
        def queue(rows):
            rows[0]["state"] = "queued"

        take_in(file=self.spoilt("json/people-letter.json", queue))
        assert Letter.objects.get().state == LetterState.OVERTAKEN
        assert mail.outbox == []

    def test_people_sign_in_with_a_code_as_they_did(self):
        self.take()
        cache.clear()
        ann = self.world.users["volunteer"]
        self.client = CommittingClient()
        self.client.post(reverse("account_login"), {"login": ann.email})
        # The second time to show that the address is theirs still.
        for page in ("account_confirm_login_code", "account_email_verification_sent"):
            code = re.search(r"^\d{6}$", mail.outbox[-1].body, re.MULTILINE).group()
            self.client.post(reverse(page), {"code": code})
        assert self.client.session["_auth_user_id"] == str(ann.pk)

    def test_a_picture_that_was_lost_or_is_none_is_counted_and_shows_nothing(self):
        for original in ({}, {"organiser-only/originals/x.jpg": b"<script>"}):
            parts = dict(self.parts)
            head = json.loads(parts[f"{RECORDS}/package.json"])
            key = str(self.world.rows["picture"].pk)
            head["originals"] = dict.fromkeys([key], "originals/x.jpg")
            parts[f"{RECORDS}/package.json"] = json.dumps(head).encode()
            before = set(stored_files())
            with transaction.atomic():
                taken = take_in(file=packed(parts | original))
                assert (taken.pictures, taken.lost) == (0, 1)
                assert set(stored_files()) == before
                transaction.set_rollback(True)


@pytest.mark.any_database
class RefusedTests(PackageCase):
    def test_a_damaged_one(self):
        at = self.data.index(b"\xff\xd8\xff", self.data.index(b"originals/"))
        spoilt = self.data[: at + 99] + b"flax" + self.data[at + 103 :]
        said = self.refused(io.BytesIO(spoilt))
        assert said.startswith("The archive is damaged, so nothing was taken in. A fi")

    def test_one_of_another_kind_age_or_release(self):
        bare = {k: v for k, v in self.parts.items() if "package.json" not in k}
        assert self.refused(packed(bare)).startswith(
            "This archive can't be brought back: the list of its records is missing "
            "(organiser-only/records/package.json)."
        )
        for change in (
            lambda head: head.update(format=FORMAT + 1),
            lambda head: head["tables"].update(later={"rows": 0, "columns": []}),
            lambda head: head["tables"]["season-plot"]["columns"].append("later"),
        ):
            assert "Take it in with that release" in self.refused(
                self.spoilt("package.json", change)
            )
        self.refused(io.BytesIO(b"no zip"))

    def test_what_an_older_one_lacks_stays_as_usual_and_is_said(self):
        head = json.loads(self.parts[f"{RECORDS}/package.json"])
        columns = head["tables"]["season-plot"]["columns"]
        columns.remove("root_end" if "root_end" in columns else columns[-1])
        gone = set(json.loads(self.parts[f"{RECORDS}/json/season-plot.json"])[0])
        gone -= set(columns)
        rows = json.loads(self.parts[f"{RECORDS}/json/season-plot.json"])
        for row in rows:
            row.pop(*gone)
        lines = ",\n".join(json.dumps(row) for row in rows)
        taken = take_in(
            file=packed(
                self.parts
                | {
                    f"{RECORDS}/package.json": json.dumps(head).encode(),
                    f"{RECORDS}/json/season-plot.json": f"[\n{lines}\n]\n".encode(),
                }
            )
        )
        (name,) = gone
        words = Plot._meta.get_field(name.removesuffix("_id")).verbose_name
        assert taken.as_usual == [f"plots: {words}"]

    def test_records_that_cannot_be(self):
        def first(**values):
            return lambda rows: rows[0].update(values)

        for path, change in {
            "season-plot": first(name="x" * 5000),
            "tally-entry": first(beets="many"),
            "dam-reading": first(water_c="NaN"),
            "people-volunteer": first(guardian_id=98765),
            "season-demonstration": lambda rows: rows.append(
                rows[0] | {"id": 77, "slug": "another"}
            ),
            "gatherings-gathering": first(title=None),
            "lots-lot": first(made_at="yesterday"),
            "season-stagerecord": first(stage="weaving gold"),
            "lots-move": lambda rows: rows.append(rows[0]),
        }.items():
            with self.subTest(path):
                self.refused(self.spoilt(f"json/{path}.json", change))
        deep = {f"{RECORDS}/json/season-plot.json": b"[\n" + b"[" * 99_999 + b"\n]\n"}
        assert "season-plot" in self.refused(packed(self.parts | deep))

    def test_a_site_that_is_not_empty(self):
        make_keeper()
        with transaction.atomic():
            make_user()
            with pytest.raises(ValidationError, match="account here already"):
                self.take()
            transaction.set_rollback(True)
        self.take()
        with pytest.raises(ValidationError, match="has a demonstration already"):
            self.take()
        assert Demonstration.objects.count() == 1


@pytest.mark.any_database
class PageTests(PackageCase):
    address = "/take-in/"

    def setUp(self):
        self.keeper = make_keeper()
        self.client.force_login(self.keeper)

    def send(self, data):
        file = SimpleUploadedFile("season.zip", data, "application/zip")
        return self.client.post(self.address, {"file": file})

    def test_it_says_what_does_not_come_and_takes_a_package_in(self):
        page = self.client.get(self.address).content.decode()
        for words in ("health notes", "second locks", "private addresses"):
            assert words in page
        response = self.send(self.data)
        assert response.url == Demonstration.objects.get().get_absolute_url()
        said = [str(one) for one in get_messages(response.wsgi_request)]
        assert re.match(
            r"Flax at Lintholm.* is back, with \d+ records and 1 pic", said[0]
        )

    def test_a_bad_one_is_refused_above_the_form(self):
        assert "damaged, so nothing was taken in" in self.send(b"x").content.decode()
        assert "Choose a file." in self.client.post(self.address).content.decode()
        with patch("heritage.archive.taking_in.forms.MOST_BYTES", 10):
            assert "manage.py take_in" in self.send(self.data).content.decode()

    def test_where_something_is_there_is_no_form_and_others_see_no_page(self):
        make_user()
        page = self.client.get(self.address).content.decode()
        assert 'type="file"' not in page
        assert "made an account here already" in page
        self.client.force_login(make_user())
        assert self.client.get(self.address).status_code == 403

    def test_the_command(self):
        path = self.enterContext(
            patch("pathlib.Path.open", lambda *a: io.BytesIO(b"x"))
        )
        assert path is not None
        with pytest.raises(CommandError, match="Nothing was taken in"):
            call_command("take_in", "season.zip")


class OpenedTests(SimpleTestCase):
    def test_a_weaker_list_alone_is_not_enough(self):
        whole = packed({"a.txt": b"flax"})
        with zipfile.ZipFile(whole) as archive:
            names = [n for n in archive.namelist() if "sha512" not in n]
            kept = {name: archive.read(name) for name in names}
        weak = io.BytesIO()
        with zipfile.ZipFile(weak, "w") as archive:
            for name, data in kept.items():
                archive.writestr(name, data)
            digest = "4fdb5cbb6f2a0b9b1d2c0e5bd4f8d0a5"
            archive.writestr("x/manifest-md5.txt", f"{digest}  data/a.txt\n")
        with (
            patch(
                "heritage.archive.taking_in.selectors.check",
                return_value=type("Report", (), {"is_whole": True, "findings": ()}),
            ),
            pytest.raises(ValidationError, match="Its list of files is gone"),
            opened(weak),
        ):
            pass
