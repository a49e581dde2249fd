"""Measures how soon the first pages can be used on a phone's line, with nothing kept, by a Chromium made slow.

The line is that of the profile "4G" of published tables of connections: 9 Mbit/s each way and 170 ms a round trip
(connectivity.ini.sample of WebPageTest, quoted by others). The slower one, 1.6 Mbit/s and 150 ms, is what Lighthouse's
docs/throttling.md calls "Slow 4G" (quoted by others). The protocol of Chromium's developer tools delays each reply by
the round trip, and not the set-up of a connection: that is added here, one round trip for TCP (RFC 9293, section 3.5)
and one for TLS 1.3 (RFC 8446, section 2), which a proxy in front would speak. Prints times, asserts nothing.
"""

from __future__ import annotations

import shutil
import statistics
import subprocess
import sys

import httpx
from playwright.sync_api import Browser, sync_playwright

LINES = {"4G": (9.0, 170), "slow 4G": (1.6, 150)}  # Mbit/s, ms
PAGES = ("/", "/home", "/counter", "/lesson")
SET_UP = 2  # round trips: TCP and TLS
TIMES = 7
PHONE = {"width": 360, "height": 740}
CAN_BE_USED = "performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd"
SHOWN = "(performance.getEntriesByName('first-contentful-paint')[0] || {startTime: 0}).startTime"


def cold(browser: Browser, at: str, speed: float, round_trip: int) -> float:
    """Milliseconds until a page that nothing was kept of is shown and answers, without the set-up of its connection."""
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    line = context.new_cdp_session(page)
    line.send("Network.enable")
    rate = speed * 1e6 / 8
    slow = {"offline": False, "latency": round_trip, "downloadThroughput": rate, "uploadThroughput": rate}
    line.send("Network.emulateNetworkConditions", slow)
    page.goto(at, wait_until="load")
    page.wait_for_function(f"() => {SHOWN} > 0")
    took = max(float(page.evaluate(CAN_BE_USED)), float(page.evaluate(SHOWN)))
    context.close()
    return took


def main() -> None:
    """Serve, measure, print."""
    chromium = shutil.which("chromium")
    if chromium is None:
        print("no Chromium is found: sudo apt-get install chromium")
        return
    with subprocess.Popen(
        [sys.executable, "-m", "advisor", "serve", "--port", "0"], stdout=subprocess.PIPE, text=True
    ) as server:
        assert server.stdout is not None
        at = server.stdout.readline().split("at ")[1].split(" ")[0].rstrip("/")
        try:
            with httpx.Client(transport=httpx.HTTPTransport(retries=30), timeout=120) as first:
                sizes = {path: len(first.get(f"{at}{path}").content) for path in PAGES}
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
                for name, (speed, round_trip) in LINES.items():
                    for path in PAGES:
                        took = [cold(browser, at + path, speed, round_trip) for _ in range(TIMES)]
                        whole = statistics.median(took) + SET_UP * round_trip
                        told = f"{statistics.median(took):.0f} ms, {whole:.0f} ms with its connection"
                        print(f"{name}: {path} ({sizes[path] / 1e3:.1f} kB) can be used after {told}")
                browser.close()
        finally:
            server.terminate()


if __name__ == "__main__":
    main()
