"""The laws of meant strokes on takes of real drummers, where the folder of takes lies beside the checkout.

Without it (``../shared/data/grooves``) this module holds no test, so that nothing is skipped: the laws are then those
of ``test_laws_made``. CI has it.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from handgroove import read_groove
from tests.laws.judge import LAWS
from tests.laws.verdict import Take

GROOVES = Path(__file__).parents[3] / "shared" / "data" / "grooves"
SAMPLE = (
    "drummer1_session1_195_reggae_78_fill_4-4",
    "drummer1_session1_49_jazz_125_beat_4-4",
    "drummer1_session2_10_country_114_beat_4-4",
    "drummer1_session2_71_punk_144_fill_4-4",
    "drummer5_session2_7_neworleans-secondline_124_beat_4-4",
    "drummer6_session1_5_rock_60_beat_6-8",
    "drummer7_session3_150_soul_105_beat_4-4",
    "drummer1_session2_4_jazz_120_beat_3-4",
)


@cache
def take_of(name: str) -> Take:
    """Return the take called *name*; what it came to is kept for the laws that follow."""
    return Take(name, read_groove(GROOVES / f"{name}.mid"))


if GROOVES.is_dir():

    @pytest.mark.parametrize("law", LAWS)
    @pytest.mark.parametrize("name", SAMPLE)
    def test_the_law_holds(name: str, law: str) -> None:
        """Each law holds for a real drummer's take, or the reading has said that it is not sure of it."""
        verdict = LAWS[law](take_of(name))
        assert verdict.holds or verdict.doubt, (
            f"{len(verdict.faults)} of {verdict.cases}: {verdict.faults[:3]}"
        )
