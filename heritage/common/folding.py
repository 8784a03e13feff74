"""How a form lies on the page: in which order, and what of it is folded away.

::

    self.helper = layout_of("title", Row("day", "starts"), Fold(_("More"), "note"))
"""

from collections.abc import Callable
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, LayoutObject
from crispy_forms.utils import TEMPLATE_PACK
from django.utils.html import format_html
from django.utils.safestring import SafeString


class Fold(LayoutObject):  # type: ignore[misc]
    """Fields behind a word or two, open where one of them is to be checked.

    ``is_open`` tells of a form whether there is another reason.
    """

    def __init__(
        self, words: Any, *fields: Any, is_open: Callable[[Any], bool] | None = None
    ) -> None:
        self.words, self.fields = words, list(fields)
        self.is_open = is_open

    def render(
        self, form: Any, context: Any, template_pack: str = TEMPLATE_PACK, **kwargs: Any
    ) -> SafeString:
        names = {pointer.name for pointer in self.get_field_names()}
        is_open = not names.isdisjoint(form.errors)
        is_open = is_open or bool(self.is_open and self.is_open(form))
        inside = self.get_rendered_fields(form, context, template_pack, **kwargs)
        words = "<details{}><summary>{}</summary>{}</details>"
        return format_html(words, " open" if is_open else "", self.words, inside)


def layout_of(*rows: Any) -> FormHelper:
    """Lay a form out inside the page's own form tag."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    if rows:
        helper.layout = Layout(*rows)
    return helper
