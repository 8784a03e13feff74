"""Write the whole site into one file."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from heritage.common import clock
from heritage.common.backup import BackupError, write_backup


class Command(BaseCommand):
    help = "Write the database and the files into one new file, while the site runs."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path, help="where the file is written")

    def handle(self, *args: Any, folder: Path, **options: Any) -> None:
        if not folder.is_dir():
            raise CommandError(f"There's no folder {folder}. Make it first.")
        try:
            path = write_backup(folder, clock.now())
        except (BackupError, OSError) as error:
            raise CommandError(f"No backup was written. {error}") from error
        self.stdout.write(f"{path}: {path.stat().st_size:,} bytes, read through once.")
