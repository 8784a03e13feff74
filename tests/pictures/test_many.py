"""Many pictures at once, what a file says of itself, captions, covers and gaps."""

import hashlib
import json
from datetime import date
from io import BytesIO

import pytest
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse
from PIL import Image

from heritage.people.models import AgeBand
from heritage.pictures.many.selectors import TO_ORDER, gaps, to_order
from heritage.pictures.models import Picture, Shot, Shown
from heritage.pictures.services import edit_picture
from heritage.season.models import Stage, StageRecord, Tool
from tests.factories import (
    NOW,
    make_gathering,
    make_organiser,
    make_picture,
    make_user,
    make_volunteer,
)
from tests.pictures.photographs import camera_day, photograph


def upload(name, **options):
    return SimpleUploadedFile(name, photograph(**options), content_type="image/jpeg")


class ManyTests(TestCase):
    def setUp(self):
        self.organiser = make_organiser()
        self.here = self.organiser.demonstration
        self.gathering = make_gathering(demonstration=self.here)
        self.client.force_login(self.organiser.user)
        self.url = self.address("add_many")

    def address(self, name, *args):
        return reverse(f"pictures:{name}", args=[self.here.slug, *args])

    def send(self, files, **changed):
        answers = {
            "gathering": self.gathering.title,
            "stage": Stage.PULLING,
            "credit": "Orla Fenn",
            "licence": "CC-BY-4.0",
            "shown": Shown.UNASKED,
        }
        headers = changed.pop("headers", None)
        data = {**answers, **changed, "photographs": files}
        return self.client.post(self.url, data, headers=headers)

    def test_ten_are_added_with_their_answers_asked_once(self):
        day = camera_day("2026:08:11")
        files = [upload(f"{n}.jpg", shade=20 * n, exif=day) for n in range(10)]
        answer = self.send(files)
        self.assertRedirects(answer, self.address("captions"))
        rows = Picture.objects.of(self.here)
        assert rows.count() == 10
        assert {row.taken_on for row in rows} == {date(2026, 8, 11)}
        assert {(row.gathering, row.credit, row.licence) for row in rows} == {
            (self.gathering, "Orla Fenn", "CC-BY-4.0")
        }
        assert not rows.published().exists()

    def test_one_that_is_no_photograph_stops_no_other_and_is_named(self):
        bad = SimpleUploadedFile("notes.jpg", b"not a picture")
        page = self.client.get(self.send([bad, upload("good.jpg")]).url)
        said = [str(message) for message in page.context["messages"]]
        assert said[0] == "1 picture added."
        assert said[1].startswith("notes.jpg: This is not a photograph")

    def test_the_same_file_is_known_before_and_after_it_is_sent(self):
        self.client.get(self.send([upload("one.jpg")]).url)
        page = self.client.get(self.send([upload("again.jpg")]).url)
        said = [str(message) for message in page.context["messages"]]
        assert said == ["1 was there already."]
        mark = hashlib.sha256(photograph()).hexdigest()
        asked = json.dumps([mark, "0" * 64, "nonsense"])
        answer = self.client.post(self.address("known"), asked, "application/json")
        assert answer.json() == {"known": [mark]}
        for nonsense in ("[1]", "{}", "no", "7"):
            answer = self.client.post(
                self.address("known"), nonsense, "application/json"
            )
            assert answer.json() == {"known": []}

    def test_a_script_is_told_of_each_file(self):
        headers = {"Accept": "application/json"}
        answer = self.send([upload("one.jpg")], headers=headers)
        assert answer.json() == {"came": "added", "why": ""}
        answer = self.send([upload("one.jpg")], headers=headers, credit="")
        assert answer.json()["came"] == "refused"

    def test_what_was_typed_stays_and_the_files_are_asked_for_again(self):
        page = self.send([upload("one.jpg")], credit="", licence="CC0-1.0")
        self.assertContains(page, '<option value="CC0-1.0" selected>')
        assert page.context["form"].errors["credit"]
        assert not Picture.objects.exists()

    def test_nothing_chosen_is_said_by_the_field(self):
        page = self.send([])
        assert page.context["form"].errors["photographs"]

    def test_the_last_evening_is_proposed(self):
        page = self.client.get(self.url, {"gathering": self.gathering.pk})
        assert page.context["form"].initial["gathering"] == self.gathering

    def test_a_hundred_and_one_are_too_many(self):
        tiny = [SimpleUploadedFile(f"{n}.jpg", b"x") for n in range(101)]
        # Django itself refuses so many files before a form sees them.
        assert self.send(tiny).status_code in (200, 400)
        assert not Picture.objects.exists()


