"""What the house changes of Django itself: what a field says of what was typed."""

from typing import Any, Final

from django import forms
from django.apps import AppConfig
from django.core import validators
from django.db import models
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

EMPTY: Final = _("Please fill this in.")
NOT_LISTED: Final = _("Choose one from the list.")
# Of each kind of field, what it says instead of Django's own words.
FIELDS: Final[dict[Any, dict[str, Promise]]] = {
    forms.Field: {"required": EMPTY},
    forms.ChoiceField: {
        "required": _("Please choose one."),
        "invalid_choice": NOT_LISTED,
    },
    forms.ModelChoiceField: {
        "required": _("Please choose one."),
        "invalid_choice": NOT_LISTED,
    },
    forms.MultipleChoiceField: {
        "required": _("Please tick at least one."),
        "invalid_choice": _("Choose from the list."),
    },
    forms.ModelMultipleChoiceField: {
        "required": _("Please tick at least one."),
        "invalid_choice": _("Choose from the list."),
    },
    forms.BooleanField: {"required": _("Please tick this.")},
    forms.FileField: {
        "required": _("Choose a file."),
        "missing": _("Choose a file."),
        "empty": _("This file is empty. Choose another."),
    },
    forms.ImageField: {
        "invalid_image": _("We can't read this picture. Choose another.")
    },
    forms.IntegerField: {"invalid": _("Enter a whole number, like 12.")},
    forms.DecimalField: {"invalid": _("Enter a number, like 12.5.")},
    forms.DateField: {"invalid": _("Enter a date, like 2026-08-12.")},
    forms.TimeField: {"invalid": _("Enter a time, like 18:30.")},
    forms.DateTimeField: {"invalid": _("Enter a date and a time.")},
    models.Field: {"blank": EMPTY, "null": EMPTY},
}
LIMITS: Final[dict[Any, Promise]] = {
    validators.MinValueValidator: _("Enter %(limit_value)s or more."),
    validators.MaxValueValidator: _("Enter %(limit_value)s or less."),
    validators.MaxLengthValidator: _(
        "Shorten it: this has %(show_value)d letters, and %(limit_value)d fit."
    ),
    validators.EmailValidator: _("Enter an e-mail address, like name@example.com."),
}


class CommonConfig(AppConfig):
    """The ground that every subject stands on."""

    name = "heritage.common"

    def ready(self) -> None:
        """Say in our words what is wrong with a field."""
        for field, words in FIELDS.items():
            # A dict of its own, where a kind of field shares that of another.
            field.default_error_messages = field.default_error_messages | words
        for limit, said in LIMITS.items():
            limit.message = said
