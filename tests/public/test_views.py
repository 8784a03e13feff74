import gzip
import re
from datetime import timedelta
from io import BytesIO
from pathlib import Path, PurePath

import pytest
from django.contrib.staticfiles import finders
from django.db import connection
from django.test import TestCase, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from heritage.common import sketches, stylesheet
from heritage.gatherings.models import GatheringStatus
from heritage.kits.paper.seal import page_count
from heritage.public.process.words import names, sheets_of, text_of
from heritage.season.models import Stage
from tests.factories import (
    NOW,
    make_dam,
    make_demonstration,
    make_entry,
    make_gathering,
    make_organiser,
    make_picture,
    make_plot,
    make_reading,
    make_ret,
    make_sign_up,
    make_station,
    make_user,
    make_volunteer,
)
from tests.outside.test_pdfua import faces_left_out, findings
from tests.sheets_once import sheets_drawn_once

A_DAY = timedelta(days=1)
# The demonstration itself, then the page's own; no dam here has rows to fetch.
WHOLE_PAGE = 19


@override_settings(
    CLOCK_STARTS_AT=NOW.isoformat(), SITE_ADDRESS="https://carrowlint.example"
)
class PublicCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration(name="Carrowlint flax", slug="carrowlint")
        here = {"demonstration": cls.place}
        cls.ann, cls.nora = make_volunteer(**here), make_organiser(**here)
        cls.shut = make_demonstration(name="Shut", slug="shut", is_public=False)
        cls.insider = make_volunteer(demonstration=cls.shut)
        elsewhere = make_demonstration()
        cls.strangers = (
            make_volunteer(demonstration=elsewhere),
            make_organiser(demonstration=elsewhere),
        )

    def url(self, view, *args, place=None):
        return reverse(f"public:{view}", args=[(place or self.place).slug, *args])

    def get(self, view, *args, by=None, place=None):
        if by:
            self.client.force_login(by.user)
        return self.client.get(self.url(view, *args, place=place))


class HomeTests(PublicCase):
    def home(self, by=None):
        if by:
            self.client.force_login(by.user)
        return self.client.get("/")

    def test_a_visitor_is_told_what_this_is_and_how_to_begin(self):
        response = self.home()
        self.assertContains(response, "Carrowlint flax")
        self.assertContains(response, reverse("account_login"))
        self.assertContains(response, reverse("account_signup"))
        self.assertContains(response, reverse("desk:set_up"))
        self.assertNotContains(response, "Shut")

    def test_somebody_signed_in_sees_their_own_first(self):
        response = self.home(self.insider)
        self.assertContains(response, "Yours")
        self.assertContains(response, "Not open to visitors")
        self.assertNotContains(response, "Make an account")

    def test_the_next_gathering_is_told_in_the_places_own_time(self):
        make_gathering(demonstration=self.place, title="An evening")
        self.assertContains(self.home(), "An evening")
        self.assertContains(self.home(), "Thursday 13 August, 18:30")

    def test_an_empty_site_says_what_to_do(self):
        self.place.__class__.objects.update(is_public=False)
        self.assertContains(self.home(), "No demonstration is open to visitors yet")


