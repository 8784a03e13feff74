"""The words that stand until an organiser publishes their own. All are our own."""

from heritage.people.models import Subject

NOTICE = """\
The organisers hold your name, how to reach you, whom to call in an emergency, how \
old you are, the gatherings you signed up for and came to, what you did there, and \
which safety briefings you heard.

They hold it to run the work, to keep people safe and to thank you rightly, and for \
nothing else. Other volunteers read your name, and of a child the first name only. \
The lead of an evening also reads how to reach you.

You can see and correct this on your own page. Ask an organiser if you want a copy, \
or want it deleted. If you are not content with the answer, tell them so: they owe \
you a reply."""

PHOTOGRAPH = """\
Pictures in which I can be recognised may be shown on the public pages of this \
demonstration, on its printed sheets and in its record of the season.

I can take this back whenever I like, on my own page or by telling an organiser. Then \
the pictures come off the pages at once. What is printed by then cannot be called \
back, but it is not printed again.

It makes no difference to the work I may do."""

HEALTH = """\
The note I write here is kept for the organisers and for the first-aider of the day. \
Nobody else reads it, and it is never printed.

It is deleted on the day shown beside it, and at once when I take it back. I need not \
write one, and I lose nothing if I do not."""

STARTING_WORDS = {
    Subject.NOTICE: NOTICE,
    Subject.PHOTOGRAPH: PHOTOGRAPH,
    Subject.HEALTH: HEALTH,
}
