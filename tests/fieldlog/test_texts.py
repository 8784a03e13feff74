"""The field page's script says only what the page hands it, so it can be translated."""

import re
from pathlib import Path

import pytest

from heritage.fieldlog.words import phone_texts

pytestmark = pytest.mark.any_database
SCRIPTS = sorted(Path("heritage/fieldlog/static/fieldlog").glob("*.js"))
SENTENCE = re.compile(r"[a-z]{2,}[.,:;]? [a-z“]{2,}", re.I)
# Classes, places on the page, and what is said to nobody but the browser's own log.
NOT_SAID = re.compile(r"^(act-|[#.\[]|The server answered )")


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.name)
def test_no_sentence_stands_in_a_script(script):
    code = re.sub(r"(?m)//.*$", "", script.read_text())
    literals = re.findall(r'"([^"\n]*)"|`([^`]*)`', code)
    said = [re.sub(r"\$\{[^}]*\}", "", one or other) for one, other in literals]
    assert [t for t in said if SENTENCE.search(t) and not NOT_SAID.match(t)] == []


def test_every_text_that_a_script_asks_for_is_there():
    texts = phone_texts()
    asked = {
        name
        for script in SCRIPTS
        for name in re.findall(r'tell\(\s*"(\w+)"', script.read_text())
    }
    assert asked
    assert asked <= texts.keys()
    mends = re.search(r"const MENDS = \{(.*?)\};", _slips(), re.S)
    assert mends
    named = {f"mend_{kind}" for kind in re.findall(r"(\w+): \[", mends[1])}
    assert named == {name for name in texts if name.startswith("mend_")}


def _slips() -> str:
    return next(path for path in SCRIPTS if path.name == "slips.js").read_text()
