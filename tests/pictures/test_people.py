"""Who is in a picture: marked in private, asked before it is shown, taken down."""

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.people.models import AgeBand, AgreedHow, Subject
from heritage.pictures import services
from heritage.pictures.models import Picture
from tests.factories import (
    NOW,
    make_agreement,
    make_demonstration,
    make_organiser,
    make_picture,
    make_volunteer,
    make_wording,
)
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
        assert services.unmark(volunteer=self.ann) == 3
        assert not hidden.people.exists()

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
        with pytest.raises(ValidationError, match="no volunteers here"):
            services.edit_picture(
                picture=self.picture(), said={}, now=NOW, people=[make_volunteer()]
            )

    def test_members_read_adults_names_and_visitors_none(self):
        self.agree(self.ann)
        picture = self.picture(self.ann, self.ned)
        self.client.force_login(self.ann.user)
        page = self.client.get(picture.get_absolute_url()).content.decode()
        assert "Ann Rush and 1 child" in page
        assert "Ned" not in page
        self.client.logout()
        page = self.client.get(picture.get_absolute_url()).content.decode()
        assert "Ann Rush" not in page
        assert "1 child" not in page
