"""The page in a real browser: whole ways, by phone, by keyboard, without script; nothing that axe-core finds."""

from __future__ import annotations

import shutil
import socket
import threading
from collections.abc import Callable, Iterator
from typing import Any

import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect, sync_playwright

from advisor.web.app import make_app
from advisor.web.work import Here
from tests.answer.test_judging import REASONER
from tests.web.test_own import BOOK

CHROMIUM = shutil.which("chromium")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium is found: sudo apt-get install chromium")
PHONE, LARGEST = {"width": 320, "height": 640}, {"width": 3840, "height": 2160}
GARAGE = "/example?floor=untested_garage&way="
MARKUP = "\"><script>document.title='taken'</script><img src=x onerror=\"document.title='taken'\">"
HEAVIEST = 150_000  # bytes of the first page with all that it loads


class Served:
    """A server of this process, on a port of its own, that can be lost and started again."""

    def __init__(self) -> None:
        with socket.socket() as found:
            found.bind(("127.0.0.1", 0))
            self.port = found.getsockname()[1]
        self.at = f"http://127.0.0.1:{self.port}"
        self.start()

    def start(self) -> None:
        config = uvicorn.Config(make_app(Here(REASONER)), "127.0.0.1", self.port, log_level="error", ws="none")
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, daemon=True)
        self._thread.start()
        while not self._server.started:
            self._thread.join(0.02)
            assert self._thread.is_alive()

    def stop(self) -> None:
        self._server.should_exit = True
        self._thread.join()


@pytest.fixture(scope="module")
def served() -> Iterator[Served]:
    made = Served()
    yield made
    made.stop()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture
def opened(browser: Browser, served: Served) -> Iterator[Callable[..., Page]]:
    """Opens a page with the browser as it is asked for; at the end nothing was reported as an error in it."""
    contexts, errors = [], []

    def reported(message: Any) -> None:
        meant = ("the server responded with a status of 4", "ERR_INTERNET_DISCONNECTED")
        if message.type == "error" and not any(each in message.text for each in meant):
            errors.append(message.text)

    def make(path: str = "/", **more: Any) -> Page:
        context = browser.new_context(base_url=served.at, **more)
        context.set_default_timeout(60_000)
        contexts.append(context)
        page = context.new_page()
        page.on("console", reported)
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.goto(path)
        return page

    yield make
    for each in contexts:
        each.close()
    assert not errors


def heading(page: Page) -> str:
    return page.get_by_role("heading", level=1).inner_text()


def press(page: Page, name: str, exact: bool = False) -> None:
    """Press a button or follow a link, and wait for the page that it leads to."""
    with page.expect_navigation():
        page.get_by_role("button", name=name, exact=exact).or_(page.get_by_role("link", name=name)).first.click()


def answer_on(page: Page, most: int = 40) -> None:
    """Answer whatever is asked until nothing is: what is typed by its example, else that nobody knows."""
    for _ in range(most):
        if not page.locator("form [name=asked]").count() or page.locator("nav.more").count():
            return
        press(page, "I don't know")
    raise AssertionError("it asks without end")


def test_from_the_first_question_to_the_printed_letter_on_a_phone_without_script(opened: Callable[..., Page]) -> None:
    page = opened(viewport=PHONE, java_script_enabled=False)
    press(page, "Choose a finish")
    press(page, "I want a finish chosen")
    press(page, "United Kingdom")
    press(page, "garage")
    if heading(page).startswith("Whose"):  # asked where it is expected to settle something
        press(page, "my own home")
    page.get_by_label("area").fill("6 x 7 m")
    page.get_by_label("slab age").fill("30 years")
    press(page, "Go on")
    press(page, "nothing, it is bare concrete", exact=True)
    page.get_by_label("cars").check()
    page.get_by_label("oil or fuel").check()
    press(page, "Go on")
    press(page, "flecks")
    answer_on(page)
    expect(page.get_by_text("Local codes, data sheets and licensed practice come first.").first).to_be_visible()
    press(page, "Letter")
    expect(page.get_by_text("Dear customer,")).to_be_visible()
    printed = page.pdf(format="A4")
    assert printed.startswith(b"%PDF")
    with page.expect_download() as saved:
        page.get_by_role("link", name="Save the letter as PDF").click()
    assert saved.value.suggested_filename == "letter.pdf"


