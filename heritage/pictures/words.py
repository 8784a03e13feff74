"""What a picture's copies say of themselves: the words inside, and the file's name."""

from typing import Final

from django.utils.formats import date_format
from django.utils.text import slugify
from django.utils.translation import gettext as _

from heritage.kits.photo_words import PhotoWords
from heritage.pictures.models import Licence, Picture
from heritage.season.models import Stage, Tool

LICENCE_URLS: Final = {
    Licence.CC_BY: "https://creativecommons.org/licenses/by/4.0/",
    Licence.CC_BY_SA: "https://creativecommons.org/licenses/by-sa/4.0/",
    Licence.CC0: "https://creativecommons.org/publicdomain/zero/1.0/",
    Licence.RESERVED: "",
}
NAME_LENGTH = 60
NO_BREAK = "\N{NO-BREAK SPACE}"


def carried(picture: Picture) -> PhotoWords:
    """Return what each copy of a picture carries inside; never where by numbers."""
    home, licence = picture.demonstration, Licence(picture.licence)
    return PhotoWords(
        title=picture.caption,
        caption=picture.caption,
        alt_text=picture.alt_text,
        creator=picture.credit,
        credit=credit_line(picture),
        rights=rights(picture),
        licence=str(licence.label),
        licence_url=LICENCE_URLS[licence],
        source=home.name,
        place=home.place_name,
        keywords=tuple(
            dict.fromkeys(
                (
                    str(Stage(picture.stage).label),
                    *tool_name(picture),
                    home.crop,
                    str(home.year),
                    *picture.keyword_list,
                )
            )
        ),
        taken_on=picture.taken_on,
    )


def tool_name(picture: Picture) -> list[str]:
    """Name the tool that a picture is of, if it is of one."""
    return [str(Tool(picture.tool).label)] if picture.tool else []


def credit_line(picture: Picture) -> str:
    """Say what is to stand beside the picture wherever it is used."""
    return f"{picture.credit} / {picture.demonstration.name}"


def rights(picture: Picture) -> str:
    """Say whose the picture is and what others may do with it, in one line."""
    licence = Licence(picture.licence)
    if licence == Licence.CC0:
        return _("Given to everybody by %s (CC0 1.0)") % picture.credit
    notice = f"© {picture.taken_on.year} {picture.credit}"
    if licence == Licence.RESERVED:
        return _("%s, all rights reserved") % notice
    return f"{notice}, {licence.value}"


def beside(picture: Picture) -> str:
    """Say whose a picture is, of which day, and what others may do with it."""
    day = date_format(picture.taken_on, "j F Y").replace(" ", NO_BREAK)
    licence = Licence(picture.licence)
    others_may = licence.label if licence == Licence.RESERVED else licence.value
    return f"{picture.credit}, {day} ({others_may})"


def cleared_for(picture: Picture) -> str:
    """Say who may see a picture, as far as those in it have agreed."""
    if picture.hidden_at:
        return _("nobody, hidden for good")
    if not picture.is_published:
        return _("members alone")
    if picture.for_press:
        return _("visitors, paper, press")
    return _("visitors, paper")


def file_name(picture: Picture, ending: str = "jpg") -> str:
    """Name a copy by what it shows: its day, its stage and its caption."""
    stage = slugify(str(Stage(picture.stage).label))
    caption = slugify(picture.caption)
    if len(caption) > NAME_LENGTH:
        # At the end of a word, unless it is one long one.
        whole = caption[: NAME_LENGTH + 1].rpartition("-")[0]
        caption = whole or caption[:NAME_LENGTH]
    parts = (picture.taken_on.isoformat(), stage, caption)
    name = "-".join(part for part in parts if part)
    return f"{name}-{picture.pk}.{ending}"