class DemonstrationTests(PublicCase):
    def test_everybody_may_look_and_nobody_reads_a_name(self):
        sign_up = make_sign_up(
            station=make_station(gathering=make_gathering(demonstration=self.place)),
            volunteer=make_volunteer(demonstration=self.place, name="Wilma Secret"),
        )
        make_entry(gathering=sign_up.gathering, volunteer=sign_up.volunteer)
        for by in (None, *self.strangers):
            response = self.get("demonstration", by=by)
            self.assertContains(response, "Carrowlint flax")
            self.assertNotContains(response, "Wilma")

    def test_a_closed_one_is_there_for_its_own_people_alone(self):
        for by in (None, *self.strangers):
            assert self.get("demonstration", by=by, place=self.shut).status_code == 404
        shown = self.get("demonstration", by=self.insider, place=self.shut)
        assert shown.status_code == 200

    def test_a_bare_one_says_so_in_plain_words(self):
        response = self.get("demonstration")
        self.assertContains(response, "One field of flax, from seed to fibre")
        self.assertContains(response, "People here grow a field of flax")
        self.assertContains(response, "No date is set yet")
        self.assertNotContains(response, "How sure is this?")

    def test_the_field_is_an_estimate_with_its_range(self):
        make_plot(demonstration=self.place)
        response = self.get("demonstration")
        self.assertContains(response, "All of it still stands.")
        self.assertContains(response, "By the area alone it's between 0 and 0 %")
        self.assertContains(response, 'id="field-title"')

    def test_a_counted_field_is_no_estimate(self):
        make_plot(demonstration=self.place, expected_beets=10)
        make_entry(gathering=make_gathering(demonstration=self.place), beets=5)
        response = self.get("demonstration")
        self.assertContains(response, "About half is pulled.")
        self.assertContains(response, "Judging by a count on part of it, 50 %")
        self.assertNotContains(response, "By the area alone")

    def test_the_plan_goes_once_the_field_is_empty(self):
        make_plot(demonstration=self.place)
        self.place.stage_records.create(
            stage="pulling", started_on="2026-08-03", finished_on="2026-08-11"
        )
        self.assertNotContains(self.get("demonstration"), 'id="field-title"')

    def test_the_sentence_says_what_is_being_done(self):
        self.place.stage_records.create(stage="pulling", started_on="2026-08-03")
        response = self.get("demonstration")
        self.assertContains(response, "We&#x27;re pulling the flax by hand</h1>")
        self.assertContains(response, '<li class="is-going begins ends">')
        self.assertContains(response, "we are here")

    def test_the_dam_is_told_by_the_day_and_never_with_a_day_to_lift(self):
        ret = make_ret(
            dam=make_dam(demonstration=self.place, name="The low dam"),
            began_at=NOW - 4 * A_DAY,
        )
        response = self.get("demonstration")
        self.assertContains(response, "day 5 under water")
        self.assertContains(response, "Nobody has read how warm it is yet")
        make_reading(ret=ret, at=NOW - 4 * A_DAY, temp_c="14.0")
        response = self.get("demonstration")
        self.assertContains(response, "between 23 and 50 % of the way, from how warm")
        make_reading(ret=ret, at=NOW, temp_c="36.0")
        response = self.get("demonstration")
        self.assertContains(response, "Only a test of the stems tells")
        for word in ("lift on", "likely day", "let go"):
            self.assertNotContains(response, word)

    def test_where_it_is_opens_in_a_map_and_is_told_in_words(self):
        self.place.dogs = "On a lead."
        self.place.save(update_fields=["dogs"])
        response = self.get("demonstration")
        self.assertContains(response, 'href="geo:54.60000,-6.40000"')
        self.assertContains(response, "54.60000 N, 6.40000 W")
        self.assertContains(response, "On a lead.")
        self.assertNotContains(response, "Toilets</strong>")

    def test_gatherings_tell_whether_they_stand_and_what_is_free(self):
        gathering = make_gathering(demonstration=self.place, title="An evening")
        self.assertContains(self.get("demonstration"), "Just come")
        station = make_station(gathering=gathering, places=2)
        make_sign_up(station=station)
        self.assertContains(self.get("demonstration"), "Room for one more")
        make_sign_up(station=station)
        self.assertContains(
            self.get("demonstration"), "Full. There&#x27;s a waiting list"
        )
        gathering.calls.create(
            decision="hold", advice="hold", made_at=NOW, made_by=self.nora.user
        )
        self.assertContains(self.get("demonstration"), "Wait and see")
        gathering.status = GatheringStatus.CALLED_OFF
        gathering.save(update_fields=["status"])
        response = self.get("demonstration")
        self.assertContains(response, "Called off")
        self.assertNotContains(response, "waiting list")

    def test_what_moved_says_so_to_everybody(self):
        gathering = make_gathering(demonstration=self.place, moved_from=NOW)
        slug = self.place.slug
        for address in (
            reverse("public:demonstration", args=[slug]),
            reverse("gatherings:list", args=[slug]),
            gathering.get_absolute_url(),
        ):
            response = self.client.get(address)
            self.assertContains(response, '<span class="tag tag-due">')
            self.assertContains(
                response, "It was to be on Wednesday 12 August 2026 at 18:40."
            )

    def test_how_to_help_depends_on_who_asks(self):
        join = reverse("people:join", args=[self.place.slug])
        for by in (None, *self.strangers):
            self.assertContains(self.get("demonstration", by=by), f'href="{join}">Join')
        volunteer = self.get("demonstration", by=self.ann)
        self.assertContains(volunteer, "Choose an evening")
        self.assertNotContains(volunteer, join)

    def test_those_without_e_mail_are_told_whom_to_ask(self):
        self.assertContains(self.get("demonstration"), "ask for the organiser")
        self.place.contact = "Nora at the old school"
        self.place.save(update_fields=["contact"])
        self.assertContains(self.get("demonstration"), "Nora at the old school")

    def test_what_an_organiser_typed_cannot_become_markup(self):
        self.place.story = "<script>alert(1)</script>"
        self.place.save(update_fields=["story"])
        response = self.get("demonstration")
        self.assertContains(response, "&lt;script&gt;alert(1)")
        self.assertNotContains(response, "<script>alert")

    def test_visitors_are_told_the_dangers(self):
        make_picture(demonstration=self.place, alt_text="A dam with stones on it.")
        response = self.get("demonstration")
        for words in ("Deep water", "Stay behind the barrier", "in charge of each"):
            self.assertContains(response, words)
        self.assertContains(response, 'alt="A dam with stones on it."')

    def test_the_whole_page_costs_the_same_for_few_and_for_many(self):
        make_gathering(demonstration=self.place)
        with self.assertNumQueries(WHOLE_PAGE):
            self.get("demonstration")
        for _ in range(5):
            make_gathering(demonstration=self.place)
            make_picture(demonstration=self.place)
        with self.assertNumQueries(WHOLE_PAGE):
            self.get("demonstration")


