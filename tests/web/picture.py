"""Makes the README's picture of the page anew: a question with how to find out, and the answer, as on a phone.

``python -m tests.web.picture``; look at it before it is committed.
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

from tests.web.test_browser import CHROMIUM, GARAGE, Served

PLACE = Path(__file__).parents[2] / "advisor" / "demo" / "page.png"
SIZE, BETWEEN, COLOURS = (470, 1150), 15, 48
SCALE = 0.75


def main() -> None:
    """Serve, look at two pages, and put them side by side."""
    served = Served()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(
            viewport={"width": SIZE[0], "height": SIZE[1]}, base_url=served.at, device_scale_factor=SCALE
        )
        page.set_default_timeout(120_000)
        page.goto(f"{GARAGE}home")
        answer = page.screenshot()
        page.goto(page.url.replace("/home/answer?", "/home/ask?asked=slab_humidity&"))
        page.locator("details > summary").first.click()
        page.wait_for_load_state("networkidle")
        question = page.screenshot()
        browser.close()
    served.stop()
    shots = [Image.open(BytesIO(each)).convert("RGB") for each in (question, answer)]
    beside = Image.new("RGB", (2 * shots[0].width + BETWEEN, shots[0].height), "#777777")
    for place, shot in enumerate(shots):
        beside.paste(shot, (place * (shot.width + BETWEEN), 0))
    beside.quantize(COLOURS, dither=Image.Dither.NONE).save(PLACE, optimize=True)


if __name__ == "__main__":
    main()
