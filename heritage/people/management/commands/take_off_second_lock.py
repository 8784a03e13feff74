"""Take the second lock off an account whose phone and spare codes are lost."""

from datetime import timedelta
from typing import Any

from allauth.mfa.models import Authenticator
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import gettext as _

from heritage.common import clock
from heritage.people.accounts import services
from heritage.people.models import User


class Command(BaseCommand):
    help = "Take the second lock off an account; make sure first who asks for it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("email", help="the account's e-mail address")

    def handle(self, *args: Any, **options: Any) -> None:
        """Take the lock and its spare codes away, and tell the account's owner."""
        user = User.objects.filter(email__iexact=options["email"]).first()
        if user is None:
            raise CommandError("There's no account with that address.")
        locks = Authenticator.objects.filter(user=user)
        if not locks.exists():
            raise CommandError("That account has no second lock.")
        locks.delete()
        address = settings.SITE_ADDRESS + reverse(settings.SECOND_LOCK_URL)
        services.write(
            address=user.email,
            subject=_("The second lock was taken off"),
            text=render_to_string(
                "people/mail/second_lock_off.txt", {"address": address}
            ),
            now=clock.now(),
            good_for=timedelta(days=1),
        )
        self.stdout.write(f"{user.email} now signs in with just a code by e-mail.")
