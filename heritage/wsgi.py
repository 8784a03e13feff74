"""WSGI entry point.

Everything heavy is loaded before the first request: with ``--preload`` once, before
the workers are made, so that a new one answers at once however busy the machine is.
"""

import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application
from django.template import engines
from django.urls import get_resolver
from django.utils.module_loading import import_string

from heritage.kits import fonts

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "heritage.settings")
application = get_wsgi_application()

# Every address, and with it every view, form and sheet, and the libraries they need;
# then what Django and the account library look up by name only when it is wanted.
get_resolver().reverse_dict  # noqa: B018
engines["django"].engine.template_context_processors  # type: ignore[attr-defined]  # noqa: B018
for name in (
    settings.ACCOUNT_ADAPTER,
    settings.MFA_ADAPTER,
    *settings.ACCOUNT_FORMS.values(),
    *settings.MFA_FORMS.values(),
):
    import_string(name)
fonts.register()