def test_back_reload_and_a_second_tab_each_show_what_was_said_there(opened: Callable[..., Page]) -> None:
    page = opened("/home")
    first = heading(page)
    press(page, "I want a finish chosen")
    press(page, "United Kingdom")
    third = heading(page)
    page.reload()
    assert heading(page) == third
    other = page.context.new_page()
    other.goto(page.url)
    press(other, "kitchen")
    page.go_back()
    press(page, "elsewhere")
    assert heading(page) == third
    press(page, "What I understood")
    expect(page.get_by_text("elsewhere")).to_be_visible()
    press(other, "What I understood")
    expect(other.get_by_text("kitchen")).to_be_visible()
    expect(other.get_by_text("United Kingdom")).to_be_visible()
    press(other, "Change: country")
    press(other, "elsewhere")
    other.go_back()
    other.go_back()
    expect(other.get_by_text("United Kingdom")).to_be_visible()
    page.goto("/home")
    assert heading(page) == first


def test_an_answer_begun_goes_on_after_the_server_was_lost(opened: Callable[..., Page], served: Served) -> None:
    page = opened("/home")
    press(page, "I want a finish chosen")
    asked = heading(page)
    served.stop()
    served.start()
    press(page, "United Kingdom")
    assert heading(page) != asked


def test_a_slow_line_that_breaks_loses_nothing(opened: Callable[..., Page]) -> None:
    page = opened("/")
    line = page.context.new_cdp_session(page)
    line.send("Network.enable")
    slow = {"offline": False, "latency": 400, "downloadThroughput": 50_000, "uploadThroughput": 20_000}
    line.send("Network.emulateNetworkConditions", slow)
    press(page, "Choose a finish")
    press(page, "I want a finish chosen")
    asked, at = heading(page), page.url
    line.send("Network.emulateNetworkConditions", slow | {"offline": True})
    with page.expect_event("requestfailed"):
        page.get_by_role("button", name="United Kingdom").click()
    line.send("Network.emulateNetworkConditions", slow)
    page.goto(at)
    assert heading(page) == asked
    press(page, "United Kingdom")
    assert heading(page) != asked


@pytest.mark.parametrize("asked", ["opening:size", "opening:reason", "slab_humidity"])
def test_markup_and_ten_thousand_characters_in_every_field_are_only_text(
    opened: Callable[..., Page], asked: str
) -> None:
    page = opened("/home")
    press(page, "I want a finish chosen")
    page.goto(page.url.replace("/home?", f"/home/ask?asked={asked}&"))
    for typed in (MARKUP, "7 x " * 2500):
        fields = page.locator("main input:not([type=hidden]):not([type=date]), main textarea")
        for place in range(fields.count()):
            fields.nth(place).evaluate("field => field.removeAttribute('maxlength')")
            fields.nth(place).fill(typed)
        press(page, "Go on")
        expect(page.get_by_role("alert")).to_be_visible()
        assert "taken" not in page.title()


FIELDS = {
    "/counter": "#said",
    f"{GARAGE}counter": "#to",
    "/counter/own": "#sheet_text",
    "/home/own": "#prices_text",
    "/lesson": "#said",
    "/rules": "#words",
    "/class/in": "#word",
    "/whatif?fact=slab_age": "#at",
    "/wrong?": "#answer",
}


