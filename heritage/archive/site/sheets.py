"""The season as a few plain pages that need no program, now or later."""

from collections.abc import Iterator
from datetime import date
from importlib.resources import files

from django.conf import settings
from django.template.loader import render_to_string

from heritage.archive.site.selectors import Story, stage_pages
from heritage.fibre.drawings import step_words
from heritage.kits.bag import Part
from heritage.public.process.selectors import process_season
from heritage.public.process.sheets import process_sheet

FOLDER = "website"


def pages(told: Story) -> Iterator[Part]:
    """Give the pages: the first, one or more for each stage, and their look."""
    look = files("heritage.archive.site").joinpath("look.css").read_bytes()
    yield Part(f"{FOLDER}/look.css", [look], is_text=True)
    yield _page("index", {"told": told}, "index.html")
    rows = [(step_words(one.step), one) for one in told.crop.account.steps]
    yield _page("crop", {"told": told, "crop": told.crop, "rows": rows}, "crop.html")
    for page in stage_pages(told):
        yield _page("stage", {"told": told, "page": page}, page.name)


def process_sheets(told: Story, printed_on: date) -> Iterator[Part]:
    """Give the sheet of each stage, as a visitor may print it."""
    home, season = told.demonstration, process_season(told.demonstration, told.made_at)
    for stage in told.stages:
        pdf = process_sheet(
            season.page(stage.stage.value),
            address=settings.SITE_ADDRESS + home.get_absolute_url(),
            printed_on=printed_on,
        )
        yield Part(f"{FOLDER}/{stage.sheet}", [pdf])


def _page(template: str, context: dict[str, object], name: str) -> Part:
    html = render_to_string(f"archive/site/{template}.html", context)
    return Part(f"{FOLDER}/{name}", [html.encode()], is_text=True)
