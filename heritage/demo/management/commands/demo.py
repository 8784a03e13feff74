"""Set up the demonstration for show, and serve it."""

from datetime import timedelta
from io import StringIO
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandParser
from django.db import connection, transaction

from heritage.common.chores import note_done
from heritage.common.models import Chore
from heritage.common.triggers import unsealed
from heritage.dam.models import Ret
from heritage.demo.crop import AfterTheDam, Growing
from heritage.demo.dam import TreadingShow
from heritage.demo.ground import Ground
from heritage.demo.places import fill_the_next
from heritage.demo.season import Carrowlint, read_moments, read_scenario
from heritage.season.models import Demonstration


class Command(BaseCommand):
    help = "Set up an invented demonstration at a moment of its season, and serve it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument(
            "--moment",
            choices=[*read_moments()],
            default="pulling",
            help="the field in flower, the pulling, or the scutching at the end",
        )
        parser.add_argument(
            "--fresh", action="store_true", help="throw the old show away first"
        )
        parser.add_argument(
            "--no-serve", action="store_true", help="set it up, but do not serve it"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        self.say("The database")
        call_command("migrate", verbosity=0)
        if options["fresh"]:
            with unsealed(connection):
                call_command("flush", interactive=False, verbosity=0)
        scenario = read_scenario(options["moment"])
        known = Demonstration.objects.filter(name=scenario["demonstration"]["name"])
        if shown := known.first():
            self.say("The demonstration is there already; --fresh makes it anew")
            slug = shown.slug
        else:
            slug = self.make(scenario)
        if not options["no_serve"]:
            self.say("The type")
            call_command("build_fonts", stdout=StringIO())
        self.tell(scenario, slug, options["port"])
        if not options["no_serve"]:
            call_command(
                "runserver", f"127.0.0.1:{options['port']}", use_reloader=False
            )

    def make(self, scenario: dict[str, Any]) -> str:
        """Make the show whole or not at all; nobody is sent mail about it."""
        with transaction.atomic():
            season = Carrowlint(scenario, self.say)
            here = season.make()
            self.say("The crop")
            Growing(here, season.organiser, season.now).make()
            AfterTheDam(here, season.organiser, season.now).make()
            self.say("The ground, the machines and who can do what")
            Ground(here, season.organiser, season.now).make()
            if tomorrow := season.by_day.get(
                str(season.now.date() + timedelta(days=1))
            ):
                fill_the_next(
                    tomorrow,
                    crew=season.willing,
                    asked=season.crew[2],
                    by=season.organiser,
                    now=season.now,
                )
            if Ret.objects.of(here).going().exists():
                TreadingShow(here, season.organiser, season.now).make()
            # What waits for the commit is mail about a season that never was.
            transaction.get_connection().run_on_commit.clear()
            for chore in Chore:
                note_done(chore=chore, now=season.now)
        return here.slug

    def say(self, step: str) -> None:
        self.stdout.write(f"  {step}")
        self.stdout.flush()

    def tell(self, scenario: dict[str, Any], slug: str, port: int) -> None:
        """Say where to look and whom to sign in as."""
        here = f"http://127.0.0.1:{port}"
        roles = ("organiser", "lead", "volunteer", "visitor")
        accounts = "\n".join(
            f"    {role:<10} {scenario[role]['email']}" for role in roles
        )
        self.stdout.write(
            f"\n{scenario['about']}\n"
            f"Its clock starts at {scenario['now']} each time it is served.\n\n"
            f"  Visitors   {here}/at/{slug}/\n"
            f"  Organiser  {here}/at/{slug}/today/\n\n"
            f"  Sign in at {here}/account/login/\n{accounts}\n"
            "  Mail, with the code to sign in by, is printed here.\n"
        )
