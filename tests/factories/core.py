"""Plain factories: each makes one row, whole, and lets any field be said."""

import hashlib
import itertools
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

from django.core.files.base import ContentFile
from PIL import Image

from heritage.briefings.models import (
    Acknowledgement,
    Briefing,
    BriefingVersion,
    Control,
    ControlKind,
    Hazard,
    HeardHow,
)
from heritage.dam.models import Check, Dam, Finding, Reading, Ret, Water
from heritage.gatherings.models import (
    Gathering,
    SignUp,
    SignUpStatus,
    Station,
    StationKind,
    Turnout,
)
from heritage.people.models import AgeBand, User, Volunteer
from heritage.pictures.models import (
    DeletedPicture,
    Licence,
    PaperPermission,
    Picture,
    Shown,
)
from heritage.season.models import Demonstration, Jurisdiction, Plot, Stage
from heritage.tally.models import Entry

# A Wednesday in mid-season, twenty to seven in the evening, summer time.
NOW = datetime(2026, 8, 12, 17, 40, tzinfo=UTC)

_count = itertools.count(1)


def next_number() -> int:
    """Return a number no row has been named by yet."""
    return next(_count)


def make_user(**fields: Any) -> User:
    number = next(_count)
    fields = {
        "email": f"person{number}@example.org",
        "name": f"Person {number}",
    } | fields
    return User.objects.create_user(**fields)


def make_demonstration(**fields: Any) -> Demonstration:
    number = next(_count)
    fields = {
        "name": f"Flax at Lintholm {number}",
        "slug": f"lintholm-{number}",
        "year": 2026,
        "place_name": "Lintholm",
        "latitude": Decimal("54.6"),
        "longitude": Decimal("-6.4"),
        "time_zone": "Europe/London",
        "jurisdiction": Jurisdiction.NORTHERN_IRELAND,
        "token_rate_farthings": 48,
        "created_at": NOW - timedelta(days=120),
    } | fields
    return Demonstration.objects.create(**fields)


def make_plot(**fields: Any) -> Plot:
    fields = {"name": f"Plot {next(_count)}", "area_m2": Decimal("2023.43")} | fields
    fields.setdefault("demonstration", None)
    fields["demonstration"] = fields["demonstration"] or make_demonstration()
    return Plot.objects.create(**fields)


def make_volunteer(**fields: Any) -> Volunteer:
    """Make a volunteer, with an account unless ``user=None`` is said."""
    fields = {"joined_at": NOW - timedelta(days=30), "age_band": AgeBand.ADULT} | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    if "user" not in fields:
        fields["user"] = make_user()
    fields.setdefault("name", fields["user"].name if fields["user"] else "Ann Paper")
    if fields["user"]:
        fields.setdefault("email", fields["user"].email)
    return Volunteer.objects.create(**fields)


def make_organiser(**fields: Any) -> Volunteer:
    """Make an organiser, since they joined unless another moment is said."""
    fields = {"is_organiser": True, "joined_at": NOW - timedelta(days=30)} | fields
    if fields["is_organiser"]:
        fields.setdefault("organiser_since", fields["joined_at"])
    return make_volunteer(**fields)


def make_hazard(**fields: Any) -> Hazard:
    fields = {
        "title": f"Deep water {next(_count)}",
        "harm": "Anybody at the edge may fall in and drown.",
        "where": "the dam",
        "severity": 5,
        "likelihood": 3,
        "severity_after": 5,
        "likelihood_after": 1,
        "controller": "Nora Bell",
    } | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    hazard = Hazard.objects.create(**fields)
    Control.objects.create(
        hazard=hazard, kind=ControlKind.ORGANISE, text="Never work alone by the water."
    )
    return hazard


def make_briefing(**fields: Any) -> Briefing:
    fields = {
        "title": f"Pulling by hand {next(_count)}",
        "task": "Pull the flax by hand and lay it in beets.",
        "in_charge": "Nora Bell",
    } | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    return Briefing.objects.create(**fields)


def make_briefing_version(**fields: Any) -> BriefingVersion:
    if "briefing" not in fields:
        fields["briefing"] = make_briefing()
    fields = {
        "number": fields["briefing"].versions.count() + 1,
        "content": {"title": fields["briefing"].title, "task": "Pull by hand."},
        "published_at": NOW - timedelta(days=7),
    } | fields
    return BriefingVersion.objects.create(**fields)


def make_acknowledgement(**fields: Any) -> Acknowledgement:
    own = fields["volunteer"].user
    if "recorded_by" not in fields:
        fields["recorded_by"] = own or make_user()
    how = HeardHow.SCREEN if fields["recorded_by"] == own else HeardHow.ALOUD
    fields = {"heard_at": NOW, "how": how} | fields
    return Acknowledgement.objects.create(**fields)


def make_gathering(**fields: Any) -> Gathering:
    """Make a posted evening, tomorrow from half past six to half past eight."""
    start = datetime(2026, 8, 13, 17, 30, tzinfo=UTC)
    fields = {
        "title": f"Pulling evening {next(_count)}",
        "stage": Stage.PULLING,
        "place": "The gate on the lane",
        "starts_at": start,
        "ends_at": start + timedelta(hours=2),
        "revised_at": NOW - timedelta(days=3),
    } | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    return Gathering.objects.create(**fields)


