"""A real browser on a live server. Without one the tests are skipped, unless TUBESHELF_REQUIRE_BROWSER is 1."""

import os
import shutil
from typing import Any

import pytest
from django.conf import settings
from playwright.sync_api import expect, sync_playwright

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PHONE: dict[str, Any] = {"viewport": {"width": 360, "height": 740}, "is_mobile": True, "has_touch": True}
DESK: dict[str, Any] = {"viewport": {"width": 1280, "height": 900}}

# A busy machine may take its time over a page.
expect.set_options(timeout=30_000)


@pytest.fixture(scope="session")
def browser():
    path = os.environ.get("TUBESHELF_CHROMIUM") or shutil.which("chromium")
    if not path:
        reason = "no browser: install chromium, or name one in TUBESHELF_CHROMIUM"
        if os.environ.get("TUBESHELF_REQUIRE_BROWSER") == "1":
            pytest.fail(reason)
        pytest.skip(reason)
    with pytest.MonkeyPatch.context() as patch:
        # Playwright's own event loop runs in this thread; the database is still used from one thread at a time.
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        with sync_playwright() as playwright:
            chromium = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
            yield chromium
            chromium.close()


@pytest.fixture
def enter(browser, live_server, client):
    """Open a page as somebody. What the browser logs as an error, such as a refused style, fails the test."""
    contexts, errors = [], []

    def open_page(user, device=DESK, **options):
        context = browser.new_context(base_url=live_server.url, **{**device, **options})
        contexts.append(context)
        if user:
            client.force_login(user)
            cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
            context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}])
        page = context.new_page()
        page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: errors.append(str(error)))
        return page

    yield open_page
    for context in contexts:
        context.close()
    # An answer of 4xx is logged by the browser although the page it brings is what was wanted.
    assert [error for error in errors if "the server responded with a status of 4" not in error] == []