class StoryTests(PublicCase):
    def test_the_story_leads_to_every_stage(self):
        response = self.get("story")
        for stage in Stage:
            self.assertContains(response, f'href="{self.url("stage", stage.value)}"')

    def test_a_phone_fetches_great_only_the_picture_of_what_goes_on(self):
        self.place.stage_records.create(stage="pulling", started_on="2026-08-03")
        for stage in ("sowing", "pulling", "stooking"):
            make_picture(demonstration=self.place, stage=stage)
        page = self.get("story").content.decode()
        small = re.findall(r'sizes="\(max-width: 40rem\) 6rem', page)
        assert (page.count("sizes="), len(small)) == (3, 2)

    def test_a_stage_has_a_page_of_its_own(self):
        make_picture(demonstration=self.place, stage="pulling", caption="Five pull.")
        make_gathering(demonstration=self.place, stage="pulling")
        self.place.stage_records.create(stage="pulling", note="By the lane first.")
        response = self.get("stage", "pulling")
        for words in (
            "4 of 15",
            "Pull up and towards you",
            "Five pull.",
            "By the lane first.",
            "Come and see it tomorrow at 18:30",
            "Local codes, and people licensed for the work, come first.",
            "Where the sources differ",
            "Previous: cutting bands",
            "Next: stooking",
        ):
            self.assertContains(response, words)
        self.assertNotContains(self.get("stage", "spinning"), "Next:")
        assert self.get("stage", "baking").status_code == 404

    def test_a_phone_waits_for_little_before_a_stages_picture(self):
        """The page comes at once: in ten segments, the first window of RFC 6928.

        The faces, which it waits for too, are weighed where they are cut.
        """
        make_picture(demonstration=self.place, stage="pulling")
        make_plot(demonstration=self.place)
        address = self.url("stage", "pulling")
        packed = self.client.get(address, headers={"accept-encoding": "gzip"})
        page = gzip.decompress(packed.content).decode()
        assert 'class="drawing plan"' in page
        assert 'fetchpriority="high"' in page
        assert len(packed.content) + len(packed.serialize_headers()) < 10 * 1460
        fetched = re.findall(r'<use href="/static/([^"#]+)', page)
        assert {PurePath(name).parent.name for name in fetched} == {"steps"}
        files = [Path(finders.find(name)).read_bytes() for name in fetched]
        waited_for = [stylesheet.sheet().encode(), *files]
        assert sum(len(gzip.compress(file)) for file in waited_for) < 24_000

    def test_no_stage_tells_a_day_for_lifting(self):
        ret = make_ret(dam=make_dam(demonstration=self.place), began_at=NOW - 4 * A_DAY)
        make_reading(ret=ret, at=NOW, temp_c="15.0")
        response = self.get("stage", "lifting")
        self.assertContains(response, "Only a test of the stems tells")
        self.assertNotContains(response, "likely day")

    def test_each_page_costs_the_same_for_few_and_for_many(self):
        for args in (("story",), ("stage", "pulling"), ("stage", "retting")):
            self.get(*args)
            with CaptureQueriesContext(connection) as few:
                self.get(*args)
            for _ in range(3):
                make_gathering(demonstration=self.place, stage="pulling")
                make_picture(demonstration=self.place, stage="pulling")
            with self.assertNumQueries(len(few)):
                self.get(*args)


