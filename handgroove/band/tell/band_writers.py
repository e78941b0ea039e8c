"""What a condensed band is told by, beside its part: one row for each, as in `handgroove.output.writers`."""

from __future__ import annotations

from handgroove.band.read.choices import format_choices
from handgroove.band.write.condensing import Condensed
from handgroove.output.writers import Writer

BAND_WRITERS = (
    Writer("comparison", "handgroove.band.tell.comparison_page:format_page", ("comparison.html",)),
    Writer("decisions", "handgroove.band.tell.decisions:format_decisions", ("decisions.txt",)),
    Writer("choices", "handgroove.band.tell.band_writers:format_found_choices", ("choices.yaml",)),
)


def format_found_choices(condensed: Condensed) -> str:
    """Return the choices that *condensed* was made with as a file to edit, the roles that were heard as remarks."""
    found = {cast.track.name: cast.role for cast in condensed.sketch.form.casts}
    return format_choices(condensed.choices, found, condensed.part.title)