def make_station(**fields: Any) -> Station:
    fields = {
        "kind": StationKind.PULL,
        "title": f"Pullers {next(_count)}",
        "places": 2,
        "least_age": AgeBand.FROM_13,
    } | fields
    if "gathering" not in fields:
        fields["gathering"] = make_gathering()
    return Station.objects.create(**fields)


def make_sign_up(**fields: Any) -> SignUp:
    fields = {"status": SignUpStatus.HELD, "asked_at": NOW, "changed_at": NOW} | fields
    if "station" not in fields:
        fields["station"] = make_station()
    fields["gathering"] = fields["station"].gathering
    if "volunteer" not in fields:
        fields["volunteer"] = make_volunteer(
            demonstration=fields["gathering"].demonstration
        )
    return SignUp.objects.create(**fields)


def make_turnout(**fields: Any) -> Turnout:
    if "gathering" not in fields:
        fields["gathering"] = make_gathering()
    gathering = fields["gathering"]
    fields = {"arrived_at": gathering.starts_at, "left_at": gathering.ends_at} | fields
    if "volunteer" not in fields:
        fields["volunteer"] = make_volunteer(demonstration=gathering.demonstration)
    return Turnout.objects.create(**fields)


def make_entry(**fields: Any) -> Entry:
    fields = {"beets": 5, "entered_at": NOW} | fields
    if "gathering" not in fields:
        fields["gathering"] = make_gathering()
    if "volunteer" not in fields:
        fields["volunteer"] = make_volunteer(
            demonstration=fields["gathering"].demonstration
        )
    if "entered_by" not in fields:
        fields["entered_by"] = fields["volunteer"].user or make_user()
    return Entry.objects.create(**fields)


def make_dam(**fields: Any) -> Dam:
    fields = {
        "name": f"Dam {next(_count)}",
        "top_length_m": Decimal("8"),
        "top_width_m": Decimal("3"),
        "bottom_length_m": Decimal("7"),
        "bottom_width_m": Decimal("2"),
        "depth_m": Decimal("1.2"),
        "inflow_lps": Decimal("2"),
    } | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    return Dam.objects.create(**fields)


def make_ret(**fields: Any) -> Ret:
    fields = {
        "began_at": NOW - timedelta(days=5),
        "beets": 150,
        "water_depth_m": Decimal("1.1"),
    } | fields
    if "dam" not in fields:
        fields["dam"] = make_dam()
    return Ret.objects.create(**fields)


def make_past_ret(**fields: Any) -> Ret:
    """Make a ret that was lifted and whose water was made good since."""
    lifted = fields.setdefault("lifted_at", NOW - timedelta(days=20))
    made_good = {
        "began_at": lifted - timedelta(days=10),
        "water_went": Water.SPREAD,
        "water_leave": "River agency, letter of 2 July",
        "water_went_at": lifted,
        "clean_at": lifted,
    }
    return make_ret(**made_good | fields)


def make_reading(**fields: Any) -> Reading:
    fields = {"at": NOW, "temp_c": Decimal("16.0")} | fields
    if "ret" not in fields:
        fields["ret"] = make_ret()
    if "entered_by" not in fields:
        fields["entered_by"] = make_user()
    return Reading.objects.create(**fields)


def make_check(**fields: Any) -> Check:
    fields = {"at": NOW, "finding": Finding.FAST} | fields
    if "ret" not in fields:
        fields["ret"] = make_ret()
    if "entered_by" not in fields:
        fields["entered_by"] = make_user()
    return Check.objects.create(**fields)


def small_jpeg(number: int) -> bytes:
    """Draw a small JPEG, different for each number."""
    made = BytesIO()
    colour = (number % 256, number // 256 % 256, 90)
    Image.new("RGB", (24, 16), colour).save(made, "JPEG")
    return made.getvalue() + number.to_bytes(4, "big")


def make_picture(**fields: Any) -> Picture:
    """Make a picture's row, its files a few flat pixels."""
    number = next(_count)
    data = small_jpeg(number)
    fields = {
        "stage": Stage.PULLING,
        "original": ContentFile(data, name="original"),
        "large": ContentFile(data, name="large.jpg"),
        "small": ContentFile(data, name="small.jpg"),
        "width": 1600,
        "height": 1067,
        "sha256": hashlib.sha256(data).hexdigest(),
        "caption": f"Pulling, evening {number}",
        "alt_text": "Two people bend to pull flax in low light.",
        "taken_on": date(2026, 8, 11),
        "credit": "Orla Fenn",
        "licence": Licence.CC_BY,
        "shown": Shown.NOBODY,
        "is_published": True,
        "added_at": NOW,
    } | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    if "added_by" not in fields:
        fields["added_by"] = make_user()
    return Picture.objects.create(**fields)


def make_permission(**fields: Any) -> PaperPermission:
    fields = {
        "name": "Ellen Marsh",
        "signed_on": date(2026, 8, 11),
        "kept_where": "The green folder",
        "added_at": NOW,
    } | fields
    if "picture" not in fields:
        fields["picture"] = make_picture()
    if "added_by" not in fields:
        fields["added_by"] = make_user()
    return PaperPermission.objects.create(**fields)


def make_deleted_picture(**fields: Any) -> DeletedPicture:
    fields = {"sha256": "0" * 64, "reason": "Blurred.", "deleted_at": NOW} | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    if "deleted_by" not in fields:
        fields["deleted_by"] = make_user()
    return DeletedPicture.objects.create(**fields)
