import pytest
from django.apps import apps
from django.contrib.auth.models import AnonymousUser
from django.db import IntegrityError, transaction
from django.test import SimpleTestCase, TestCase

from heritage.common.models import OwnedQuerySet, demonstrations_of
from heritage.people.models import AgeBand, User, Volunteer
from heritage.season.models import Demonstration
from tests.factories import (
    NOW,
    make_demonstration,
    make_organiser,
    make_user,
    make_volunteer,
)
from tests.people.world import make_keeper, make_world


def owned_models():
    """Return every model whose rows belong to a demonstration."""
    return [
        model
        for model in apps.get_models()
        if isinstance(model._default_manager.all(), OwnedQuerySet)
    ]


# Read by organisers alone; and by whoever they are about (here: the volunteer).
PRIVACY = frozenset({"Erasure", "Merge", "Tidying", "Complaint", "ComplaintStep"})
DAMS_BOOK = frozenset({"DamWork", "LeakTest", "FlowTest", "WaterAsked"})
ORGANISERS_READ = (
    frozenset(
        {
            "Archive",
            "DeletedPicture",
            "Invitation",
            "Letter",
            "LostChild",
            "Printing",
        }
    )
    | PRIVACY
    | DAMS_BOOK
)
ONES_OWN = frozenset(
    {
        "HealthNote",
        "Agreement",
        "Weighing",
        "Incident",
        "Evidence",
        "IncidentChange",
        "Witness",
    }
)


class OneDoorTests(TestCase):
    """`visible_to` and `managed_by`, for every kind of row and everybody."""

    @classmethod
    def setUpTestData(cls):
        # Closed, so that nothing is visible for being public.
        cls.here = make_world(is_public=False)
        cls.there = make_world(is_public=False)
        cls.users = cls.here.users

    def places(self, model, user, door):
        rows = getattr(model.objects.all(), door)(user)
        path = rows.demonstration_path
        return set(rows.values_list(path, flat=True))

    def expect(self, user, visible, managed, closed=frozenset()):
        """Say where a user sees rows; those of the closed kinds only where managed."""
        for model in owned_models():
            seen = managed if model.__name__ in closed else visible
            with self.subTest(model=model.__name__):
                assert self.places(model, user, "visible_to") == seen
                assert self.places(model, user, "managed_by") == managed

    def test_the_world_has_a_row_of_every_kind(self):
        assert len(owned_models()) > 10
        for model in owned_models():
            with self.subTest(model=model.__name__):
                assert model.objects.of(self.here.demonstration).exists()

    def test_visitors_accounts_and_those_who_left_see_nothing(self):
        for user in (AnonymousUser(), make_user(), self.users["gone"]):
            self.expect(user, set(), set())

    def test_volunteers_see_their_demonstration_but_what_organisers_read(self):
        home = {self.here.demonstration.pk}
        self.expect(self.users["volunteer"], home, set(), ORGANISERS_READ)

    def test_a_lead_reads_nothing_of_another_person(self):
        home = {self.here.demonstration.pk}
        closed = ORGANISERS_READ | ONES_OWN
        self.expect(self.users["lead"], home, set(), closed)

    def test_organisers_see_and_manage_their_own_demonstration(self):
        home = {self.here.demonstration.pk}
        self.expect(self.users["organiser"], home, home)

    def test_somebody_may_organise_here_and_help_there(self):
        user = self.users["organiser"]
        make_volunteer(demonstration=self.there.demonstration, user=user)
        here, there = self.here.demonstration.pk, self.there.demonstration.pk
        self.expect(user, {here, there}, {here}, ORGANISERS_READ | ONES_OWN)

    def test_an_organiser_who_left_manages_nothing(self):
        organiser = self.here.rows["organiser"]
        organiser.left_at = NOW
        organiser.save(update_fields=["left_at"])
        self.expect(organiser.user, set(), set())

    def test_the_keeper_sees_and_manages_everything(self):
        everywhere = {self.here.demonstration.pk, self.there.demonstration.pk}
        self.expect(make_keeper(), everywhere, everywhere)

    def test_demonstrations_themselves(self):
        user = self.users["volunteer"]
        assert Demonstration.objects.visible_to(user).get() == self.here.demonstration
        assert not Demonstration.objects.managed_by(user).exists()
        assert not Demonstration.objects.visible_to(AnonymousUser()).exists()


class ViewerTests(SimpleTestCase):
    def test_somebody_who_is_no_account_belongs_nowhere(self):
        assert demonstrations_of(AnonymousUser()) == []


class ConstraintTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place)

    def refuse(self, name, **fields):
        with (
            pytest.raises(IntegrityError, match=name),
            transaction.atomic(),
        ):
            make_volunteer(demonstration=self.place, **fields)

    def test_an_account_joins_once(self):
        with pytest.raises(IntegrityError), transaction.atomic():
            make_volunteer(demonstration=self.place, user=self.nora.user)
        assert make_volunteer(user=self.nora.user).pk

    def test_an_age_is_known(self):
        self.refuse("volunteer_age_known", age_band="ancient", guardian=self.nora)

    def test_a_child_has_a_guardian(self):
        self.refuse("volunteer_child_has_guardian", age_band=AgeBand.FROM_16)

    def test_nobody_is_their_own_guardian(self):
        self.nora.guardian = self.nora
        with (
            pytest.raises(IntegrityError, match="volunteer_not_own_guardian"),
            transaction.atomic(),
        ):
            self.nora.save(update_fields=["guardian"])

    def test_an_organiser_has_an_account_and_is_grown_up(self):
        name = "volunteer_organiser_has_account"
        role = {"is_organiser": True, "organiser_since": NOW}
        self.refuse(name, user=None, **role)
        self.refuse(name, **role, age_band=AgeBand.FROM_16, guardian=self.nora)

    def test_since_when_somebody_organises_is_known_of_organisers_alone(self):
        name = "volunteer_organiser_since_made_one"
        self.refuse(name, is_organiser=True)
        self.refuse(name, organiser_since=NOW)

    def test_one_account_to_an_address_whatever_its_case(self):
        make_user(email="ann@example.org")
        with pytest.raises(IntegrityError), transaction.atomic():
            make_user(email="Ann@example.org")

    def test_people_are_named(self):
        assert str(make_volunteer(name="Ann Rush")) == "Ann Rush"
        user = User(email="ann@example.org")
        assert str(user) == "ann@example.org"
        user.name = "Ann Rush"
        assert str(user) == "Ann Rush"
        assert Volunteer(age_band="from_13").age.least_age == 13

    def test_a_keeper_is_made_from_the_command_line(self):
        keeper = User.objects.create_superuser("k@example.org", "a long password")
        assert keeper.is_staff
        assert keeper.is_superuser