@pytest.mark.any_database
class ShelfTests(PublicCase):
    def test_a_visitor_finds_the_process_sheets(self):
        response = self.get("shelf")
        self.assertContains(response, self.url("process_sheet", "pulling"))
        self.assertContains(response, "pulling.pdf?large=1")
        self.assertNotContains(response, "Statement")

    def test_every_sheet_on_the_shelf_opens_for_whoever_sees_it(self):
        """And `pdfua` finds nothing in any of them."""
        here = {"demonstration": self.place}
        make_gathering(lead=self.ann, **here)
        make_ret(dam=make_dam(**here))
        self.enterContext(sheets_drawn_once())
        for by in (None, self.ann, self.nora):
            shelves = self.get("shelf", by=by).context["page"].shelves
            links = [sheet.url for shelf in shelves for sheet in shelf.sheets]
            assert len(links) >= 16
            for link in links:
                response = self.client.get(link)
                assert response["Content-Type"] == "application/pdf", link
                if by == self.nora:
                    assert findings(response.content) == [], link

    def test_a_press_prints_all_that_an_evening_wants_as_one_tagged_file(self):
        make_gathering(lead=self.ann, demonstration=self.place)
        self.enterContext(sheets_drawn_once())
        page = self.get("shelf", by=self.nora).context["page"]
        wanted = page.packs[0].sheets
        pages = sum(page_count(self.client.get(one.url).content) for one in wanted)
        pdf = self.get("pack", "tonight", by=self.nora).content
        assert page_count(pdf) == pages > 5
        assert findings(pdf) == []
        assert faces_left_out(pdf) == set()
        reader = PdfReader(BytesIO(pdf))
        assert len(reader.outline) == len(wanted)
        assert reader.metadata.title == page.packs[0].title
        assert pdf == self.get("pack", "tonight", by=self.nora).content

    def test_what_is_for_the_evening_is_no_visitors(self):
        assert self.get("pack", "tonight").status_code == 404
        assert self.get("pack", "anything").status_code == 404

    def bound(self, address):
        """Return the names of what is bound together, and its pages."""
        pdf = self.client.get(address).content
        assert findings(pdf) == []
        reader = PdfReader(BytesIO(pdf))
        return [entry.title for entry in reader.outline], reader.pages

    def test_what_hangs_in_a_hall_is_a_poster_pictures_and_every_panel_on_a3(self):
        evening = make_gathering(demonstration=self.place)
        make_picture(demonstration=self.place)
        names, pages = self.bound(self.url("pack", "hall"))
        sheets = [text.heading for stage in Stage for text in sheets_of(stage)]
        assert names[1:] == ["From seed to fibre", *sheets]
        assert evening.title in pages[0].extract_text()
        assert len(pages) == len(names)
        assert {round(page.mediabox.height) for page in pages} == {1191}

    def test_a_school_gets_the_cards_first_and_helpers_a_permission_to_sign(self):
        self.enterContext(sheets_drawn_once())
        both = ["Cards for children", "From seed to fibre"]
        school = self.url("pack", "school")
        assert self.bound(school)[0] == both
        names, pages = self.bound(school + "?large=1")
        assert names[0] == "Cards for children"
        assert len(pages) > 3 * len(names)
        self.client.force_login(self.ann.user)
        assert self.bound(school)[0] == ["Permission for pictures of a child", *both]


