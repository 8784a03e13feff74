"""Who is in a picture: marked in private, asked before it is shown, taken down."""

from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.common import clock
from heritage.common.photographs import read_photograph
from heritage.people.models import AgeBand, AgreedHow, Subject
from heritage.pictures import services
from heritage.pictures.models import (
    DeletedPicture,
    PaperPermission,
    Picture,
    Shown,
)
from tests.factories import (
    NOW,
    make_agreement,
    make_demonstration,
    make_organiser,
    make_picture,
    make_volunteer,
    make_wording,
)
from tests.pictures.photographs import photograph
from tests.responses import finish


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class World(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration()
        here = {"demonstration": cls.home}
        cls.organiser = make_organiser(**here)
        cls.ann = make_volunteer(name="Ann Rush", **here)
        cls.ned = make_volunteer(
            name="Ned Rush",
            user=None,
            age_band=AgeBand.FROM_13,
            guardian=cls.ann,
            **here,
        )
        cls.words = make_wording(**here)

    def picture(self, *people, **fields):
        made = make_picture(demonstration=self.home, **fields)
        made.people.set(people)
        return made

    def agree(self, person, by=None, **fields):
        if by:
            fields["given_by"] = by.user
        return make_agreement(volunteer=person, wording=self.words, **fields)


class PublishTests(World):
    def refused(self, picture, words):
        with pytest.raises(ValidationError, match=words):
            services.publish(picture=picture)

    def test_nobody_marked_is_shown_without_agreement(self):
        picture = self.picture(self.ann, is_published=False)
        self.refused(picture, "Ann Rush")
        self.agree(self.ann)
        assert services.publish(picture=picture).is_published

    def test_an_agreement_on_something_else_does_not_count(self):
        picture = self.picture(self.ann, is_published=False)
        notice = make_wording(demonstration=self.home, subject=Subject.NOTICE)
        make_agreement(volunteer=self.ann, wording=notice)
        self.refused(picture, "Ann Rush")

    def test_nor_one_that_was_withdrawn(self):
        self.agree(self.ann, withdrawn_at=NOW, withdrawn_by=self.ann.user)
        self.refused(self.picture(self.ann, is_published=False), "Ann Rush")

    def test_a_child_needs_the_guardian(self):
        picture = self.picture(self.ned, is_published=False)
        agreement = self.agree(self.ned, by=self.organiser)
        self.refused(picture, "Ned Rush")
        agreement.given_by = self.ann.user
        agreement.save(update_fields=["given_by"])
        assert services.publish(picture=picture).is_published

    def test_or_the_guardian_s_signature_on_paper(self):
        self.agree(self.ned, by=self.organiser, how=AgreedHow.PAPER)
        picture = self.picture(self.ned, is_published=False)
        assert services.publish(picture=picture).is_published


class UnpublishTests(World):
    def test_every_picture_of_somebody_goes_and_no_other(self):
        first, second = self.picture(self.ann), self.picture(self.ann, self.ned)
        other, hidden = self.picture(), self.picture(self.ann, is_published=False)
        assert services.unpublish_of(volunteer=self.ann) == [first, second]
        shown = Picture.objects.of(self.home).published()
        assert list(shown) == [other]
        assert services.unpublish_of(volunteer=self.ann) == []
        assert not Picture.objects.get(pk=hidden.pk).is_published

    def test_visitors_lose_page_story_sheet_and_file_at_once(self):
        picture = self.picture(self.ann, caption="Ann at the dam")
        files = reverse("pictures:file", args=[self.home.slug, picture.key, "small"])
        first = self.client.get(files)
        finish(first)
        assert first["Cache-Control"] == "private, no-cache"
        services.unpublish_of(volunteer=self.ann)
        # A browser that kept the copy asks again, with its tag, and gets nothing.
        again = self.client.get(files, headers={"if-none-match": first["ETag"]})
        assert again.status_code == 404
        for name in ("pictures:list", "public:demonstration"):
            page = self.client.get(reverse(name, args=[self.home.slug]))
            assert "Ann at the dam" not in page.content.decode()
            assert "no-store" in page["Cache-Control"]
        sheet = reverse("public:process_sheet", args=[self.home.slug, "pulling"])
        printed = self.client.get(sheet)
        assert "no-store" in printed["Cache-Control"]
        page = self.client.get(picture.get_absolute_url())
        assert page.status_code == 404


class MarkTests(World):
    def edit(self, picture, user, **fields):
        self.client.force_login(user)
        address = reverse("pictures:edit", args=[self.home.slug, picture.pk])
        form = self.client.get(address).context["form"]
        data = {name: form[name].value() or "" for name in form.fields}
        data["people"] = form["people"].value()
        return self.client.post(address, data | fields)

    def test_whoever_added_it_says_who_is_in_it(self):
        picture = self.picture(added_by=self.ann.user, is_published=False)
        answer = self.edit(picture, self.ann.user, people=[self.ann.pk, self.ned.pk])
        assert answer.status_code == 302
        assert set(picture.people.all()) == {self.ann, self.ned}

    def test_their_change_is_looked_at_before_visitors_see_it_again(self):
        picture = self.picture(added_by=self.ann.user)
        self.edit(picture, self.ann.user, caption="Something else")
        picture.refresh_from_db()
        assert not picture.is_published
        picture = self.picture()
        self.edit(picture, self.organiser.user, caption="By the dam", people=[])
        picture.refresh_from_db()
        assert picture.is_published

    def test_nobody_else_changes_it(self):
        picture = self.picture()
        self.client.force_login(self.ann.user)
        address = reverse("pictures:edit", args=[self.home.slug, picture.pk])
        assert self.client.get(address).status_code == 404

    def test_marking_somebody_unasked_takes_it_down(self):
        picture = self.picture()
        self.edit(picture, self.organiser.user, people=[self.ann.pk])
        picture.refresh_from_db()
        assert not picture.is_published

    def test_somebody_marked_who_left_stays_marked(self):
        self.ann.left_at = NOW
        self.ann.save(update_fields=["left_at"])
        picture = self.picture(self.ann, is_published=False)
        self.edit(picture, self.organiser.user)
        assert list(picture.people.all()) == [self.ann]

    def test_people_of_elsewhere_are_refused(self):
        with pytest.raises(ValidationError, match="Choose people on the list"):
            services.edit_picture(
                picture=self.picture(), values={}, now=NOW, people=[make_volunteer()]
            )

    def test_members_read_adults_names_and_visitors_none(self):
        self.agree(self.ann)
        picture = self.picture(self.ann, self.ned)
        self.client.force_login(self.ann.user)
        page = self.client.get(picture.get_absolute_url()).content.decode()
        assert "Ann Rush, 1 child" in " ".join(page.split())
        assert "Ned" not in page
        self.client.logout()
        page = self.client.get(picture.get_absolute_url()).content.decode()
        assert "Ann Rush" not in page
        assert "1 child" not in page


class RecognisableTests(World):
    """Whoever can be recognised is marked and agrees, or signed on paper."""

    def recognisable(self, count, *people, shown=Shown.AGREED, **fields):
        fields = {"is_published": False} | fields
        return self.picture(*people, shown=shown, recognisable=count, **fields)

    def press(self, picture, page="publish", **data):
        self.client.force_login(self.organiser.user)
        address = reverse(f"pictures:{page}", args=[self.home.slug, picture.pk])
        answer = self.client.post(address, data, follow=True)
        picture.refresh_from_db()
        return answer.content.decode()

    def sign(self, picture, **fields):
        said = {
            "name": "Ellen Marsh",
            "guardian": "",
            "signed_on": "2026-08-11",
            "kept_where": "The green folder",
        }
        return self.press(picture, "permission_add", **said | fields)

    def test_said_to_agree_and_nobody_named_is_not_shown(self):
        for count, words in ((None, "how many people"), (2, "2 people in it are not")):
            picture = self.recognisable(count)
            assert words in self.press(picture)
            assert not picture.is_published

    def test_each_is_marked_or_named_on_paper(self):
        self.agree(self.ann)
        picture = self.recognisable(2, self.ann)
        assert "1 person in it is not named" in self.press(picture)
        assert "The green folder" in self.sign(picture)
        self.press(picture)
        assert picture.is_published

    def test_a_child_is_marked_or_its_guardian_signed(self):
        picture = self.recognisable(1, shown=Shown.GUARDIAN_AGREED)
        self.sign(picture)
        assert "Mark the child" in self.press(picture)
        self.sign(picture, name="Rosie Marsh", guardian="Ellen Marsh")
        self.press(picture)
        assert picture.is_published

    def test_a_permission_taken_away_hides_what_rested_on_it(self):
        picture = self.recognisable(1)
        self.sign(picture)
        self.press(picture)
        (paper,) = picture.permissions.all()
        self.client.force_login(self.ann.user)
        address = reverse("pictures:permission_remove", args=[self.home.slug, paper.pk])
        assert self.client.post(address).status_code == 403
        self.client.force_login(self.organiser.user)
        self.client.post(address)
        picture.refresh_from_db()
        assert not picture.is_published
        assert not PaperPermission.objects.exists()

    def test_unmarking_somebody_hides_it(self):
        self.agree(self.ann)
        picture = self.recognisable(1, self.ann, is_published=True)
        form = {
            "caption": "At the dam", "alt_text": "A dam.", "stage": "pulling",
            "taken_on": "2026-08-11", "shown": "agreed", "recognisable": 1,
            "credit": "Orla Fenn", "licence": "CC-BY-4.0",
        }  # fmt: skip
        self.press(picture, "edit", **form, people=[self.ann.pk])
        assert picture.is_published
        self.press(picture, "edit", **form)
        assert not picture.is_published

    def test_a_permission_has_its_name_its_place_and_a_day_that_was(self):
        picture = self.recognisable(1)
        for wrong in ({"name": ""}, {"kept_where": " "}, {"signed_on": "2026-08-13"}):
            self.sign(picture, **wrong)
        self.sign(picture)
        assert "Their permission is already there" in self.sign(picture)
        assert picture.permissions.count() == 1

    def test_two_lines_of_one_person_are_one_who_can_be_recognised(self):
        line = make_volunteer(demonstration=self.home, user=None)
        picture = self.recognisable(2, self.ann, line)
        other = self.recognisable(1, line)
        assert services.move_marks(gone=line, kept=self.ann) == 2
        picture.refresh_from_db()
        assert (picture.recognisable, list(other.people.all())) == (1, [self.ann])


class ErasedTests(World):
    """What an erasure hid stays hidden, however often it is pressed."""

    def setUp(self):
        self.shown = self.picture(self.ann)
        self.not_yet = self.picture(self.ann, is_published=False)
        services.hide_for_good(volunteer=self.ann, now=NOW)
        self.client.force_login(self.organiser.user)

    def test_a_second_press_shows_nothing_again(self):
        for picture in (self.shown, self.not_yet):
            address = reverse("pictures:publish", args=[self.home.slug, picture.pk])
            page = self.client.get(picture.get_absolute_url()).content.decode()
            assert "stays hidden" in page
            assert address not in page
            for _press in range(2):
                answer = self.client.post(address, follow=True)
                assert "stays hidden" in answer.content.decode()
                picture.refresh_from_db()
                assert not picture.is_published
            assert not picture.people.exists()

    def test_nor_does_an_edit(self):
        said = {"caption": "By the dam"}
        by = self.organiser.user
        services.edit_picture(picture=self.shown, values=said, now=NOW, by=by)
        self.shown.refresh_from_db()
        assert not self.shown.is_published

    def test_the_database_refuses_too(self):
        rows = Picture.objects.filter(pk=self.shown.pk)
        with pytest.raises(IntegrityError):
            rows.update(is_published=True)


class DeleteTests(World):
    def delete(self, picture, user, reason="Somebody in it asked for that."):
        self.client.force_login(user)
        address = reverse("pictures:delete", args=[self.home.slug, picture.pk])
        with self.captureOnCommitCallbacks(execute=True):
            return self.client.post(address, {"reason": reason})

    def files(self, picture):
        rows = (picture.original, picture.large, picture.small)
        return [file.storage.exists(file.name) for file in rows]

    def test_an_organiser_deletes_it_with_its_original_and_says_why(self):
        picture = self.picture(self.ann)
        assert all(self.files(picture))
        assert self.delete(picture, self.organiser.user).status_code == 302
        assert not any(self.files(picture))
        assert not Picture.objects.exists()
        page = self.client.get(reverse("pictures:list", args=[self.home.slug]))
        assert "Somebody in it asked for that." in page.content.decode()
        assert self.client.get(picture.get_absolute_url()).status_code == 404

    def test_whoever_added_it_may_and_nobody_else(self):
        picture = self.picture(added_by=self.ann.user)
        for other in (make_volunteer(demonstration=self.home), make_organiser()):
            assert self.delete(picture, other.user).status_code in {403, 404}
        assert all(self.files(picture))
        self.delete(picture, self.ann.user)
        assert not any(self.files(picture))
        self.client.force_login(self.ann.user)
        page = self.client.get(reverse("pictures:list", args=[self.home.slug]))
        assert "asked for that" not in page.content.decode()

    def test_a_reason_is_asked_for(self):
        picture = self.picture()
        answer = self.delete(picture, self.organiser.user, reason=" ")
        assert "reason" in answer.context["form"].errors
        assert all(self.files(picture))
        assert not DeletedPicture.objects.exists()

    def test_the_same_file_does_not_come_back_by_mistake(self):
        data = photograph()
        kept = read_photograph(data)
        picture = self.picture(sha256=kept.sha256)
        self.delete(picture, self.organiser.user, reason="Blurred.")
        said = {
            "stage": "pulling", "gathering": None, "caption": "A", "alt_text": "B",
            "taken_on": None, "credit": "C", "licence": "reserved", "shown": "nobody",
        }  # fmt: skip
        with pytest.raises(ValidationError, match=r"This picture was deleted"):
            services.add_picture(
                demonstration=self.home,
                original=data,
                prepared=kept,
                values=said,
                by=self.ann.user,
                now=NOW,
            )


class PermissionSheetTests(World):
    def sheet(self, name, user=None, **query):
        self.client.force_login(user or self.ann.user)
        answer = self.client.get(
            reverse(f"pictures:{name}", args=[self.home.slug]), query
        )
        assert answer["Content-Type"] == "application/pdf"
        pages = PdfReader(BytesIO(answer.content)).pages
        return len(pages), " ".join(" ".join(p.extract_text() for p in pages).split())

    def test_an_adult_signs_the_words_that_the_screen_asks_for(self):
        pages, text = self.sheet("adult_sheet")
        assert pages == 1
        assert " ".join(self.words.text.split()) in text
        assert f"version {self.words.number}" in text
        assert "guardian" not in text

    def test_a_guardian_signs_for_a_child(self):
        pages, text = self.sheet("child_sheet")
        assert pages == 1
        assert "The child's age" in text
        assert "Signed: the parent or guardian" in text
        assert self.sheet("child_sheet", large="1")[1].count("guardian") >= 2

    def test_visitors_find_the_way_in_first(self):
        self.client.logout()
        address = reverse("pictures:adult_sheet", args=[self.home.slug])
        assert self.client.get(address).status_code == 302
