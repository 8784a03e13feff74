"""What a model says that it holds of people, in a class beside its ``Meta``.

``class Privacy(Holds)`` names each field that leads to a person and says whose row it
is (`About`), who wrote it (`Wrote`, `Counted`), or why it is not told of (`Untold`);
where people write in their own words (`FreeWords`); and by which rule rows go (`Kept`).
What is held, searched, exported, erased, merged and tidied all follows from that alone,
and a test fails for a model that says nothing.

Words on a page come from the model: a column is called by its ``verbose_name``, a
moment without the "at", another row by the field that leads to it.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from enum import Enum, auto
from typing import Any, ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

# Words that are translated when they are read, and rows; Django names no type for both.
Words = Any
Rows = Any

# Why a text is left as it stands, though it names somebody who is erased.
SEALED = _("What has been written down there is never changed.")
ANOTHERS = _("It is somebody else's own: ask them to change it.")
AS_HEARD = _(
    "It is the proof of what people were told; a new version can leave it out."
)
# Why a text is not searched for names.
KEY = "A key, or a name of ours for a row."
CODE = "A figure, a code or a choice, not free words."
OWN = "The person's own, or another person's name on the list."
MADE = "Made from other fields that are searched."


@dataclass(frozen=True, slots=True)
class Erased:
    """What an erasing does with somebody's rows; ``which`` of them, or all.

    ``what`` are the words for them, where the model's own would not do.
    """

    what: Words = ""
    why: Words = ""
    which: Callable[[Rows, datetime], Rows] | None = None


class Deleted(Erased):
    """The rows go."""


class Emptied(Erased):
    """The row stays without the person's own words, by its own subject's service."""


class Parted(Erased):
    """The row stays and is the person's no more, by its own subject's service."""


class Stays(Erased):
    """The row stays, for the reason given; without a reason it is not told of."""


class Merged(Enum):
    """What becomes of a row when its person's line is merged into another."""

    MOVES = auto()
    # A subject's own service carries it over.
    OWN_WAY = auto()
    STAYS = auto()


@dataclass(frozen=True, slots=True)
class Meets:
    """A person has one row for each ``key``: how two become one, in words.

    With ``first``, a moment, the earlier row stays; else a service decides.
    """

    key: str
    words: Words
    first: str = ""


@dataclass(frozen=True, slots=True)
class About:
    """Rows about the person a field leads to: shown to them, erased and merged.

    ``columns`` are paths from the row, each as ``path`` or ``key=path``.
    """

    key: str
    title: Words
    why: Words
    columns: str
    erased: Erased | Sequence[Erased] = field(kw_only=True)
    merged: Merged | Meets = field(default=Merged.MOVES, kw_only=True)
    order: str = field(default="pk", kw_only=True)


@dataclass(frozen=True, slots=True)
class Wrote:
    """Rows that an account wrote: shown to its owner, ordered by the last column."""

    key: str
    title: Words
    columns: str


@dataclass(frozen=True, slots=True)
class Counted:
    """Rows that an account wrote about others: only their number is told."""

    what: Words
    when: str


@dataclass(frozen=True, slots=True)
class Untold:
    """A field that leads to a person and is not told of, with the reason."""

    reason: str
    merged: Merged = Merged.MOVES


@dataclass(frozen=True, slots=True)
class FreeWords:
    """Words in which somebody may be named: every text of the table but `unsearched`.

    ``what`` a row is, ``page`` where it can be changed and the paths to what its
    address takes; ``stays`` says why it is not to be changed.
    """

    what: Words
    page: str
    takes: Sequence[str] = ("pk",)
    stays: Words = ""


@dataclass(frozen=True, slots=True)
class Kept:
    """By which rule rows go: ``only`` some, whose time to go lies before its moment.

    ``due`` is a lookup, or a queryset's method that takes the moment. With a reason
    ``why`` these are held back instead.
    """

    rule: str
    due: str | Callable[[Rows, Any], Rows]
    only: Q = field(default_factory=Q)
    why: Words = ""


Fact = About | Wrote | Counted | Untold


