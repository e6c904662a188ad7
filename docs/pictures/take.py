"""Takes the README's pictures from a running demo shop.

.venv/bin/python docs/pictures/take.py http://localhost:8000 var/first-log-ins.txt
"""

import sys
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

HERE = Path(__file__).parent
CHROMIUM = "/usr/bin/chromium"


def main(base: str, logins: Path) -> None:
    passwords = dict(line.split()[:2] for line in logins.read_text(encoding="utf-8").splitlines() if line.strip())
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        owner = _log_in(browser, base, "ines", passwords["ines"], width=1280, height=800)
        owner.goto(f"{base}/week/")
        owner.screenshot(path=HERE / "week.png")
        _open_job(owner, base, "Upstairs bath")
        owner.get_by_role("link", name="Change", exact=True).first.click()
        owner.screenshot(path=HERE / "layout.png")
        _open_job(owner, base, "Tub surround")
        owner.get_by_role("link", name="Proposal 1").click()
        owner.get_by_role("button", name="Make a link").click()
        link = owner.locator("input[readonly], code").first
        address = link.input_value() if link.evaluate("e => e.tagName") == "INPUT" else link.inner_text()
        client = browser.new_context(viewport={"width": 390, "height": 844}).new_page()
        client.goto(base + "/p/" + address.split("/p/")[1])
        client.screenshot(path=HERE / "proposal.png")
        installer = _log_in(browser, base, "rui", passwords["rui"], width=390, height=844)
        installer.get_by_role("link", name="Waterproofing").first.click()
        installer.wait_for_function("[...document.images].every(image => image.complete && image.naturalWidth)")
        installer.screenshot(path=HERE / "phase.png")
        browser.close()


def _log_in(browser: Browser, base: str, name: str, password: str, *, width: int, height: int) -> Page:
    page = browser.new_context(viewport={"width": width, "height": height}).new_page()
    page.goto(f"{base}/login/")
    page.get_by_label("Log-in name").fill(name)
    page.get_by_label("Password", exact=True).fill(password)
    page.get_by_role("button", name="Log in").click()
    return page


def _open_job(page: Page, base: str, title: str) -> None:
    page.goto(f"{base}/jobs/")
    page.get_by_role("link", name=title).first.click()


if __name__ == "__main__":
    main(sys.argv[1].rstrip("/"), Path(sys.argv[2]))
