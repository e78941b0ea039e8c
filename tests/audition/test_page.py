"""The page in a real browser: keys change the reading at the same place, and nothing outside is asked for."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from handgroove.cli import app

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync"
)

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        not CHROMIUM.exists(), reason="Chromium is not here (Debian: apt-get install chromium)"
    ),
]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Start Chromium without a screen."""
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    with playwright.sync_playwright() as started:
        chromium = started.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS.split())
        yield chromium
        chromium.close()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make an audition of four bars with the command."""
    out = tmp_path_factory.mktemp("audition") / "a"
    asked = ["audition", "straight eighths", "--chart", "| Am7 | Fmaj7 | C | G |", "--out", str(out)]
    done = CliRunner().invoke(app, asked)
    assert done.exit_code == 0, done.output
    return out


@pytest.fixture
def page(browser: Any, folder: Path) -> Iterator[Any]:
    """Open the page; fail on anything that it complains of or asks of another place."""
    page = browser.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda message: faults.append(message.text))
    page.on(
        "request", lambda request: faults.append(request.url) if not request.url.startswith("file:") else None
    )
    page.goto((folder / "audition.html").as_uri())
    page.wait_for_function("[...document.querySelectorAll('audio')].every((a) => a.readyState >= 2)")
    yield page
    page.close()
    assert faults == []


def sounding(page: Any) -> list[int]:
    """Return the rows that can be heard."""
    found: list[int] = page.evaluate(
        "[...document.querySelectorAll('audio')].flatMap((a, k) => a.muted ? [] : [k])"
    )
    return found


def place(page: Any, row: int) -> float:
    """Return where the row's recording is, in seconds."""
    sec: float = page.evaluate(f"document.querySelectorAll('audio')[{row}].currentTime")
    return sec


def test_keys_change_the_reading_at_the_same_place(page: Any) -> None:
    """While it plays, 2 is heard after 1 at once, no further than a tenth of a second from where 1 was."""
    page.keyboard.press("Space")
    page.wait_for_function("sounds[1].currentTime > 1")
    assert sounding(page) == [1]
    # Pressed and read in one go, since time passes between two calls to the browser.
    press = "dispatchEvent(new KeyboardEvent('keydown', {key: '2'}))"
    before, after = page.evaluate(f"() => {{ const at = place(); {press}; return [at, place()]; }}")
    assert after == pytest.approx(before, abs=0.1)
    assert sounding(page) == [2]
    assert page.inner_text("#now") == page.get_attribute("tbody tr:nth-child(3)", "data-name")
    page.keyboard.press("x")
    assert sounding(page) == [1]
    page.keyboard.press("Space")
    page.wait_for_function("sounds.every((sound) => sound.paused)")


def test_drums_alone_and_beside(page: Any) -> None:
    """0 is the drums alone; d sets them softly beside a reading, and takes them away again."""
    page.keyboard.press("0")
    assert sounding(page) == [0]
    page.keyboard.press("1")
    page.keyboard.press("d")
    assert sounding(page) == [0, 1]
    assert page.evaluate("document.querySelector('audio').volume") < 0.5
    page.keyboard.press("d")
    assert sounding(page) == [1]


def test_arrows_go_by_bars(page: Any) -> None:
    """Right goes to the next bar's first beat in every recording, left and home go back."""
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    assert page.inner_text("#where").startswith("bar 3,")
    assert {round(place(page, row), 2) for row in range(3)} == {round(2 * 4 * 60 / 112, 2)}
    page.keyboard.press("ArrowLeft")
    assert page.inner_text("#where").startswith("bar 2,")
    page.keyboard.press("Home")
    assert place(page, 1) == 0


def test_it_goes_round(page: Any) -> None:
    """At the end of the bars it begins again, and with r switched off it stops there."""
    page.keyboard.press("Space")
    page.evaluate("seek(data.sec - 0.2)")
    page.wait_for_function("place() < 2")
    page.keyboard.press("r")
    page.evaluate("seek(data.sec - 0.2)")
    page.wait_for_selector("#play[aria-pressed=false]")
    assert place(page, 1) >= 8.0


def test_the_command_to_keep_it_is_shown(page: Any) -> None:
    """The command beside "keep" is for the reading that is heard; the drums can't be kept."""
    page.keyboard.press("2")
    assert page.inner_text("#keep code").endswith("--pick 2")
    page.keyboard.press("0")
    assert not page.is_visible("#keep")


def test_a_mouse_can_do_it_too(page: Any) -> None:
    """A click on a row's number changes the reading, and one on its picture goes to that place."""
    page.click("tbody tr:nth-child(3) button")
    assert sounding(page) == [2]
    page.click("tbody tr:nth-child(3) .roll", position={"x": 2, "y": 20})
    assert place(page, 2) == pytest.approx(0, abs=0.2)


def test_it_fits_a_phone(page: Any) -> None:
    """On a screen of 390 points nothing has to be pushed sideways."""
    page.set_viewport_size({"width": 390, "height": 800})
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