class CaptionTests(TestCase):
    def setUp(self):
        self.volunteer = make_volunteer()
        self.here = self.volunteer.demonstration
        self.client.force_login(self.volunteer.user)
        self.url = reverse("pictures:captions", args=[self.here.slug])
        self.rows = [self.picture() for _ in range(12)]

    def picture(self, **fields):
        return make_picture(
            **{
                "demonstration": self.here,
                "added_by": self.volunteer.user,
                "caption": "",
                "alt_text": "",
                "is_published": False,
            }
            | fields
        )

    def typed(self, **changed):
        data = {}
        for row in self.rows[:10]:
            key = f"picture-{row.pk}"
            data |= {f"{key}-caption": "", f"{key}-alt_text": "", f"{key}-shot": ""}
        return data | changed

    def test_ten_at_once_are_asked_and_the_rest_wait(self):
        page = self.client.get(self.url)
        assert len(page.context["forms"]) == 10
        assert page.context["page"].waiting == 12

    def test_what_is_typed_is_saved_and_what_is_left_empty_waits(self):
        key = f"picture-{self.rows[0].pk}"
        words = {f"{key}-caption": "Pulling by the lane", f"{key}-shot": Shot.HANDS}
        words[f"{key}-alt_text"] = "Two hands grip a bunch of stems."
        self.assertRedirects(self.client.post(self.url, self.typed(**words)), self.url)
        self.rows[0].refresh_from_db()
        assert (self.rows[0].caption, self.rows[0].shot) == (
            "Pulling by the lane",
            Shot.HANDS,
        )
        assert self.client.get(self.url).context["page"].waiting == 11

    def test_the_tools_of_its_stage_are_offered_and_one_it_has_already(self):
        """A stage without tools asks for none, and nobody need choose."""
        first, second, third = self.rows[:3]
        one = Picture.objects.filter
        one(pk=second.pk).update(stage=Stage.STOOKING, tool=Tool.LOOM)
        one(pk=third.pk).update(stage=Stage.DRYING)
        form = self.client.get(self.url).context["forms"]
        offered = [
            [code for code, _ in one.fields["tool"].choices]
            if "tool" in one.fields
            else None
            for one in form[:3]
        ]
        assert offered == [["", "band"], ["", "ripple_comb", "loom"], None]
        key = f"picture-{first.pk}"
        words = {f"{key}-caption": "A band of rushes", f"{key}-tool": Tool.BAND}
        self.client.post(self.url, self.typed(**words))
        first.refresh_from_db()
        assert (first.caption, first.tool) == ("A band of rushes", Tool.BAND)

    def test_a_caption_too_long_is_said_by_its_field_and_nothing_is_lost(self):
        first, second = self.rows[0].pk, self.rows[1].pk
        typed = self.typed(
            **{
                f"picture-{first}-caption": "x" * 301,
                f"picture-{second}-caption": "Tying",
            }
        )
        page = self.client.post(self.url, typed)
        assert page.context["forms"][0].errors["caption"]
        self.assertContains(page, "x" * 301)
        assert Picture.objects.get(pk=second).caption == "Tying"

    def test_nobody_is_asked_for_the_words_of_others_pictures(self):
        make_picture(demonstration=self.here, caption="", is_published=False)
        assert self.client.get(self.url).context["page"].waiting == 12

    def test_words_that_somebody_else_wrote_meanwhile_are_not_written_over(self):
        first, second = self.rows[:2]
        seen = {
            f"initial-picture-{row.pk}-{name}": ""
            for row in (first, second)
            for name in ("caption", "alt_text")
        }
        mary = make_user(name="Mary Orr")
        edit_picture(
            picture=first,
            values={"caption": "Mary's caption", "alt_text": "Mary's words"},
            by=mary,
            now=NOW,
        )
        mine = {
            f"picture-{first.pk}-caption": "My caption",
            f"picture-{first.pk}-alt_text": "My words",
            f"picture-{second.pk}-caption": "Tying",
            f"picture-{second.pk}-alt_text": "Two hands tie a band.",
        }
        page = self.client.post(self.url, self.typed(**seen | mine))
        self.assertContains(page, "Mary Orr wrote meanwhile: “Mary&#x27;s caption”")
        self.assertContains(page, "My caption")
        first.refresh_from_db(), second.refresh_from_db()
        assert (first.caption, second.caption) == ("Mary's caption", "Tying")
        # Sent as it stands on that page, it counts.
        (form,) = (one for one in page.context["forms"] if one.instance == first)
        shown = {key: form.data[key] for key in form.data if "initial-" in key}
        assert self.client.post(self.url, mine | shown).status_code == 302
        first.refresh_from_db()
        assert first.caption == "My caption"

    def test_what_was_left_empty_stays_as_somebody_else_wrote_it_meanwhile(self):
        first = self.rows[0]
        seen = {f"initial-picture-{first.pk}-caption": ""}
        edit_picture(picture=first, values={"caption": "A", "alt_text": "B"}, now=NOW)
        assert self.client.post(self.url, self.typed(**seen)).status_code == 302
        first.refresh_from_db()
        assert first.caption == "A"


