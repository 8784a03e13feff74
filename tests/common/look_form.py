"""A form with one field of each kind that the form pack tells apart."""

from django import forms

PLOTS = [("low", "Low field"), ("high", "High field")]


class EveningForm(forms.Form):
    name = forms.CharField(label="Name", help_text="As it will be read.")
    beets = forms.IntegerField(label="Beets", min_value=1)
    plot = forms.ChoiceField(label="Plot", choices=PLOTS, widget=forms.RadioSelect)
    work = forms.MultipleChoiceField(
        label="Work",
        choices=[("Field", PLOTS), ("dam", "Dam")],
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="Any of them.",
    )
    starts = forms.SplitDateTimeField(
        label="Starts",
        required=False,
        widget=forms.SplitDateTimeWidget(
            date_attrs={"aria-label": "Day", "type": "date"},
            time_attrs={"aria-label": "Time", "type": "time"},
        ),
    )
    notes = forms.CharField(label="Notes", widget=forms.Textarea, required=False)
    tell = forms.BooleanField(label="Tell everybody", required=False)
    log = forms.FileField(label="Log", required=False)
    token = forms.CharField(widget=forms.HiddenInput, required=False)
