import os
import shutil

import pytest


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