@pytest.mark.parametrize("path", FIELDS)
def test_whatever_is_pasted_into_a_field_is_only_text(opened: Callable[..., Page], path: str) -> None:
    page = opened(path, viewport=PHONE)
    at = page.url
    for typed in (MARKUP, "7 x " * 2500, "slab age " * 1200, "\u202e\x07\U0001f469\u200d\U0001f52c"):
        page.goto(at)
        field = page.locator(FIELDS[path])
        if field.evaluate("field => field.tagName") == "SELECT":
            field.evaluate("(field, text) => { field.add(new Option(text, text)); field.value = text }", typed)
        else:
            field.evaluate(
                "field => { field.removeAttribute('maxlength'); field.type === 'number' && (field.type = 'text') }"
            )
            field.fill(typed)
        replies: list[int] = []
        page.on("response", lambda reply, into=replies: into.append(reply.status))
        live = field.evaluate("field => 'live' in field.form.dataset")
        with page.expect_response(lambda reply: reply.status != 303) if live else page.expect_navigation():
            field.evaluate("field => field.form.requestSubmit()")
        assert max(replies) < 500, path
        assert page.title() != "taken"
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), page.url


def test_all_is_reached_by_keyboard(opened: Callable[..., Page]) -> None:
    page = opened("/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="I don't know")).to_be_visible()
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.name") == "dont_know":
            break
    page.keyboard.press("Enter")
    expect(page.get_by_role("link", name="Back to the question before")).to_be_visible()


def test_at_the_counter_the_answer_changes_as_facts_are_typed_by_keyboard_alone(opened: Callable[..., Page]) -> None:
    page = opened("/counter")
    expect(page.get_by_label("Facts, as they are told")).to_be_focused()
    page.keyboard.type("room garage; slab hum 88 %")
    page.keyboard.press("Enter")
    expect(page.get_by_text("88 %").first).to_be_visible(timeout=60_000)
    expect(page.get_by_label("Facts, as they are told")).to_be_focused()
    page.keyboard.type("slab hum 140 %")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_be_visible(timeout=60_000)
    expect(page.get_by_label("Facts, as they are told")).to_have_value("slab hum 140 %")
    with page.expect_navigation():
        page.reload()
    expect(page.get_by_text("88 %").first).to_be_visible(timeout=60_000)


def test_at_the_counter_a_lost_server_takes_nothing_of_what_was_typed(opened: Callable[..., Page]) -> None:
    page = opened("/counter")
    line = page.context.new_cdp_session(page)
    line.send("Network.enable")
    gone = {"offline": True, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1}
    line.send("Network.emulateNetworkConditions", gone)
    typed = page.get_by_label("Facts, as they are told")
    typed.fill("room garage; area 40 m2")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("No answer came")
    expect(typed).to_have_value("room garage; area 40 m2")
    line.send("Network.emulateNetworkConditions", gone | {"offline": False})
    page.keyboard.press("Enter")
    expect(page.locator("dl.said")).to_contain_text("garage")
    expect(page.get_by_role("alert")).to_be_hidden()


def tab_to(page: Page, css: str, most: int = 120) -> None:
    """Go on by the keyboard until what is meant is reached."""
    for _ in range(most):
        if page.evaluate("css => document.activeElement.matches(css)", css):
            return
        page.keyboard.press("Tab")
    raise AssertionError(css)


def test_at_the_counter_enter_takes_the_first_that_fits_and_all_goes_to_print_by_keyboard(
    opened: Callable[..., Page],
) -> None:
    page = opened("/counter")
    typed = page.get_by_label("Facts, as they are told")
    expect(typed).to_be_focused()
    page.keyboard.type("coun uni")
    expect(page.get_by_role("option")).to_have_text(
        ["country: United States", "country: United Kingdom", "country: European Union"]
    )
    expect(page.get_by_role("option", selected=True)).to_have_text("country: United States")
    _looked_over(page)
    page.keyboard.press("ArrowDown")
    page.keyboard.type(";")
    expect(typed).to_have_value("country: united_kingdom;")
    page.keyboard.type(" sla hum")
    page.keyboard.press("Enter")
    expect(typed).to_have_value("country: united_kingdom; slab_humidity: ")
    page.keyboard.type("70 %; room gar")
    page.keyboard.press("Enter")
    told = page.locator("dl.said")
    expect(told).to_contain_text("70 %", timeout=60_000)
    expect(told).to_contain_text("garage")
    expect(told).to_contain_text("United Kingdom")
    expect(typed).to_be_focused()
    page.keyboard.type("area 40 m2")
    page.keyboard.press("Enter")
    expect(told).to_contain_text("40 m", timeout=60_000)
    at = page.url
    for n in range(3):
        tab_to(page, "[name=finish]:not(:checked)")
        page.keyboard.press("Space")
        assert page.locator("[name=finish]:checked").count() == n + 1
    tab_to(page, "button.main")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert page.locator("article table thead th").count() == 3
    _looked_over(page)
    page.goto(at)
    tab_to(page, "#to")
    page.keyboard.type("A. Customer")
    page.keyboard.press("Tab")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.get_by_text("Dear A. Customer,")).to_be_visible()
    page.evaluate("window.print = () => { document.title = 'printed' }")
    tab_to(page, "[data-print]")
    page.keyboard.press("Enter")
    assert page.title() == "printed"
    assert page.pdf(format="Letter").startswith(b"%PDF")
    page.goto(at)
    tab_to(page, "a[href^='/counter/shopping']")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.locator("article table").first).to_be_visible()
    _looked_over(page)


