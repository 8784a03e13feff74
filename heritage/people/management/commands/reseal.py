"""Seal the second locks anew, after the site's secret key was changed."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from heritage.people.accounts.services import reseal_all


class Command(BaseCommand):
    help = (
        "Seal every second lock under SECRET_KEY. Run it once after changing the key, "
        "with the old one in SECRET_KEY_FALLBACKS; then the old one may go."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        """Seal what opens; name the accounts whose locks do not, and what to do."""
        done, shut = reseal_all()
        self.stdout.write(f"Sealed under the key in use: {done}.")
        if shut:
            raise CommandError(
                f"Sealed with a key that isn't here, so left as they are: "
                f"{', '.join(shut)}. Put the old key into SECRET_KEY_FALLBACKS and run "
                f"this again. Lost it? Run manage.py take_off_second_lock for each."
            )
