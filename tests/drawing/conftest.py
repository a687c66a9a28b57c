import os
import shutil

import pytest

from tests.drawing.edit_desk import Desk, edit_page


@pytest.fixture(scope="module")
def chromium():
    """Return a running Chromium; where it is missing tests are left out, but not in CI."""
    path = shutil.which("chromium")
    if path is None:
        if os.environ.get("CI"):
            pytest.fail("there is no chromium; .ci/run installs it")
        pytest.skip("there is no chromium on this machine")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        flags = ["--disable-gpu", "--disable-background-networking", "--no-first-run", "--disable-sync"]
        if os.geteuid() == 0:
            flags.append("--no-sandbox")
        browser = playwright.chromium.launch(executable_path=path, args=flags)
        yield browser
        browser.close()


@pytest.fixture
def desk_of(chromium, tmp_path):
    """Return a function that opens the page to paint on; complaints and requests must stay none."""
    trouble, contexts = [], []

    def opened(pattern, width=1280, height=800, scheme="light", context=None):
        path = tmp_path / "edit.html"
        path.write_text(edit_page(pattern), encoding="utf-8")
        if context is None:
            context = chromium.new_context(
                viewport={"width": width, "height": height}, offline=True, color_scheme=scheme, has_touch=True
            )
            contexts.append(context)
        tab = context.new_page()
        tab.on("console", lambda message: trouble.append(message.text))
        tab.on("pageerror", lambda error: trouble.append(str(error)))
        # What the page itself made for saving is not fetched from anywhere.
        tab.on(
            "request", lambda ask: None if ask.url.startswith(("file:", "blob:")) else trouble.append(ask.url)
        )
        tab.goto(path.as_uri())
        desk = Desk(tab, pattern)
        desk.settled()
        return desk

    yield opened
    for context in contexts:
        context.close()
    assert trouble == []
