"""The sums behind a crop-to-fibre demonstration.

Every figure that the site shows is worked out here, and nowhere else. The
modules know no Django, no clock and no files: what they need comes in as
arguments, and what they find goes back as a number or a frozen dataclass.

Three promises hold throughout.

- Units stand in square brackets in each docstring and, where a bare number could
  be misread, in the argument's name (``wind_ms``, ``temp_c``).
- An estimate comes with its range and its source. A method asked about something
  that it does not cover says so; it does not answer with a number. Why is a code
  with its figures: the page, letter or sheet has the sentence.
- An argument that is not a finite number, or lies outside its meaning, is refused
  with a ``ValueError`` that names it.

The modules, from the field to the fibre: ``measures``, ``money`` and ``tally``
(what was pulled and what it comes to); ``daylight`` and ``weather`` (whether an
evening can be worked); ``crop``, ``pulling`` and ``harvest`` (when to begin, when it
will be done, and whether in time); ``dam``, ``retting``, ``lifting`` and ``rota``
(the pond and the people round it); ``fibre`` and ``risk``. Import from the module
itself.
"""
