"""Many bands at once: every MIDI file of a folder condensed, several at a time, and taken up again where it stopped.

A file that is done leaves its figures in ``done.json`` beside its results; the next run with the same file, options
and program skips it. A file that fails is told of at the end and stops nothing, not even by taking its process with it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import asdict, dataclass, field
from pathlib import Path

from handgroove import __version__
from handgroove.band.read.band_readers import BAND_ENDINGS
from handgroove.errors import HandgrooveError, Problem
from handgroove.output.files import write_whole

DONE = "done.json"


@dataclass(frozen=True)
class Outcome:
    """What became of one file: its *folder* of results, *figures* for the table, or *problem* where it failed."""

    source: str
    folder: str
    figures: Mapping[str, float | None] = field(default_factory=dict)
    problem: str = ""
    skipped: bool = False


@dataclass(frozen=True, slots=True)
class Task:
    """One file to do: where from, where to, and the *token* that says with what."""

    source: Path
    folder: Path
    token: str


# Does one file into a folder, and returns its figures
Work = Callable[[Path, Path], Mapping[str, float | None]]


def find_tasks(folder: Path, out: Path, options: str) -> list[Task]:
    """Return a task for each MIDI file in *folder* and the folders in it, in order of their names."""
    files = sorted(
        path
        for path in folder.rglob("*")
        if path.suffix.lower() in BAND_ENDINGS and path.is_file() and out not in path.parents
    )
    if not files:
        raise HandgrooveError(
            Problem(
                str(folder),
                "expected a folder with MIDI files, found none in it",
                remedy="name another folder",
            )
        )
    tasks, taken = [], set()
    for path in files:
        inside = path.relative_to(folder).with_suffix("")
        target, number = out / inside, 2
        while target in taken:  # song.mid beside song.midi
            target, number = out / f"{inside}-{number}", number + 1
        taken.add(target)
        digest = hashlib.sha256(path.read_bytes()).hexdigest()[:16]
        tasks.append(Task(path, target, f"{__version__} {digest} {options}"))
    return tasks


def run_tasks(tasks: Sequence[Task], work: Work, jobs: int) -> Iterator[Outcome]:
    """Do *tasks*, *jobs* at a time, and yield what became of each as it ends; done ones are skipped."""
    waiting = []
    for task in tasks:
        done = _read_done(task)
        if done is None:
            waiting.append(task)
        else:
            yield done
    if jobs == 1 or len(waiting) < 2:
        for task in waiting:
            yield _do(task, work)
        return
    yield from _run_many(waiting, work, jobs)


def _run_many(tasks: list[Task], work: Work, jobs: int) -> Iterator[Outcome]:
    """Do *tasks* in processes; one that dies takes its whole pool along, so the rest goes on in single pools."""
    doubtful: list[Task] = []
    with ProcessPoolExecutor(jobs) as pool:
        running: dict[Future[Outcome], Task] = {pool.submit(_do, task, work): task for task in tasks}
        while running:
            ended, _ = wait(running, return_when=FIRST_COMPLETED)
            for future in ended:
                task = running.pop(future)
                try:
                    yield future.result()
                except BrokenProcessPool:
                    doubtful.append(task)
    for task in doubtful:
        with ProcessPoolExecutor(1) as pool:
            try:
                yield pool.submit(_do, task, work).result()
            except BrokenProcessPool:
                yield Outcome(
                    str(task.source), str(task.folder), problem="the program died over it (out of memory?)"
                )


def _do(task: Task, work: Work) -> Outcome:
    """Do one task and return what became of it; no error gets out."""
    try:
        figures = dict(work(task.source, task.folder))
    except HandgrooveError as error:
        first = error.problems[0]
        return Outcome(str(task.source), str(task.folder), problem=first.text)
    except Exception as error:  # whatever is wrong with one file must not stop the others
        text = f"handgroove failed in a way it should not: {type(error).__name__}: {error}"
        return Outcome(str(task.source), str(task.folder), problem=text)
    outcome = Outcome(str(task.source), str(task.folder), figures)
    data = {"token": task.token, **asdict(outcome)}
    write_whole(task.folder / DONE, json.dumps(data, indent=1) + "\n")
    return outcome


def _read_done(task: Task) -> Outcome | None:
    """Return the outcome of an earlier run with the same file, options and program, or None."""
    try:
        data = json.loads((task.folder / DONE).read_text(encoding="utf-8"))
        if data["token"] != task.token:
            return None
        return Outcome(data["source"], data["folder"], data["figures"], skipped=True)
    except (OSError, ValueError, KeyError, TypeError):
        return None
