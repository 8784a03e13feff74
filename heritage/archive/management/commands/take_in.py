"""Take a season's package in again, into an empty site."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from heritage.archive.taking_in.services import TakenIn, take_in


class Command(BaseCommand):
    help = (
        "Check the package of a season, and take it in again. The site must be empty."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the zip that “Save it” gave")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        self.stdout.write("Checking every file of the package")
        try:
            with file.open("rb") as stored:
                self.report(take_in(file=stored, tell=self.tell))
        except (ValidationError, OSError) as error:
            said = getattr(error, "messages", [str(error)])
            raise CommandError("Nothing was taken in. " + "\n".join(said)) from error

    def tell(self, what: str, count: int) -> None:
        self.stdout.write(f"  {what}: {count:,}")

    def report(self, taken: TakenIn) -> None:
        """Say what came in, and what could not."""
        self.stdout.write(
            f"Taken in: {taken.demonstration}, {taken.rows:,} rows and "
            f"{taken.pictures:,} pictures."
        )
        if taken.lost:
            self.stderr.write(f"Pictures without their file: {taken.lost:,}.")
        if taken.shut_out:
            self.stderr.write(
                f"Accounts without an e-mail address, so nobody can sign in to them: "
                f"{taken.shut_out:,}."
            )
        for name in taken.as_usual:
            self.stderr.write(f"Not in the package, so left as usual: {name}.")
