"""The field page on a real phone's browser, with and without a signal."""

from datetime import timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.contrib.staticfiles.testing import StaticLiveServerTestCase
from django.templatetags.static import static
from django.urls import reverse
from playwright.sync_api import expect

from heritage.common import clock
from heritage.dam.models import Reading
from heritage.fieldlog.models import FieldNote, Receipt, Thunder
from heritage.gatherings.models import Gathering, SignUp, Turnout
from heritage.growth.models import Observation
from heritage.lots.models import Move
from heritage.people.models import Volunteer
from heritage.pictures.models import Picture
from heritage.tally.models import Entry
from tests.factories import (
    make_briefing,
    make_dam,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_plot,
    make_ret,
    make_sign_up,
    make_station,
    make_turnout,
    make_volunteer,
)
from tests.fieldlog.phone import SIZE, Phone


@pytest.mark.browser
@pytest.mark.any_database
class FieldPageTests(StaticLiveServerTestCase):
    @pytest.fixture(autouse=True)
    def _with_browser(self, chromium):
        self.browser = chromium

    def setUp(self):
        now = clock.now()
        self.demonstration = make_demonstration()
        self.lead = make_organiser(demonstration=self.demonstration, name="Orla Fenn")
        self.gathering = make_gathering(
            demonstration=self.demonstration,
            lead=self.lead,
            starts_at=now - timedelta(hours=1),
            ends_at=now + timedelta(hours=2),
        )
        self.ann = self.expect_person("Ann Birch")
        self.bob = self.expect_person("Bob Tarrant")
        make_turnout(
            gathering=self.gathering,
            volunteer=self.ann,
            arrived_at=now - timedelta(minutes=50),
            left_at=None,
        )
        make_ret(
            dam=make_dam(demonstration=self.demonstration),
            began_at=now - timedelta(days=4),
        )

    def expect_person(self, name):
        person = make_volunteer(demonstration=self.demonstration, name=name, user=None)
        station = make_station(gathering=self.gathering)
        make_sign_up(station=station, volunteer=person)
        return person

    def phone(self, **options):
        path = reverse(
            "fieldlog:field", args=[self.demonstration.slug, self.gathering.pk]
        )
        phone = Phone(self.browser, self.live_server_url, path)
        phone.switch_on(**options)
        self.addCleanup(phone.throw_away)
        phone.sign_in(self.lead.user)
        return phone

    def beets_of(self, person):
        return Entry.objects.filter(volunteer=person).beets()

    def test_an_evening_without_a_signal_loses_nothing(self):
        phone = self.phone()
        phone.open_and_keep()
        phone.signal(False)
        phone.page.reload()
        phone.says("No signal.")
        for _ in range(3):
            phone.tap("+1", "Ann Birch")
        phone.tap("+5", "Ann Birch")
        phone.undo("Ann Birch")
        phone.tap("+5", "Ann Birch")
        phone.shows("Ann Birch", 8)
        phone.tap("Came", "Bob Tarrant")
        phone.tap("+5", "Bob Tarrant")
        phone.unfold("Somebody else came")
        phone.page.get_by_label("Their name").fill("Dora Vale")
        phone.page.get_by_role("button", name="Add them").click()
        phone.tap("+1", "Dora Vale")
        phone.write("Swath wet below the hedge.")
        phone.take_photograph("The first stook stands")
        phone.read_water("16,5")
        phone.hear_thunder()
        phone.says("12 saved on this phone, not yet sent.")
        phone.switch_off()
        assert not Receipt.objects.exists()

        phone.switch_on()
        phone.signal(False)
        phone.open()
        phone.says("12 saved on this phone, not yet sent.")
        phone.shows("Ann Birch", 8)
        phone.shows("Dora Vale", 1)
        expect(phone.page.locator("#log-hold")).to_contain_text("all work stopped")
        phone.signal(True)
        phone.says("12 sent.", patience=40)
        phone.shows("Ann Birch", 8)
        assert Receipt.objects.count() == 12
        dora = Volunteer.objects.get(name="Dora Vale")
        counts = [self.beets_of(one) for one in (self.ann, self.bob, dora)]
        assert counts == [8, 5, 1]
        assert Turnout.objects.of(self.demonstration).count() == 3
        assert FieldNote.objects.get().text == "Swath wet below the hedge."
        assert Picture.objects.get().caption == "The first stook stands"
        assert (float(Reading.objects.get().temp_c), Thunder.objects.count()) == (
            16.5,
            1,
        )
        assert [text for text in phone.said if "Content Security" in text] == []
        assert [text for text in phone.said if text.startswith("Error")] == []

    def test_answers_lost_on_the_way_change_nothing(self):
        phone = self.phone()
        phone.open_and_keep()
        lost = []

        def lose(route):
            """Let the server have it, and the phone never hear of it."""
            lost.append(route.fetch().status)
            route.abort()

        phone.page.route("**/send/", lose, times=2)
        phone.tap("+5", "Ann Birch")
        phone.says("1 saved on this phone")
        for _ in range(2):
            with phone.page.expect_event("requestfailed"):
                phone.page.get_by_role("button", name="Send now").click()
        phone.page.get_by_role("button", name="Send now").click()
        phone.says("1 sent.", patience=40)
        phone.shows("Ann Birch", 5)
        assert lost == [200, 200]
        assert self.beets_of(self.ann) == 5

    def test_two_phones_add_up_and_what_was_sent_is_undone_by_a_counter_entry(self):
        one, other = self.phone(), self.phone()
        for phone in (one, other):
            phone.open_and_keep()
        one.tap("+5", "Ann Birch")
        one.says("1 sent.")
        other.tap("+1", "Ann Birch")
        other.says("1 sent.")
        other.shows("Ann Birch", 6)
        one.undo("Ann Birch")
        one.says("2 sent.")
        one.shows("Ann Birch", 1)
        rows = Entry.objects.of(self.demonstration).in_order()
        assert sorted(row.beets for row in rows) == [-5, 1, 5]

    def test_what_is_refused_stays_with_its_reason_and_is_mended(self):
        phone = self.phone()
        phone.open_and_keep()
        phone.read_water("99")
        phone.says("1 refused")
        refused = phone.page.locator("#log-refused")
        expect(refused).to_contain_text("be at 99")
        phone.page.reload()
        phone.says("1 refused")
        refused.get_by_label("Degrees Celsius").fill("17")
        refused.get_by_role("button", name="Send again").click()
        phone.says("1 sent.")
        assert Reading.objects.get().temp_c == 17
        phone.read_water("-99")
        phone.says("1 refused")
        refused.get_by_role("button", name="Remove").click()
        refused.get_by_role("button", name="Delete it").click()
        expect(phone.page.locator("#log-state")).not_to_contain_text("refused")
        assert Receipt.objects.filter(outcome="refused").count() == 2

    def test_a_temperature_that_can_hardly_be_is_asked_about_before_it_is_stored(self):
        phone = self.phone()
        phone.open_and_keep()
        phone.read_water("58")
        phone.says("1 refused")
        refused = phone.page.locator("#log-refused")
        expect(refused).to_contain_text("Is that in °F? 58.0 °F is 14.4 °C.")
        assert not Reading.objects.exists()
        refused.get_by_role("button", name="Send again").click()
        phone.says("1 sent.")
        assert Reading.objects.get().temp_c == 58

    def test_a_lot_is_carried_without_a_signal(self):
        phone = self.phone()
        phone.open_and_keep()
        phone.signal(False)
        phone.page.reload()
        phone.tap("+5", "Ann Birch")
        phone.tap("+5", "Ann Birch")
        phone.move_lot("8")
        waiting = phone.page.locator("#log-waiting")
        expect(waiting).to_contain_text("Beets moved to the cart: 8")
        assert not Move.objects.exists()
        phone.signal(True)
        phone.says("3 sent.", patience=40)
        row = Move.objects.get()
        assert (row.lot.gathering, row.beets) == (self.gathering, 8)
        assert (row.source, row.target) == ("stook", "cart")
        expect(phone.page.locator("#move-lot")).to_contain_text(
            "Lot 1: 2 in the field, 8 on the cart"
        )

    def test_more_beets_than_there_are_are_refused_and_mended(self):
        phone = self.phone()
        phone.open_and_keep()
        phone.tap("+5", "Ann Birch")
        phone.says("1 sent.")
        phone.move_lot("6")
        phone.says("1 refused")
        refused = phone.page.locator("#log-refused")
        expect(refused).to_contain_text("has 5 beets in the field")
        refused.get_by_label("How many beets").fill("5")
        refused.get_by_role("button", name="Send again").click()
        offered = phone.page.locator("#move-lot")
        expect(offered).to_contain_text("Lot 1: 5 on the cart", timeout=20_000)
        assert Move.objects.get().beets == 5

    def test_the_crop_is_looked_at_without_a_signal(self):
        plot = make_plot(demonstration=self.demonstration, name="Low field")
        phone = self.phone()
        phone.open_and_keep()
        phone.signal(False)
        phone.page.reload()
        phone.see_crop("full", height="88", note="Bees.")
        waiting = phone.page.locator("#log-waiting")
        expect(waiting).to_contain_text("Crop: in full flower, 88 cm tall")
        assert not Observation.objects.exists()
        phone.signal(True)
        phone.says("1 sent.", patience=40)
        seen = Observation.objects.get()
        assert (seen.plot, seen.flower, seen.height_cm) == (plot, "full", 88)
        assert (seen.note, seen.by) == ("Bees.", self.lead.user)

    def test_a_crop_of_which_nothing_is_said_is_refused_and_mended(self):
        make_plot(demonstration=self.demonstration)
        phone = self.phone()
        phone.open_and_keep()
        phone.see_crop()
        phone.says("1 refused")
        refused = phone.page.locator("#log-refused")
        expect(refused).to_contain_text("Say at least one thing that you saw.")
        refused.get_by_label("Height in centimetres").fill("40")
        refused.get_by_role("button", name="Send again").click()
        phone.says("1 sent.")
        assert Observation.objects.get().height_cm == 40

    def test_stations_are_given_without_a_signal_and_refused_with_a_reason(self):
        hay = make_station(gathering=self.gathering, title="Fork", places=1)
        make_station(
            gathering=self.gathering,
            title="At the water",
            briefing=make_briefing(demonstration=self.demonstration),
        )
        phone = self.phone()
        phone.open_and_keep()
        phone.signal(False)
        phone.page.reload()
        phone.tap("Came", "Bob Tarrant")
        phone.open_person("Ann Birch")
        barred = phone.page.get_by_role("button", name="At the water: to hear first")
        expect(barred).to_be_disabled()
        phone.tap("Fork", "Ann Birch")
        row = phone.page.locator("#log-here .log-person", has_text="Ann Birch")
        expect(row.locator(".log-station")).to_have_text("Fork")
        phone.open_person("Bob Tarrant")
        full = phone.page.get_by_role("button", name="Fork: full, Bob Tarrant")
        expect(full).to_be_disabled()
        # Somebody else was put there meanwhile, through another phone.
        other = make_volunteer(demonstration=self.demonstration, name="Una Kell")
        make_sign_up(station=hay, volunteer=other)
        phone.signal(True)
        phone.says("1 refused")
        refused = phone.page.locator("#log-refused")
        expect(refused).to_contain_text("Fork is full. Not come yet: Una Kell.")
        SignUp.objects.filter(volunteer=other).delete()
        refused.get_by_role("button", name="Send again").click()
        phone.says("2 sent.")
        assert SignUp.objects.held().get(volunteer=self.ann).station == hay

    def test_a_child_comes_along_without_a_signal(self):
        # More adults than are offered at once, so theirs is found by name.
        for name in ["Ada", "Bo", "Cy", "Dan", "Eva", "Flo", "Gil", "Hal"]:
            make_turnout(
                gathering=self.gathering,
                volunteer=make_volunteer(demonstration=self.demonstration, name=name),
                arrived_at=clock.now() - timedelta(minutes=9),
                left_at=None,
            )
        phone = self.phone()
        phone.open_and_keep()
        assert phone.height() < 4 * SIZE["height"]
        phone.signal(False)
        phone.unfold("A child came along")
        phone.page.get_by_label("Name of the child").fill("Bea Moss")
        phone.page.get_by_label("How old").select_option("13 to 15")
        adults = phone.page.locator("#child-adult")
        expect(adults.get_by_role("radio")).to_have_count(8)
        expect(adults).to_contain_text("and 1 more")
        adults.get_by_label("Find a name").fill("bírch")
        adults.get_by_role("radio", name="Ann Birch").check()
        expect(adults.get_by_role("radio")).to_have_count(1)
        phone.page.get_by_role("button", name="Add the child").click()
        phone.page.locator("#log-names-sought").fill("bea")
        phone.tap("+1", "Bea Moss")
        phone.signal(True)
        phone.says("2 sent.", patience=40)
        bea = Volunteer.objects.get(name="Bea Moss")
        assert (bea.guardian, bea.age_band) == (self.ann, "from_13")
        assert self.beets_of(bea) == 1

    def test_a_child_whose_adult_goes_home_is_asked_about_without_a_signal(self):
        child = make_volunteer(
            demonstration=self.demonstration,
            name="Tam Birch",
            user=None,
            age_band="under_13",
            guardian=self.ann,
        )
        make_turnout(
            gathering=self.gathering,
            volunteer=child,
            arrived_at=clock.now() - timedelta(minutes=9),
            left_at=None,
        )
        phone = self.phone()
        phone.open_and_keep()
        phone.signal(False)
        alone = phone.page.locator("#log-alone")
        tag = phone.page.locator("#log-here .log-alone:visible")
        expect(phone.page.locator("#log-here .log-person")).to_have_count(2)
        expect(alone).to_be_hidden()
        phone.leave("Ann Birch")
        expect(alone).to_have_text("Tam: their adult is not here. Who is with them?")
        expect(tag).to_have_text(["their adult is not here"])
        phone.come_back("Ann Birch")
        expect(alone).to_be_hidden()

    def test_a_known_name_is_found_and_a_second_one_is_to_be_settled(self):
        phone = self.phone()
        phone.open_and_keep()
        phone.signal(False)
        for name in ("bob tarrant", "Ann Birch"):
            phone.unfold("Somebody else came")
            phone.page.get_by_label("Their name").fill(name)
            phone.page.get_by_role("button", name="Add them").click()
            phone.unfold("Somebody else came")
        phone.signal(True)
        phone.says("2 sent.", patience=40)
        assert Volunteer.objects.filter(name__iexact="Bob Tarrant").count() == 1
        assert Volunteer.objects.filter(name="Ann Birch").count() == 2
        phone.page.get_by_role("link", name="Say whether it is the same").click()
        phone.page.get_by_role("button", name="The same person as Ann Birch").click()
        expect(phone.page.get_by_text("Name settled.")).to_be_visible()
        assert Turnout.objects.filter(volunteer=self.ann).count() == 1

    def test_a_session_that_ran_out_keeps_everything_and_asks_to_sign_in(self):
        phone = self.phone()
        phone.open_and_keep()
        phone.lose_session()
        phone.page.reload()
        phone.tap("+5", "Ann Birch")
        phone.says("Sign in again to send. 1 saved on this phone, not yet sent.")
        expect(phone.page.get_by_role("link", name="Sign in")).to_be_visible()
        assert not Receipt.objects.exists()
        phone.sign_in(self.lead.user)
        phone.page.get_by_role("button", name="Send now").click()
        phone.says("1 sent.")
        assert self.beets_of(self.ann) == 5

    def test_signing_out_with_unsent_entries_warns_and_takes_the_names(self):
        phone = self.phone()
        phone.open_and_keep()
        phone.signal(False)
        phone.tap("+1", "Ann Birch")
        sign_out = phone.page.get_by_role("button", name="Sign out", exact=True)
        sign_out.click()
        warning = phone.page.locator("#log-leave")
        expect(warning).to_contain_text("1 on this phone alone.")
        phone.page.get_by_role("button", name="Stay signed in").click()
        expect(warning).to_be_hidden()
        phone.signal(True)
        phone.says("1 sent.", patience=40)
        assert phone.names() != []
        sign_out.click()
        expect(phone.page.get_by_role("heading", name="Sign out?")).to_be_visible()
        assert (phone.names(), phone.kept_pages()) == ([], [])

    def test_the_sign_out_page_warns_and_takes_the_names_too(self):
        phone = self.phone()
        phone.open_and_keep()
        phone.lose_session()
        phone.tap("+1", "Ann Birch")
        phone.says("Sign in again")
        phone.sign_in(self.lead.user)
        phone.page.route("**/send/", lambda route: route.abort())
        phone.page.goto(self.live_server_url + reverse("account_logout"))
        phone.page.add_script_tag(url=static("fieldlog/signout.js"), type="module")
        expect(phone.page.get_by_role("alert")).to_contain_text(
            "Not sent yet from the field page: 1."
        )
        phone.page.get_by_role("button", name="Sign out").click()
        expect(phone.page.get_by_role("link", name="Sign in").first).to_be_visible()
        assert (phone.names(), phone.kept_pages()) == (["Ann Birch"], [])

    def test_the_names_go_when_the_gathering_closes(self):
        phone = self.phone()
        phone.open_and_keep()
        assert set(phone.names()) == {"Ann Birch", "Bob Tarrant"}
        past = clock.now() - timedelta(hours=7)
        Gathering.objects.update(starts_at=past - timedelta(hours=2), ends_at=past)
        phone.page.reload()
        expect(phone.page.locator("#log-kept")).to_contain_text("has closed")
        assert phone.names() == []
        assert phone.path not in phone.kept_pages()

    def test_axe_finds_nothing_in_either_theme(self):
        for scheme in ("light", "dark"):
            phone = self.phone(color_scheme=scheme, bypass_csp=True)
            phone.open_and_keep()
            phone.hear_thunder()
            phone.read_water("99")
            phone.says("1 refused")
            phone.signal(False)
            phone.tap("+5", "Ann Birch")
            phone.page.get_by_role("button", name="Sign out", exact=True).click()
            shut = phone.page.locator("details:not([open]) > summary:visible")
            while shut.count():
                shut.first.click()
            for width in (390, 320):
                phone.page.set_viewport_size({"width": width, "height": 700})
                found = Axe().run(phone.page).response["violations"]
                assert [(v["id"], v["nodes"][0]["target"]) for v in found] == []
                assert phone.page.evaluate("document.body.scrollWidth") <= width

    def test_the_app_begins_at_its_list_without_a_signal(self):
        phone = self.phone()
        phone.open_and_keep()
        phone.signal(False)
        start = reverse("fieldlog:list", args=[self.demonstration.slug])
        phone.page.goto(self.live_server_url + start)
        phone.page.get_by_role("link", name=self.gathering.title).click()
        phone.shows("Ann Birch", 0)

    def test_dusk_is_chosen_without_a_signal_and_stays(self):
        phone = self.phone(color_scheme="light")
        phone.open_and_keep()
        phone.signal(False)
        by_device = phone.ground()
        phone.unfold("Colours of this page")
        phone.page.get_by_role("button", name="Dark").click()
        assert phone.ground() != by_device
        phone.page.reload()
        expect(phone.page.locator("html")).to_have_attribute("data-theme", "dusk")
        phone.unfold("Colours of this page")
        phone.page.get_by_role("button", name="As my phone").click()
        assert phone.ground() == by_device

    def test_the_wait_after_thunder_is_counted_down_and_starts_anew(self):
        phone = self.phone()
        phone.open_and_keep()
        phone.signal(False)
        phone.page.clock.install()
        phone.hear_thunder()
        left = phone.page.locator("#log-hold-left")
        expect(left).to_have_text("30 min left.")
        phone.page.clock.fast_forward("12:00")
        expect(left).to_have_text("18 min left.")
        phone.hear_thunder()
        expect(left).to_have_text("30 min left.")
        phone.page.clock.fast_forward("30:01")
        hold = phone.page.locator("#log-hold")
        expect(hold).to_contain_text("the wait of 30 minutes is over. You decide")

    def test_what_is_tapped_is_large_enough_for_a_wet_thumb(self):
        phone = self.phone()
        phone.open()
        phone.shows("Ann Birch", 0)
        phone.open_person("Ann Birch")
        sizes = phone.page.locator(".log-taps button:visible").evaluate_all(
            "all => all.map(e => [e.offsetWidth, e.offsetHeight])"
        )
        assert len(sizes) == 5
        assert min(min(one) for one in sizes) >= 64
