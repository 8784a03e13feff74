"""Accounts: somebody who can sign in."""

from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.db import models
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from heritage.season.models import Demonstration


class UserManager(BaseUserManager["User"]):
    def create_user(
        self, email: str, password: str | None = None, **fields: Any
    ) -> "User":
        user = self.model(email=self.normalize_email(email), **fields)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def create_superuser(
        self, email: str, password: str | None = None, **fields: Any
    ) -> "User":
        fields |= {"is_staff": True, "is_superuser": True}
        return self.create_user(email, password, **fields)


class User(AbstractBaseUser, PermissionsMixin):
    """An account: somebody who can sign in, at any number of demonstrations."""

    email = models.EmailField(_("e-mail address"), unique=True)
    name = models.CharField(_("name"), max_length=120, blank=True)
    is_staff = models.BooleanField(_("keeper of the site"), default=False)
    is_active = models.BooleanField(_("may sign in"), default=True)

    objects = UserManager()

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = []

    class Meta:
        constraints = [
            models.UniqueConstraint(
                Lower("email"),
                name="user_email_once",
                violation_error_message=_("There is an account with this address."),
            )
        ]

    def __str__(self) -> str:
        return self.name or self.email

    def get_full_name(self) -> str:
        return self.name

    def get_short_name(self) -> str:
        return self.name.split(" ")[0]

    def demonstration_keys(self, *, organised: bool = False) -> Any:
        """Return the keys of the demonstrations this account belongs to."""
        if self.is_staff:
            return Demonstration.objects.values("pk")
        rows = self.volunteers.active()
        if organised:
            rows = rows.organisers()
        return rows.values("demonstration")
