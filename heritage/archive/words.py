"""What is said of an archive that is not whole."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.kits.bag_check import Wrong

GONE: Final = "gone"
FINDINGS: Final[dict[str, str | Promise]] = {
    GONE: _("Its file is gone from the store."),
    Wrong.NO_BAG: _("Its file is damaged and cannot be opened."),
    Wrong.DECLARATION: _("It no longer says what kind of package it is."),
    Wrong.NO_MANIFEST: _("Its list of files is gone."),
    Wrong.LINE: _("Its list of files is damaged."),
    Wrong.PATH: _("It lists a file that has no place in it."),
    Wrong.TWICE: _("A file is in it twice."),
    Wrong.MISSING: _("A file is missing."),
    Wrong.UNLISTED: _("A file is in it that was not there."),
    Wrong.CHANGED: _("A file has changed."),
    Wrong.OXUM: _("Its count of files or bytes is wrong."),
    Wrong.NO_FILE: _("Something in it is no plain file."),
    Wrong.OUTSIZED: _("A file would unpack far larger than it should."),
    Wrong.REPLACED: _("Somebody else has made it again."),
}