class SheetTests(PublicCase):
    def test_a_process_sheet_opens_in_the_browser_under_a_plain_name(self):
        response = self.get("process_sheet", "filling_the_dam")
        assert response.content.startswith(b"%PDF")
        assert response["Content-Disposition"] == (
            'inline; filename="process-filling-the-dam.pdf"'
        )

    def test_an_unknown_stage_is_not_there(self):
        assert self.get("process_sheet", "baking").status_code == 404

    def test_large_print_is_another_edition(self):
        address = self.url("process_sheet", "spinning")
        small, large = (self.client.get(address + query) for query in ("", "?large=1"))
        assert small.content != large.content

    def test_the_poster_of_a_posted_gathering_opens_for_anybody(self):
        gathering = make_gathering(demonstration=self.place)
        for by in (None, *self.strangers):
            response = self.get("poster", gathering.pk, by=by)
            assert response["Content-Type"] == "application/pdf"

    def test_a_draft_has_no_poster_but_for_its_organiser(self):
        draft = make_gathering(demonstration=self.place, status=GatheringStatus.DRAFT)
        for by in (None, self.ann, *self.strangers):
            assert self.get("poster", draft.pk, by=by).status_code == 404
        assert self.get("poster", draft.pk, by=self.nora).status_code == 200

    def test_another_demonstrations_gathering_has_no_poster_here(self):
        foreign = make_gathering()
        assert self.get("poster", foreign.pk, by=self.nora).status_code == 404


class ElementsTests(TestCase):
    def test_a_keeper_sees_every_mark_and_state_and_nobody_else_does(self):
        assert self.client.get("/look/").status_code == 302
        self.client.force_login(make_user())
        assert self.client.get("/look/").status_code == 403
        self.client.force_login(make_user(is_staff=True))
        response = self.client.get("/look/")
        for name in sketches.names():
            self.assertContains(response, f"<br>{name}</li>")
        self.assertContains(response, "Between half and two thirds is pulled")
        shown = response.content.decode()
        drawn = [step.address for name in names() for step in text_of(name).steps]
        assert [address for address in drawn if address not in shown] == []


class GeneralPageTests(TestCase):
    def test_the_cautions_defer_and_name_the_dangers(self):
        response = self.client.get("/cautions/")
        for words in (
            "Follow local codes, and people licensed for the work",
            "Do not jump in",
            "not a safe limit",
            "unless the people who look after your rivers",
            "when to test, never when to lift",
        ):
            self.assertContains(response, words)

    def test_help_speaks_to_each(self):
        response = self.client.get("/help/")
        for words in ("come and look", "Helping in the field", "Leading", "Organising"):
            self.assertContains(response, words)

    def test_nothing_here_takes_a_post(self):
        for path in ("/", "/cautions/", "/help/"):
            assert self.client.post(path).status_code == 405