class Holds:
    """What one model holds of people; as it stands, nothing.

    A field that leads to a person is named with its `Fact`; a person's own row is
    ``pk``. ``called`` is what a reader knows the rows as, ``labels`` are words for
    columns where the field's own would not do. Of ``unsearched`` texts, and of a table
    that is ``not_given`` in the archive, the reason is said; one that stands ``apart``
    is given only where its kind is ticked. ``home`` leads to the demonstration where
    the rows' queryset has no ``demonstration_path``.
    """

    called: ClassVar[Words] = ""
    labels: ClassVar[Mapping[str, Words]] = {}
    words: ClassVar[FreeWords | None] = None
    unsearched: ClassVar[Mapping[str, str]] = {}
    rules: ClassVar[Sequence[Kept]] = ()
    apart: ClassVar[str] = ""
    not_given: ClassVar[str] = ""
    home: ClassVar[str] = ""

    @classmethod
    def facts(cls) -> dict[str, Fact]:
        """Return what is said of each field that leads to a person."""
        return {name: one for name, one in vars(cls).items() if isinstance(one, Fact)}


class _Addresses(Holds):
    user = About(
        "addresses", _("Addresses of the account"),
        _("To send you the code for signing in."), "email verified primary",
        erased=Deleted(),
    )  # fmt: skip
    labels = {
        "email": _("e-mail address"),
        "verified": _("checked"),
        "primary": _("the one we write to"),
    }


class _SecondSteps(Holds):
    user = About(
        "second_steps", _("Second step of signing in"),
        _("To keep others out of your account. The secret itself is shown to nobody."),
        "type created_at last_used_at",
        erased=Deleted(),
    )  # fmt: skip
    labels = {"type": _("kind"), "created_at": _("set up")}


# Tables of the libraries, which cannot say it themselves.
OF_LIBRARIES = {
    "account.EmailAddress": _Addresses,
    "mfa.Authenticator": _SecondSteps,
    # Codes on their way, gone within minutes; letters on their way, told of as letters.
    "account.EmailConfirmation": Holds,
    "django_tasks_database.DBTaskResult": Holds,
    # Signed-in browsers: sealed, and deleted when they end.
    "sessions.Session": Holds,
    # Nothing of ours uses these.
    "auth.Permission": Holds,
    "auth.Group": Holds,
    "contenttypes.ContentType": Holds,
}


def holds_of(model: type[models.Model]) -> type[Holds]:
    """Return what a model says that it holds; nothing where it says nothing."""
    holds: type[Holds] | None = getattr(model, "Privacy", None)
    return holds or OF_LIBRARIES.get(model._meta.label, Holds)


@dataclass(frozen=True, slots=True)
class Column:
    """One thing said in each row: its key, what it is called, and where it stands."""

    key: str
    label: Words
    path: str


def column(model: type[models.Model], written: str) -> Column:
    """Read ``path`` or ``key=path``; a row's name is called by what leads to it."""
    key, _equals, path = written.rpartition("=")
    owners = steps(model, path)
    if len(owners) > 1 and owners[-1][1].name in ("title", "name"):
        owners.pop()
    owner, model_field = owners[-1]
    words = holds_of(owner).labels.get(model_field.name) or _bare(model_field)
    return Column(key or model_field.name, words, path)


def _bare(model_field: Any) -> str:
    words = str(getattr(model_field, "verbose_name", model_field.name))
    is_moment = isinstance(model_field, models.DateTimeField)
    return words.removesuffix(" at") if is_moment else words


def steps(model: type[models.Model], path: str) -> list[tuple[type[models.Model], Any]]:
    """Return each field along a path, with the model that has it."""
    fields: list[tuple[type[models.Model], Any]] = []
    for name in path.split("__"):
        one: Any = model._meta.pk if name == "pk" else model._meta.get_field(name)
        fields.append((model, one))
        model = one.related_model or model
    return fields


def choices(model: type[models.Model], path: str) -> dict[object, str]:
    """Return the words of a field's choices; empty where it has none."""
    chosen = steps(model, path)[-1][1]
    return {value: str(words) for value, words in getattr(chosen, "flatchoices", ())}


def texts(model: type[models.Model]) -> list[str]:
    """Return the fields in which anybody may write: no choice, address or own key."""
    return [
        one.name
        for one in model._meta.concrete_fields
        if isinstance(one, models.CharField | models.TextField | models.JSONField)
        and not isinstance(one, models.URLField | models.EmailField)
        and not one.choices
        and not one.unique
    ]
