"""What axe finds on every page, in both schemes, wide and narrow, and in forms at work."""

import pytest

from calc.forms import FORMS
from tests.site.conftest import STILL, OpenPage
from tests.site.form_page import wait_until
from tests.site.test_pages import BUT_COLOUR, BY_COLOUR, SCHEME, violations
from tests.site.test_pages import addresses as addresses


def test_axe_finds_nothing_on_any_page_and_none_is_wider_than_a_narrow_phone(
    addresses: list[str], open_page: OpenPage, site: str
) -> None:
    page = open_page("", color_scheme="light", viewport={"width": 1280, "height": 900}, bypass_csp=True, script=STILL)
    wrong = {}
    for address in addresses:
        page.emulate_media(color_scheme="light")
        page.goto(site + address)
        found = violations(page)
        page.set_viewport_size({"width": 320, "height": 640})
        found += violations(page, BUT_COLOUR)
        width = page.evaluate("document.documentElement.scrollWidth")
        found += [f"{width} px wide"] if width > 320 else []
        page.set_viewport_size({"width": 1280, "height": 900})
        page.emulate_media(color_scheme="dark")
        wait_until(page, f"{SCHEME} === 'night'")
        found += violations(page, BY_COLOUR)
        if found:
            wrong[address] = found
    assert wrong == {}


@pytest.mark.parametrize(("scheme", "forms"), [("light", list(FORMS)), ("dark", ["receiver"])])
def test_axe_finds_nothing_in_live_forms_with_an_error(scheme: str, forms: list[str], open_page: OpenPage) -> None:
    wrong = {}
    for form in forms:
        page = open_page(f"forms/{form}/", live=True, color_scheme=scheme)
        control = page.locator(".bp-field input.bp-control[name]:visible").first
        control.fill("12 parsecs")
        page.wait_for_selector(".bp-error:visible")
        page.get_by_role("button", name="Copy link").click()
        if found := violations(page):
            wrong[form] = found
        page.close()
    assert wrong == {}