def test_a_number_is_moved_by_keyboard_on_the_slider_and_the_change_stands_beside_it(
    opened: Callable[..., Page],
) -> None:
    page = opened(f"{GARAGE}counter", viewport=PHONE)
    press(page, "What if it were otherwise?")
    page.get_by_label("Which fact").select_option("slab_humidity")
    page.get_by_role("button", name="Take this one").click()
    slide, field = page.get_by_label("Or move it:"), page.get_by_label("in-situ humidity of the slab (%)")
    expect(slide).to_have_attribute("aria-valuetext", "unknown")
    assert slide.get_attribute("max") == "4"
    slide.focus()
    for _ in range(90):
        page.keyboard.press("ArrowRight")
    expect(field).to_have_value("87.6")
    expect(slide).to_have_attribute("aria-valuetext", "87.6 %")
    expect(page.get_by_text("in-situ humidity of the slab: 87.6 %")).to_be_visible()
    expect(slide).to_be_focused()
    _looked_over(page)
    page.get_by_role("button", name="As if nobody knew").click()
    expect(slide).to_have_attribute("aria-valuetext", "unknown")


def test_without_script_a_number_is_moved_in_its_field(opened: Callable[..., Page]) -> None:
    page = opened(f"{GARAGE}counter", viewport=PHONE, java_script_enabled=False)
    page.goto(page.url.replace("/counter?", "/whatif?fact=slab_thickness&"))
    expect(page.get_by_label("Or move it:")).to_be_hidden()
    page.get_by_label("slab thickness (in)").fill("7")
    press(page, "Show what changes")
    expect(page.get_by_text("slab thickness: 7 in")).to_be_visible()


AT_ONCE = 10 * 1460  # bytes that a new connection brings before anything is acknowledged (RFC 6928, section 2)


def test_the_first_page_is_light_and_there_after_two_round_trips(opened: Callable[..., Page]) -> None:
    """One for the page, one for its style: neither waits for a script, or for a second flight of its own."""
    page = opened("/")
    loaded = page.evaluate(
        "['navigation', 'resource'].flatMap(kind => performance.getEntriesByType(kind))"
        ".map(each => [each.name, each.transferSize,"
        " each.entryType === 'navigation' || each.renderBlockingStatus === 'blocking'])"
    )
    held_for = {url.rpartition("/")[2].partition("?")[0]: size for url, size, held in loaded if held}
    assert {*held_for} == {"", "style.css"}
    assert all(1000 < size < AT_ONCE for size in held_for.values())
    assert sum(size for _, size, _ in loaded) < HEAVIEST
    assert page.locator("script").count() == 0


