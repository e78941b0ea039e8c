"""What the player decides against the program's own choice: roles, and what to keep, leave out or prefer, and where.

# choices for lantern-street-band.mid
roles:
  Lead: melody              # drums, bass, melody, counter-line, chords, pad, double, left out
keep:
  - track: Guitar           # a track's name or part of it, or kick, snare, hat, ride, crash, toms
    section: Chorus         # where: a section, or bars; without either, everywhere
leave out:
  - track: Strings
    bars: 5-12
prefer:
  - track: Guitar           # its lines come first where the tune rests
density: usual              # spare, usual or full
chords: comp                # comp (with the hats), support (under the tune) or answer (in its rests)
figures:
  bar 12: 2                 # the second figure for the fill that begins there
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from handgroove.band.read.density import Chords, Density
from handgroove.band.read.roles import BandRole
from handgroove.band.read.song_form import Form
from handgroove.band.read.tracks import Band
from handgroove.errors import HandgrooveError, Problem, did_you_mean
from handgroove.groove.kit import Family

_FAMILIES = {family.value: family for family in Family} | {"toms": Family.TOM, "hats": Family.HAT}


@dataclass(frozen=True, slots=True)
class Rule:
    """One thing said of a *track* (a name, part of one, or a drum family) in a *section* or in *bars* (first, last)."""

    track: str
    section: str = ""
    bars: tuple[int, int] | None = None

    def names(self, track: str) -> bool:
        """Return whether it speaks of the track of this name."""
        return self.track.casefold() in track.casefold()

    @property
    def family(self) -> Family | None:
        """Return the drum family that it speaks of, if it does."""
        return _FAMILIES.get(self.track.casefold())


@dataclass(frozen=True, slots=True)
class Choices:
    """All that the player decides; *roles* are by track name, *figures* as in a picks file (``bar 8``: candidate 2)."""

    roles: Mapping[str, BandRole] = field(default_factory=dict)
    keep: tuple[Rule, ...] = ()
    leave_out: tuple[Rule, ...] = ()
    prefer: tuple[Rule, ...] = ()
    density: Density = Density.USUAL
    chords: Chords = Chords.COMP
    figures: Mapping[str, int] = field(default_factory=dict)
    source: str = ""


@dataclass(frozen=True)
class LaidChoices:
    """*choices* with their places found in a song's *form*."""

    choices: Choices
    form: Form

    @cached_property
    def _spans(self) -> dict[Rule, list[tuple[int, int]]]:
        rules = (*self.choices.keep, *self.choices.leave_out, *self.choices.prefer)
        return {rule: self._find(rule) for rule in rules}

    def _find(self, rule: Rule) -> list[tuple[int, int]]:
        timeline = self.form.groove.timeline
        if rule.bars:
            first, last = rule.bars
            return [(timeline.bar_start(first), timeline.bar_start(last + 1))]
        if not rule.section:
            return [(0, 10**12)]
        wanted = rule.section.casefold()
        return [
            (s.start_tick, s.end_tick)
            for s in self.form.sections
            if wanted in (s.name.casefold(), s.letter.casefold())
            or s.name.casefold().startswith(f"{wanted},")
        ]

    def _holds(self, rule: Rule, place: int) -> bool:
        return any(start <= place < end for start, end in self._spans[rule])

    def wants(self, track: str, place: int) -> bool:
        """Return whether the track called *track* may be used at the written tick *place*."""
        return not any(
            rule.names(track) and self._holds(rule, place)
            for rule in self.choices.leave_out
            if not rule.family
        )

    def prefers(self, track: str, place: int) -> bool:
        """Return whether the track called *track* comes first at the written tick *place*."""
        return any(rule.names(track) and self._holds(rule, place) for rule in self.choices.prefer)

    def keeps(self, track: str, place: int) -> bool:
        """Return whether the track called *track* must be heard at the written tick *place*."""
        return any(
            rule.names(track) and self._holds(rule, place) for rule in self.choices.keep if not rule.family
        )

    def hits(self, rules: Sequence[Rule], drum_tracks: Sequence[str]) -> tuple[int, ...]:
        """Return the indices of the hits that *rules* speak of: a family's, or a whole drum track's."""
        found = []
        reading = self.form.reading
        for index, (hit, place) in enumerate(zip(reading.groove.hits, reading.places, strict=True)):
            for rule in rules:
                family = rule.family
                whole = family is None and any(rule.names(name) for name in drum_tracks)
                if (whole or family is hit.piece.family) and self._holds(rule, place):
                    found.append(index)
                    break
        return tuple(found)


