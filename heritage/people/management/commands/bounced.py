"""Take in a mail server's report on a letter that could not be delivered."""

import sys
from typing import Any

from django.core.management.base import BaseCommand
from django.db import OperationalError

from heritage.common import clock
from heritage.kits.delivery import LONGEST, read_failure
from heritage.people.letters import services

# sysexits.h: the mail server keeps the report and tries again.
TRY_LATER = 75


class Command(BaseCommand):
    help = "Read a delivery report (RFC 3464) from standard input; mark its letter."

    def handle(self, *args: Any, **options: Any) -> None:
        """Mark the letter; what is no report of ours is let pass, not refused."""
        failure = read_failure(sys.stdin.buffer.read(LONGEST))
        if failure is None:
            self.stdout.write("No failure is reported here.")
            return
        try:
            letter = services.note_failure(failure=failure, now=clock.now())
        except OperationalError:
            sys.exit(TRY_LATER)
        self.stdout.write(
            f"{str(letter._meta.verbose_name).capitalize()} {letter.pk} came back."
            if letter
            else "No letter of ours, or not known which."
        )
