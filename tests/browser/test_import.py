"""A table is looked at, mended and taken in, on a phone, with or without scripts."""

import pytest
from playwright.sync_api import expect

from arbuscula.desk.tree import list_trees

pytestmark = pytest.mark.browser
FIG = "ficus-microcarpa"
HEAD = "label,species,bench,crown\n"


@pytest.mark.parametrize("scripts", [True, False])
def test_a_table_is_looked_at_mended_and_taken_in(
    desk, served, playwright, chromium, scripts
):
    phone = chromium.new_context(
        **playwright.devices["Pixel 7"], java_script_enabled=scripts
    )
    page = phone.new_page()
    page.goto(served.at("/benches"))
    page.get_by_role("link", name="Take in a table of trees").click()
    table = f"{HEAD}Älder,{FIG},Bench 3,huge\n".encode()
    file = {"name": "trees.csv", "mimeType": "text/csv", "buffer": table}
    page.locator("[name=file]").set_input_files(file)
    page.get_by_role("button", name="Look at it").click()
    expect(page.get_by_role("alert")).to_contain_text("row 2: crown is 'huge'")
    page.locator("[name=text]").fill(f"{HEAD}Älder,{FIG},Bench 3,large\n")
    page.get_by_role("button", name="Look at it").click()
    expect(page.locator(".rows li")).to_have_count(1)
    assert len(list_trees(desk).trees) == 6
    page.get_by_role("button", name="Take them in: 1").click()
    expect(page.get_by_role("status")).to_contain_text("trees set up: 1, Älder")
    assert list_trees(desk).trees[-1].label == "Älder"
    phone.close()