class StageTests(TestCase):
    def setUp(self):
        self.organiser = make_organiser()
        self.here = self.organiser.demonstration
        self.client.force_login(self.organiser.user)

    def shelf(self):
        url = reverse("pictures:list", args=[self.here.slug])
        page = self.client.get(url, {"stage": "pulling"})
        return [one.pk for one in page.context["wall"].shelves[0].pictures]

    def test_pictures_are_moved_within_their_stage_by_a_press(self):
        first, second, third = (make_picture(demonstration=self.here) for _ in range(3))
        elsewhere = make_picture(demonstration=self.here, stage=Stage.RETTING)
        url = reverse("pictures:order", args=[self.here.slug, "pulling"])
        for picture, way, order in [
            (third, "first", (third, first, second)),
            (first, "down", (third, second, first)),
            (second, "up", (second, third, first)),
            (second, "up", (second, third, first)),
            (first, "down", (second, third, first)),
            (first, "sideways", (second, third, first)),
            (elsewhere, "up", (second, third, first)),
        ]:
            self.client.post(url, {"move": f"{picture.pk}:{way}"})
            assert self.shelf() == [one.pk for one in order], way
        later = make_picture(demonstration=self.here)
        assert self.shelf()[-1] == later.pk
        with self.assertNumQueries(2):
            assert len(to_order(self.here, Stage.PULLING)) == 4
        last = [make_picture(demonstration=self.here) for _ in range(TO_ORDER)][-1]
        page = self.client.get(url, {"picture": last.pk}).context["page"]
        assert (page.number, len(page), page[-1]) == (2, 4, last)
        nonsense = reverse("pictures:order", args=[self.here.slug, "nonsense"])
        assert self.client.get(nonsense).status_code == 404

    def test_a_picture_of_another_stage_follows_there_by_its_day(self):
        picture = make_picture(demonstration=self.here, place=1)
        edit_picture(picture=picture, values={"stage": Stage.RETTING}, now=NOW)
        picture.refresh_from_db()
        assert picture.place is None

    def test_a_stage_that_is_going_on_says_what_it_lacks(self):
        day = date(2026, 8, 3)
        for stage, ended in ((Stage.PULLING, None), (Stage.SOWING, day)):
            StageRecord.objects.create(
                demonstration=self.here, stage=stage, started_on=day, finished_on=ended
            )
        make_picture(demonstration=self.here, stage=Stage.PULLING, shot=Shot.HANDS)
        with self.assertNumQueries(3):
            (gap,) = gaps(self.here)
        assert gap.stage == Stage.PULLING
        assert set(Shot) - set(gap.lacking) == {Shot.HANDS}

    def test_pictures_are_found_by_words_and_stage(self):
        make_picture(demonstration=self.here, caption="Ann Frew ties a beet")
        make_picture(demonstration=self.here, stage=Stage.RETTING, caption="The dam")
        evening = make_gathering(demonstration=self.here)
        adult = make_volunteer(demonstration=self.here)
        child = make_volunteer(
            demonstration=self.here, age_band=AgeBand.FROM_13, guardian=adult
        )
        made = make_picture(
            demonstration=self.here,
            stage=Stage.STOOKING,
            gathering=evening,
            taken_on=date(2026, 8, 12),
            keywords="rippling comb, dusk",
        )
        made.people.add(child)
        url = reverse("pictures:list", args=[self.here.slug])
        for asked, count in [
            ({"words": "BEET ties"}, 1),
            ({"stage": "retting"}, 1),
            ({"words": "horse"}, 0),
            ({"stage": "nonsense"}, 3),
            ({"words": "rippling"}, 1),
            ({"without": "1"}, 0),
            ({"evening": evening.pk}, 1),
            ({"evening": "nonsense"}, 3),
            ({"person": child.pk}, 1),
            ({"since": "2026-08-12"}, 1),
            ({"until": "2026-08-11", "stage": "pulling"}, 1),
            ({"until": "no day"}, 3),
        ]:
            page = self.client.get(url, asked)
            assert page.context["wall"].count == count, asked
        # Nobody but an organiser looks for a child, and visitors for nobody.
        self.client.force_login(make_volunteer(demonstration=self.here).user)
        assert self.client.get(url, {"person": child.pk}).context["wall"].count == 3
        self.client.logout()
        page = self.client.get(url, {"person": child.pk, "without": "1"})
        assert set(page.context["form"].fields).isdisjoint({"person", "without"})
        assert page.context["wall"].count == 3

    def test_each_leads_to_the_one_before_and_after_it(self):
        late = make_picture(demonstration=self.here, stage=Stage.RETTING)
        first, second = (
            make_picture(demonstration=self.here, taken_on=date(2026, 8, day))
            for day in (10, 11)
        )
        url = reverse("pictures:picture", args=[self.here.slug, second.pk])
        assert self.client.get(url).context["beside"] == (first.pk, late.pk)