PAGES = {
    "first": "/",
    "a list to pick from": "/home",
    "several": "/home/ask?asked=opening:stands",
    "pieces": "/home/ask?asked=opening:size",
    "a number": "/home/ask?asked=slab_humidity",
    "many to choose": "/wrong",
    "refused": "/home?case=x",
    "no such page": "/nothing",
    "answer": f"{GARAGE}home",
    "causes": f"{GARAGE}wrong",
    "counter": f"{GARAGE}counter",
    "own products and prices": "/counter/own",
    "what if": "/whatif?fact=slab_age&at=88",
    "reasons": "/reasons",
    "begin a lesson": "/lesson",
    "lesson": f"{GARAGE}lesson",
    "into a class": "/class/in",
    "rules": "/rules?words=humidity",
    "rule": "/rules/rule?name=vapour.humidity_about_the_makers_limit",
    "rule of causes": "/rules/rule?name=complaint.second_trouble_fits",
    "cause": "/rules/cause?name=water_under_pressure",
    "try rules": "/rules/try",
    "limit": "/rules/limit?name=air_dry",
    "source": "/rules/source?name=astm_f2170",
    "for programs": "/api/v1",
}


@pytest.mark.parametrize("name", PAGES)
def test_axe_finds_nothing_and_nothing_runs_over(opened: Callable[..., Page], name: str) -> None:
    for scheme, size in (("light", PHONE), ("dark", LARGEST)):
        page = opened(PAGES[name], viewport=size, color_scheme=scheme)
        if page.locator("details").count():
            page.locator("details > summary").first.click()
        _looked_over(page)


def test_a_class_in_three_browsers_one_without_script(opened: Callable[..., Page]) -> None:
    teacher = opened("/example?floor=old_tile_kitchen&way=lesson", viewport=LARGEST, color_scheme="dark")
    press(teacher, "With a class")
    _looked_over(teacher)
    press(teacher, "Begin the class")
    word = teacher.locator(".word").inner_text()
    phone, plain = opened("/class/in", viewport=PHONE), opened("/class/in", viewport=PHONE, java_script_enabled=False)
    for pupil in (phone, plain):
        pupil.get_by_label("The word that your teacher gave you").fill(word)
        press(pupil, "Come in")
        pupil.get_by_label("The fact to ask for").select_option(index=1)
        press(pupil, "Answer")
    expect(teacher.get_by_text("2 answers to this question, 2 pupils")).to_be_visible()
    press(teacher, "Take no more answers, and explain")
    _looked_over(teacher)
    expect(phone.get_by_text("The next question comes here.")).to_be_visible()
    _looked_over(phone)
    press(plain, "Look again")
    expect(plain.get_by_text("The next question comes here.")).to_be_visible()
    press(teacher, "Go on")
    expect(phone.get_by_role("heading", name="2. ")).to_be_visible()
    phone.locator("label.choice").first.click()
    press(phone, "Answer")
    _looked_over(phone)


def finish_lesson(page: Page, most: int = 40) -> None:
    """Answer whatever the lesson asks, by the first that is offered."""
    for _ in range(most):
        if not page.locator("main form").count():
            return
        if page.locator("select#answer").count():
            page.locator("select#answer").select_option(index=1)
        if page.locator("button[name=answer]").count():
            with page.expect_navigation():
                page.locator("button[name=answer]").first.click()
        else:
            press(page, "Answer", exact=True)
    raise AssertionError("the lesson has no end")


def test_a_trainer_goes_from_the_lesson_of_a_floor_to_its_printed_letter(opened: Callable[..., Page]) -> None:
    page = opened("/", viewport=LARGEST)
    press(page, "Lessons Predict")
    press(page, "Kitchen with old tile")
    finish_lesson(page)
    expect(page.get_by_text("points").first).to_be_visible()
    _looked_over(page)
    press(page, "Letter")
    expect(page.get_by_text("Dear customer,")).to_be_visible()
    assert page.pdf(format="A4").startswith(b"%PDF")


