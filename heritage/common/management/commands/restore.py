"""Bring a backup back into an empty installation."""

import tarfile
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from heritage.common.backup import BackupError, restore_backup


class Command(BaseCommand):
    help = "Bring a backup back into an empty database and an empty store of files."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="what `backup` wrote")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        try:
            manifest = restore_backup(file)
        except (BackupError, OSError, tarfile.TarError) as error:
            raise CommandError(f"Nothing was restored. {error}") from error
        rows = sum(table["rows"] for table in manifest["tables"].values())
        self.stdout.write(
            f"Restored as of {manifest['made_at']}: {rows:,} rows and "
            f"{len(manifest['files']):,} files, each read back and compared."
        )
        for name in manifest["missing"]:
            self.stderr.write(f"Was missing already when it was made: {name}")