@pytest.mark.any_database
class AdjustTests(TestCase):
    def setUp(self):
        self.organiser = make_organiser()
        self.here = self.organiser.demonstration
        self.client.force_login(self.organiser.user)
        self.picture = make_picture(
            demonstration=self.here,
            original=ContentFile(photograph(), name="original"),
            width=1200,
            height=800,
        )
        self.url = reverse("pictures:adjust", args=[self.here.slug, self.picture.pk])

    def adjust(self, **changed):
        sides = dict.fromkeys(("left", "top", "right", "bottom"), 0)
        data = {"turned": 0} | {f"trim_{side}": n for side, n in sides.items()}
        answer = self.client.post(self.url, data | changed)
        self.picture.refresh_from_db()
        return answer

    def drawn(self):
        with self.picture.large.open("rb") as stored:
            return Image.open(BytesIO(stored.read())).convert("RGB")

    def test_a_hidden_square_keeps_one_colour_and_the_original_all(self):
        # The photograph is red on the left and blue on the right, half and half:
        # squares 7 and 8 of the first row lie either side of the middle.
        with self.picture.original.open("rb") as stored:
            before = stored.read()
        self.adjust(squares=[7, 8])
        image = self.drawn()
        row = [image.getpixel((x, 30)) for x in range(540, 590, 7)]
        for colour in zip(*row, strict=True):
            assert max(colour) - min(colour) < 12
        with self.picture.original.open("rb") as stored:
            assert stored.read() == before

    def test_a_small_face_is_hidden_by_a_fine_square_in_the_colour_of_its_whole_one(
        self,
    ):
        self.adjust(squares=[7])
        # The middle ninth: its sixteen columns are fine ones, a third as wide.
        url = f"{self.url}?part=4"
        page = self.client.get(url)
        numbers = [number for number, *_rest in page.context["form"].grid]
        assert len(numbers) == 192
        assert min(numbers) == 192 + 12 * 48 + 16
        self.assertContains(page, 'viewBox="400.00 266.67 400.00 266.67"')
        sides = dict.fromkeys(("left", "top", "right", "bottom"), 0)
        data = {"turned": 0} | {f"trim_{side}": n for side, n in sides.items()}
        self.client.post(url, data | {"squares": [numbers[7], numbers[8]]})
        self.picture.refresh_from_db()
        assert self.picture.hidden_squares == [7, numbers[7], numbers[8]]
        image = self.drawn()
        # Column 23 of 48 is red, and lies in whole column 7, which is red too.
        assert image.size == (1200, 800)
        assert image.getpixel((585, 275))[0] > 150

    def test_what_shows_again_is_looked_at_before_visitors_see_it(self):
        self.adjust(squares=[7])
        assert self.picture.is_published
        self.adjust(squares=[])
        assert not self.picture.is_published

    def test_it_is_turned_and_trimmed_and_the_old_copies_go(self):
        storage, old = self.picture.large.storage, self.picture.large.name
        with self.captureOnCommitCallbacks(execute=True):
            self.adjust(turned=90, trim_top=25)
        assert (self.picture.width, self.picture.height) == (800, 900)
        assert self.drawn().size == (800, 900)
        assert not storage.exists(old)

    def test_turning_clears_the_squares_for_they_lie_elsewhere_now(self):
        self.adjust(squares=[3])
        assert self.picture.hidden_squares == [3]
        self.adjust(turned=180, squares=[3])
        assert self.picture.hidden_squares == []

    def test_what_cannot_be_is_said_by_its_field(self):
        page = self.adjust(trim_left=60)
        assert page.status_code == 200
        assert self.picture.trim_left == 0
        page = self.adjust(squares=[999])
        assert page.context["form"].errors["squares"]

    def test_a_changed_copy_is_sent_anew(self):
        file = reverse(
            "pictures:file", args=[self.here.slug, self.picture.key, "small"]
        )
        tag = self.client.get(file)["ETag"]
        self.adjust(squares=[0])
        again = self.client.get(file, headers={"If-None-Match": tag})
        assert again.status_code == 200

    def test_nobody_else_adjusts_it(self):
        self.client.force_login(make_volunteer(demonstration=self.here).user)
        assert self.client.get(self.url).status_code == 404
