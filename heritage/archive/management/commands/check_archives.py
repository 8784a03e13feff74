"""Read every archive through, and say which is no longer whole."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from heritage.archive.models import Archive
from heritage.archive.services import read_through
from heritage.archive.words import FINDINGS
from heritage.common import clock


class Command(BaseCommand):
    help = "Read every season's archive through and compare each file with its hash."

    def handle(self, *args: Any, **options: Any) -> None:
        """Go through all; the end says how many are not whole."""
        broken = 0
        for archive in Archive.objects.made().select_related("demonstration"):
            archive = read_through(archive=archive, now=clock.now())
            where = archive.demonstration.slug
            if archive.is_whole:
                self.stdout.write(f"{where}: whole, {archive.octets:,} bytes")
                continue
            broken += 1
            for wrong, path in archive.wrong_files:
                self.stdout.write(f"{where}: {FINDINGS[wrong]} {path}".rstrip())
        if broken:
            raise CommandError(
                f"{broken} not whole. Make a new archive, or restore it."
            )