def test_a_products_sheet_and_prices_are_brought_along_by_keyboard_and_put_away(opened: Callable[..., Page]) -> None:
    page = opened(f"{GARAGE}counter", viewport=PHONE)
    press(page, "Your products and prices")
    tab_to(page, "#sheet_text")
    page.keyboard.type("product: The grey one\nlike: flake epoxy with a clear coat\nhumidity: 900 %")
    tab_to(page, "button.main")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("900 %")
    _looked_over(page)
    page.locator("#sheet_text").fill("product: The grey one\nlike: flake epoxy with a clear coat\nhumidity: 90 %")
    press(page, "Judge this product too")
    page.locator("#prices_text").fill(BOOK)
    press(page, "Use these prices")
    _looked_over(page)
    press(page, "Back to the counter")
    expect(page.get_by_text("The grey one").first).to_be_visible()
    press(page, "Cost and shopping list")
    expect(page.get_by_text("what was pasted").first).to_be_visible()
    page.go_back()
    press(page, "Your products and prices")
    press(page, "Put away: flake epoxy")
    press(page, "Back to the counter")
    expect(page.get_by_text("The grey one")).to_have_count(0)


def test_the_reasons_are_walked_by_list_and_by_picture_and_made_larger(opened: Callable[..., Page]) -> None:
    page = opened("/reasons?node=standing:epoxy_flake")
    page.locator(".nested summary").first.click()
    expect(page.locator(".nested details[open] li").first).to_be_visible()
    _looked_over(page)
    drawn = page.locator(".drawn svg")
    first = page.locator(".drawn g.node a").first
    first.hover()
    pointed = page.locator("[data-pointed]")
    expect(pointed).to_be_visible()
    assert len(pointed.inner_text()) > 5
    before = drawn.bounding_box()
    page.get_by_label("Larger or smaller").fill("200")
    after = drawn.bounding_box()
    assert before
    assert after
    assert after["width"] > 1.8 * before["width"]
    with page.expect_navigation():
        page.locator(".drawn svg a[*|href]").first.focus()
        page.keyboard.press("Enter")
    assert "node=" in page.url


@pytest.mark.parametrize("where", ["/home/picture?", "/whatif?moved=slab_humidity%3D97+%25&"])
def test_every_picture_is_made_larger(opened: Callable[..., Page], where: str) -> None:
    page = opened(where)
    drawn = page.locator(".drawn img")
    expect(drawn).to_be_visible()
    page.wait_for_function("document.querySelector('.drawn img').complete")
    before = drawn.bounding_box()
    page.get_by_label("Larger or smaller").fill("200")
    after = drawn.bounding_box()
    assert before
    assert after
    assert after["width"] == pytest.approx(2 * before["width"], rel=0.02)
    assert after["height"] == pytest.approx(2 * before["height"], rel=0.02)


def test_rules_are_tried_and_what_is_wrong_appears_by_itself(opened: Callable[..., Page]) -> None:
    page = opened("/rules/try", viewport=PHONE)
    page.get_by_label("The rules, as a file").fill(f"rules: {MARKUP}")
    press(page, "Try them")
    expect(page.get_by_text("These rules cannot be used: they are refused.")).to_be_visible(timeout=60_000)
    assert "taken" not in page.title()
    _looked_over(page)


@pytest.mark.parametrize("name", ["full", "why", "picture", "takes", "plan", "letter", "settled", "said"])
def test_axe_finds_nothing_on_what_is_told_on_request(opened: Callable[..., Page], name: str) -> None:
    page = opened(f"{GARAGE}home", viewport=PHONE, color_scheme="dark")
    page.goto(page.url.replace("/home/answer", f"/home/{name}"))
    _looked_over(page)


def _looked_over(page: Page) -> None:
    found = Axe().run(page)
    told = [(each["id"], [node["html"] for node in each["nodes"]][:3]) for each in found.response["violations"]]
    assert not told, page.url
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), page.url