def check_choices(choices: Choices, band: Band, form: Form | None = None) -> None:
    """Raise HandgrooveError for every track or section in *choices* that the song does not have."""
    names = [track.name for track in band.tracks]
    place = choices.source or "choices"
    problems = []
    have = ", ".join(names)
    for name in choices.roles:
        if name not in names:
            remedy = did_you_mean(name, names) or f"the tracks are: {have}"
            problems.append(Problem(place, f"roles: there is no track called {name!r}", remedy=remedy))
    sections = sorted({s.name for s in form.sections} | {s.letter for s in form.sections}) if form else []
    for kind, rules in (("keep", choices.keep), ("leave out", choices.leave_out), ("prefer", choices.prefer)):
        for rule in rules:
            if rule.family is None and not any(rule.names(name) for name in names):
                remedy = did_you_mean(rule.track, names) or f"the tracks are: {have}"
                problems.append(
                    Problem(place, f"{kind}: there is no track called {rule.track!r}", remedy=remedy)
                )
            if rule.section and form and rule.section.casefold() not in [s.casefold() for s in sections]:
                remedy = did_you_mean(rule.section, sections) or f"the sections are: {', '.join(sections)}"
                problems.append(
                    Problem(place, f"{kind}: there is no section called {rule.section!r}", remedy=remedy)
                )
    if problems:
        raise HandgrooveError(problems)


def find_track(band: Band, said: str) -> str:
    """Return the name of the track that *said* names: by number, by its name, or by a part of it."""
    names = [track.name for track in band.tracks]
    for track in band.tracks:
        if said.casefold() == track.name.casefold():
            return track.name
    found = [name for name in names if said.casefold() in name.casefold()]
    if not found and said.isdigit():
        found = [track.name for track in band.tracks if track.number == int(said)]
    if len(found) == 1:
        return found[0]
    if found:
        problem = Problem("", f"{said!r} could be {' or '.join(found)}", remedy="write the whole name")
    else:
        remedy = did_you_mean(said, names) or f"the tracks are: {', '.join(names)}"
        problem = Problem("", f"there is no track called {said!r}", remedy=remedy)
    raise HandgrooveError(problem)


def read_choices(path: str | Path) -> Choices:
    """Read the choices file at *path*; raise HandgrooveError with all that is wrong in it, in file order."""
    from handgroove.band.read.choices_model import ChoicesFile
    from handgroove.yamlfile import read_yaml

    file = read_yaml(path, ChoicesFile)
    return Choices(
        {name: BandRole(role) for name, role in file.roles.items()},
        tuple(entry.rule() for entry in file.keep),
        tuple(entry.rule() for entry in file.leave_out),
        tuple(entry.rule() for entry in file.prefer),
        Density(file.density),
        Chords(file.chords),
        dict(file.figures),
        str(path),
    )


def format_choices(choices: Choices, found: Mapping[str, BandRole], title: str = "") -> str:
    """Return *choices* as a file to edit: the roles as *found* (said ones open, the rest as remarks), and the rules."""
    import yaml

    def text(value: object) -> str:
        return yaml.safe_dump(value, allow_unicode=True, width=200).removesuffix("...\n").strip()

    lines = [f"# Choices for {' '.join(title.split()) or 'this song'}: edit, and give back with --choices."]
    heard = "# roles:   # what each track was heard to do: take the # away and change it"
    lines.append("roles:" if choices.roles else heard)
    for name, role in found.items():
        lines.append(f"{'' if name in choices.roles else '#'}  {text(name)}: {role.value}")
    for title_, rules in (
        ("keep", choices.keep),
        ("leave out", choices.leave_out),
        ("prefer", choices.prefer),
    ):
        if not rules:
            lines.append(f"# {title_}: [{{track: Guitar, section: Chorus}}]")
            continue
        lines.append(f"{title_}:")
        for rule in rules:
            entry: dict[str, str] = {"track": rule.track}
            if rule.section:
                entry["section"] = rule.section
            if rule.bars:
                entry["bars"] = f"{rule.bars[0]}-{rule.bars[1]}"
            lines.append(
                f"  - {yaml.safe_dump(entry, default_flow_style=True, allow_unicode=True, width=200).strip()}"
            )
    lines.append(f"density: {choices.density.value}   # spare, usual or full")
    lines.append(
        f"chords: {choices.chords.value}   # comp, support or answer: what chords do beside the tune"
    )
    if choices.figures:
        lines.append("figures:")
        lines += [f"  {bar}: {number}" for bar, number in choices.figures.items()]
    return "\n".join(lines) + "\n"
