"""The page of a review in a real browser: quiet, no network, playable by keyboard, accessible, printable; text stays text."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from browser.reviewed import HOSTILE, HOSTILE_FILE, PLAIN_FILE, page_of

PRINTED_PIXELS = {"A4": 703, "Letter": 725}
"""Width of the paper less 12 mm margins, at 96 pixels an inch: 210 and 215.9 mm."""

@dataclass(slots=True)
class Opened:
    """A page that was opened, what it said on the console, and what it asked the network for."""

    page: Any
    console: list[str] = field(default_factory=list)
    requests: list[str] = field(default_factory=list)


def opened_in(browser: Any, path: Path, **options: Any) -> Opened:
    opened = Opened(browser.new_page(**options))
    opened.page.on("console", lambda message: opened.console.append(message.text))
    opened.page.on("pageerror", lambda error: opened.console.append(str(error)))
    opened.page.on("request", lambda request: opened.requests.append(request.url))
    opened.page.goto(path.as_uri())
    return opened


@pytest.fixture
def plain(browser: Any) -> Iterator[Opened]:
    opened = opened_in(browser, page_of(PLAIN_FILE))
    yield opened
    opened.page.close()


def words(page: Any, device: str) -> str:
    return str(page.locator(f'#states dd[data-device="{device}"]').inner_text())


def test_no_console_message_and_no_request_but_the_file(plain: Opened) -> None:
    plain.page.locator("#play").click()
    plain.page.wait_for_timeout(300)
    assert plain.console == []
    assert plain.requests == [page_of(PLAIN_FILE).as_uri()]


def test_play_moves_the_clock_and_pause_stops_it(plain: Opened) -> None:
    page = plain.page
    before = int(page.locator("#clock").input_value())
    page.locator("#play").click()
    page.wait_for_timeout(400)
    assert page.locator("#play").inner_text() == "Pause"
    page.locator("#play").click()
    later = int(page.locator("#clock").input_value())
    page.wait_for_timeout(200)
    assert before < later == int(page.locator("#clock").input_value())
    assert page.locator("#play").inner_text() == "Play"


def test_slider_is_moved_by_keys_and_says_its_time(plain: Opened) -> None:
    slider = plain.page.locator("#clock")
    slider.focus()
    first = int(slider.input_value())
    plain.page.keyboard.press("ArrowRight")
    assert int(slider.input_value()) == first + int(slider.get_attribute("step"))
    plain.page.keyboard.press("End")
    assert slider.input_value() == slider.get_attribute("max")
    assert slider.get_attribute("aria-valuetext") == plain.page.locator("#now").inner_text()


def test_every_control_is_reached_by_tab_alone(plain: Opened) -> None:
    wanted = {"run", "back", "play", "forth", "speed", "zoom", "clock", "chart-choice", "chart-view"}
    reached = set()
    for _ in range(80):
        plain.page.keyboard.press("Tab")
        reached.add(plain.page.evaluate("document.activeElement.id"))
    assert wanted <= reached


def test_stepping_shows_chart_signals_and_machine_of_that_moment(plain: Opened) -> None:
    page = plain.page
    page.locator("#events button", has_text="splice enters cutting").first.click()
    assert page.locator("#chart-view .active").get_attribute("data-key") == "step cutting"
    assert words(page, "clamp") == "out"
    assert words(page, "knife") == "home"
    page.locator("#forth").click()  # the output is written
    page.locator("#forth").click()
    assert words(page, "knife") == "going out"
    assert page.locator("#events [aria-current=step]").count() == 1


def test_knife_is_drawn_lower_on_its_way_than_at_home(plain: Opened) -> None:
    page = plain.page
    slide = page.locator('[data-part="knife"] [data-slide]')
    assert slide.get_attribute("transform") == "translate(0 0.0)"
    page.locator("#events button", has_text="knife is now out").first.click()
    assert slide.get_attribute("transform") == "translate(0 43.0)"


def test_witness_is_played_from_its_own_section(plain: Opened) -> None:
    page = plain.page
    page.locator('[data-play="run-R2"]').click()
    assert page.locator("#run").input_value() == "run-R2"
    page.locator("#clock").focus()
    page.keyboard.press("End")
    assert words(page, "hood") == "open"
    assert words(page, "knife") != "home"


def test_every_link_of_the_page_lands(plain: Opened) -> None:
    missing = plain.page.evaluate(
        "Array.from(document.querySelectorAll('a[href^=\"#\"]')).map(a => a.getAttribute('href').slice(1))"
        ".filter(id => !document.getElementById(id))"
    )
    assert missing == []


def test_matrix_link_leads_to_the_run_of_the_violation(plain: Opened) -> None:
    link = plain.page.locator('#matrix a[href="#run-R2"]').first
    link.click()
    assert plain.page.url.endswith("#run-R2")
    assert "What happens when" in plain.page.locator("#run-R2").inner_text()


def test_ids_are_unique(plain: Opened) -> None:
    ids = plain.page.evaluate("Array.from(document.querySelectorAll('[id]')).map(one => one.id)")
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_accessibility_scan_finds_nothing_serious(browser: Any, scheme: str) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    opened = opened_in(browser, page_of(PLAIN_FILE), color_scheme=scheme)
    found = axe.Axe().run(opened.page).response["violations"]
    opened.page.close()
    serious = [(part["id"], part["nodes"][0]["html"][:200]) for part in found if part["impact"] in ("serious", "critical")]
    assert serious == []


def test_hostile_texts_are_text(browser: Any) -> None:
    opened = opened_in(browser, page_of(HOSTILE_FILE))
    page = opened.page
    page.locator("#play").click()
    page.wait_for_timeout(200)
    assert page.title() == f"Safety review: {HOSTILE}, revision 1"
    assert page.locator("h1").inner_text() == f"Safety review: {HOSTILE}"
    assert page.locator("img").count() == 0
    assert page.locator("#req-R1 td").first.inner_text().startswith(HOSTILE)
    assert opened.console == []
    assert len(opened.requests) == 1
    page.close()


@pytest.mark.parametrize("paper", PRINTED_PIXELS)
def test_no_table_or_drawing_is_wider_than_the_paper(browser: Any, paper: str) -> None:
    width = PRINTED_PIXELS[paper]
    opened = opened_in(browser, page_of(PLAIN_FILE), viewport={"width": width, "height": 1000})
    opened.page.emulate_media(media="print")
    wide = opened.page.evaluate(
        "(width) => Array.from(document.querySelectorAll('table, figure svg'))"
        ".filter(one => one.getBoundingClientRect().right > width + 1)"
        ".map(one => one.outerHTML.slice(0, 120))",
        width,
    )
    opened.page.close()
    assert wide == []


@pytest.mark.parametrize("paper", PRINTED_PIXELS)
def test_printing_gives_a_few_pages(plain: Opened, paper: str) -> None:
    printed = plain.page.pdf(format=paper)
    pages = len(re.findall(rb"/Type\s*/Page\b", printed))
    drawings = plain.page.locator("figure.drawn").count()
    assert drawings < pages < drawings + 16


def test_dark_screen_turns_page_and_drawings_over(browser: Any) -> None:
    opened = opened_in(browser, page_of(PLAIN_FILE), color_scheme="dark")
    colour = "(one) => getComputedStyle(one).backgroundColor"
    assert opened.page.locator("body").evaluate(colour) == "rgb(19, 19, 19)"
    ground = opened.page.locator("figure.drawn svg polygon").first
    assert ground.evaluate("(one) => getComputedStyle(one).fill") == "rgb(19, 19, 19)"
    opened.page.close()
