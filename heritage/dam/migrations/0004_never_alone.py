"""A turn is in the book as trodden by two or more, or says why one trod alone."""

from django.db import migrations

from heritage.common.triggers import KeptByTriggers, Rule

WORDS = "treading_never_alone: two or more trod, or it says why one did."
COUNT = "SELECT COUNT(*) FROM dam_treader WHERE turn_id = {turn} AND trod"
REFUSE = f"RAISE EXCEPTION '{WORDS}' USING ERRCODE = 'check_violation';"

# Written down: the people are marked first, then the turn.
WRITTEN = "NEW.trodden_at IS NOT NULL AND NEW.why_alone = ''"
ON_TURN = (
    f"SELECT RAISE(ABORT, '{WORDS}')"
    f" WHERE {WRITTEN} AND ({COUNT.format(turn='NEW.id')}) < 2"
)
ON_TURN_PG = (
    f"IF {WRITTEN} AND ({COUNT.format(turn='NEW.id')}) < 2 THEN {REFUSE} END IF;"
)
# Taken back of one of them. Rows may still be forgotten, when their time is over.
STANDS = (
    "SELECT 1 FROM dam_treading WHERE id = OLD.turn_id"
    " AND trodden_at IS NOT NULL AND why_alone = ''"
)
ON_TREADER = (
    f"SELECT RAISE(ABORT, '{WORDS}')"
    f" WHERE EXISTS ({STANDS}) AND ({COUNT.format(turn='OLD.turn_id')}) < 2"
)
# The turn's row is held, so that two at once do not each count the other.
ON_TREADER_PG = (
    "PERFORM 1 FROM dam_treading WHERE id = OLD.turn_id FOR UPDATE;"
    f" IF EXISTS ({STANDS}) AND ({COUNT.format(turn='OLD.turn_id')}) < 2"
    f" THEN {REFUSE} END IF;"
)
RULES = [
    Rule(
        "dam_treading_inserted_alone",
        "dam_treading",
        "AFTER INSERT",
        ON_TURN,
        ON_TURN_PG,
    ),
    Rule(
        "dam_treading_never_alone",
        "dam_treading",
        "AFTER UPDATE OF trodden_at, why_alone",
        ON_TURN,
        ON_TURN_PG,
    ),
    Rule(
        "dam_treader_never_alone",
        "dam_treader",
        "AFTER UPDATE OF trod, turn_id",
        ON_TREADER,
        ON_TREADER_PG,
    ),
]


class Migration(migrations.Migration):
    dependencies = [("dam", "0003_treading_rota")]

    operations = [KeptByTriggers(RULES)]
