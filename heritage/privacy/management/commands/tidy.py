"""Say what is due to be deleted and, if told so, delete it."""

from argparse import ArgumentParser
from typing import Any

from django.core.files.storage import default_storage
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django_tasks import DEFAULT_TASK_BACKEND_ALIAS, task_backends
from django_tasks_db import DatabaseBackend

from heritage.common import clock
from heritage.common.chores import note_done
from heritage.common.models import Chore
from heritage.common.store import strays
from heritage.people.models import AccountLetter
from heritage.printing.services import drop_old
from heritage.privacy.keeping.selectors import MONTH, due_report
from heritage.privacy.keeping.services import tidy
from heritage.season.models import Demonstration


class Command(BaseCommand):
    help = "Say what is due to be deleted by the rules; with --carry-out delete it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        how = parser.add_mutually_exclusive_group()
        how.add_argument(
            "--dry-run", action="store_true", help="only say what is due (the default)"
        )
        how.add_argument("--carry-out", action="store_true", help="delete what is due")

    def handle(self, *args: Any, **options: Any) -> None:
        """Go through every demonstration; each class is all or nothing."""
        now, carry_out = clock.now(), options["carry_out"]
        for demonstration in Demonstration.objects.order_by("pk"):
            for line in due_report(demonstration, now).lines:
                self._say(demonstration, line)
            if carry_out:
                for row in tidy(demonstration=demonstration, now=now):
                    self.stdout.write(f"{demonstration.slug}: deleted {row}")
        for name in strays(now):
            # Left by a write that broke off: no page and no erasing reaches it.
            if carry_out:
                default_storage.delete(name)
            done = "deleted" if carry_out else "due"
            self.stdout.write(f"a file that no row names, {done}: {name}")
        if carry_out:
            # Those of no demonstration, to addresses that were never anybody's here.
            AccountLetter.objects.written_before(now - MONTH).delete()
            drop_old(now=now)
            call_command("clearsessions")
            if isinstance(task_backends[DEFAULT_TASK_BACKEND_ALIAS], DatabaseBackend):
                call_command("prune_db_task_results", queue_name="*")
            note_done(chore=Chore.TIDY, now=now)
        else:
            self.stdout.write("Nothing was deleted: --carry-out does that.")

    def _say(self, demonstration: Demonstration, line: Any) -> None:
        if line.due:
            self.stdout.write(f"{demonstration.slug}: {line.rule.key} {line.due} due")
        for held in line.held:
            self.stdout.write(
                f"{demonstration.slug}: {line.rule.key} {held.rows} held. {held.why}"
            )
