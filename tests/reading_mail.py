"""How a test reads a letter: its words in either form, and its calendar part."""

import re
from email import message_from_bytes, policy
from html.parser import HTMLParser


def arrived(letter):
    """Return a letter from the outbox as a mail reader gets it."""
    sent = letter.message().as_bytes(linesep="\r\n")
    return message_from_bytes(sent, policy=policy.default)


def calendar_methods(letter):
    """Return the method of each calendar part of a letter."""
    parts = arrived(letter).walk()
    found = [part for part in parts if part.get_content_type() == "text/calendar"]
    return [part["Content-Type"].params["method"] for part in found]


class _Words(HTMLParser):
    def __init__(self):
        super().__init__()
        self.said, self.inside = [], False

    def handle_starttag(self, tag, attrs):
        self.inside = self.inside or tag == "body"
        self.said.append(" " if tag in ("p", "br", "body") else "")

    def handle_data(self, data):
        self.said.append(data if self.inside else "")


def words_of_html(html):
    """Return what an HTML letter says, word by word."""
    reader = _Words()
    reader.feed(html)
    return "".join(reader.said).split()


def addresses_in(html):
    """Return all that an HTML letter would have a reader open or fetch."""
    return re.findall(r'(?:src|href|url\()=?"?([^"\s>)]+)', html)
