"""What a station says and asks, at a gathering and in a pattern alike."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from heritage.gatherings.models.choices import StationKind
from heritage.people.models import AgeBand, Competence
from heritage.safety.models import Briefing


class StationAsked(models.Model):
    """One job: how many it needs, and what it asks of them."""

    kind = models.CharField(_("job"), max_length=10, choices=StationKind)
    title = models.CharField(_("called"), max_length=60)
    places = models.PositiveSmallIntegerField(
        _("places"), validators=[MinValueValidator(1), MaxValueValidator(500)]
    )
    fewest = models.PositiveSmallIntegerField(
        _("fewest needed"),
        default=0,
        help_text=_("With fewer than this the work is not started."),
    )
    least_age = models.CharField(
        _("least age"), max_length=8, choices=AgeBand, default=AgeBand.FROM_16
    )
    competence = models.ForeignKey(
        Competence,
        models.PROTECT,
        null=True,
        blank=True,
        verbose_name=_("must be able to"),
    )
    briefing = models.ForeignKey(
        Briefing,
        models.PROTECT,
        null=True,
        blank=True,
        verbose_name=_("briefing to have heard"),
    )
    note = models.CharField(_("what the work is"), max_length=240, blank=True)

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return self.title
