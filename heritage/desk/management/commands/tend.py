"""Do what is due: the one command that a timer calls every few minutes."""

import logging
from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from heritage.common import clock
from heritage.common.chores import note_done
from heritage.common.models import Chore
from heritage.dam.learning.services import learn_from_past
from heritage.dam.treading.services import let_go_of_gone
from heritage.desk.scores.services import note_all
from heritage.gatherings.letters.services import remind
from heritage.gatherings.places.services import fill_queues, lapse_overdue
from heritage.people.accounts import services as account_letters
from heritage.people.letters import services as letters
from heritage.people.particulars.services import bring_all_ages_up_to_date

log = logging.getLogger(__name__)

Task = Callable[[datetime], int]
# Each may be done by several processes at once: what one has done, none does again.
# Letters come last, so that what the others wrote goes in the same round.
TASKS: dict[str, Task] = {
    "places passed on": lapse_overdue,
    "places given": fill_queues,
    "turns at the dam let go": let_go_of_gone,
    "birthdays kept": lambda now: bring_all_ages_up_to_date(now=now),
    "past rets learned from": learn_from_past,
    "forecasts noted": note_all,
    "reminders": lambda now: remind(now=now),
    "letters about accounts sent": lambda now: account_letters.send_due(now=now),
    "letters sent": lambda now: letters.send_due(now=now),
}


class Command(BaseCommand):
    help = "Pass on unanswered places, remind of tomorrow, send e-mails that are due."

    def handle(self, *args: Any, **options: Any) -> None:
        """Do each task by itself: what fails in one does not hold up the next."""
        now, failed = clock.now(), []
        for name, task in TASKS.items():
            try:
                done = task(now)
            except Exception:
                log.exception("tend: %s", name)
                failed.append(name)
                continue
            if done or options["verbosity"] > 1:
                self.stdout.write(f"{done} {name}")
        trouble = f"Failed: {', '.join(failed)}." if failed else ""
        note_done(chore=Chore.TEND, now=now, trouble=trouble)
        if failed:
            raise CommandError(f"{trouble} The log says why.")
