"""The form as a package in pages that component frameworks render on a server: it is upgraded, has its key, and its events are heard; and its types."""

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.browsing import complaints
from tests.browser.shop_page import command

HERE = Path(__file__).parent / "frameworks"
TOOLS = Path(__file__).parents[2] / ".ci" / "frameworks" / "node_modules"
KNOWN = {"boat": {"name": 'O\'Wagtail & "Sons"'}}
FORM = "wire-quote-form"


@pytest.fixture(scope="session")
def modules(tmp_path_factory):
    """A folder of packages with the form's, as its command writes it, among those of `.ci/frameworks`."""
    if not TOOLS.is_dir() or shutil.which("node") is None:
        reason = "no frameworks here: `npm ci --prefix .ci/frameworks` brings them"
        if os.environ.get("TEST_SERVICES_REQUIRED"):
            pytest.fail(reason)
        # on a newcomer's machine; .ci/run installs them, and then it is a failure
        pytest.skip(reason)
    folder = tmp_path_factory.mktemp("packages")
    place = folder / "node_modules"
    place.mkdir()
    for each in TOOLS.iterdir():
        (place / each.name).symlink_to(each)
    command(folder, "form", "package", str(place / FORM))
    for each in HERE.iterdir():
        (folder / each.name).symlink_to(each)
    return folder


def run(*arguments, folder):
    done = subprocess.run(arguments, cwd=folder, capture_output=True, encoding="utf-8", check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def bundled(modules, name, *options):
    """A script of the folder with all that it imports, as bytes."""
    out = modules / "bundled" / f"{name}.js"
    defined = '--define:process.env.NODE_ENV="production"'
    flags = ("__VUE_OPTIONS_API__=false", "__VUE_PROD_DEVTOOLS__=false", "__VUE_PROD_HYDRATION_MISMATCH_DETAILS__=true")
    build = [
        modules / "node_modules/esbuild/bin/esbuild",
        f"{name}.js",
        "--bundle",
        f"--outfile={out}",
        "--preserve-symlinks",
        "--log-level=warning",
        defined,
    ]
    run(*build, *(f"--define:{each}" for each in flags), *options, folder=modules)
    return out


@pytest.mark.parametrize("framework", ["react", "vue"])
def test_a_page_rendered_on_a_server_comes_alive_with_its_key(modules, visit, quoting, framework):
    given = json.dumps({"service": quoting.service, "publishableKey": quoting.key, "prefill": KNOWN})
    html = run("node", bundled(modules, f"{framework}_server", "--platform=node"), given, folder=modules)
    assert html.startswith("<section><wire-quote-form")
    assert f'publishable-key="{quoting.key}"' in html
    script = bundled(modules, f"{framework}_browser", "--format=esm").read_bytes()
    page = visit(files={"/page.js": ("text/javascript", script)})  # the usual page first; then that of the framework in its place
    escaped = given.replace("&", "&amp;").replace('"', "&quot;")
    quoting.shop.lines = f'<meta id="given" content="{escaped}"><div id="root">{html}</div><script type="module" src="/page.js"></script>'
    page.goto(quoting.shop.origin)
    page.locator("body[data-hydrated]").wait_for(state="attached")
    expect(page.locator(f"{FORM} h2")).to_have_text("Your boat")
    expect(page.locator(f'{FORM} [data-path="boat.name"] input')).to_have_value(KNOWN["boat"]["name"])
    page.locator(f"{FORM} button[type=submit]").click()
    expect(page.locator("#told li").last).to_have_text("quote-step: wires")
    expect(page.locator(f"{FORM} h2")).to_have_text("Your wires")  # to be heard has the page rendered anew, and the form stays as it is
    assert page.locator(FORM).evaluate("each => each.app.order().customer.reference") == "ORDER-7; campaign=spring"
    assert page.evaluate("document.querySelector('wire-quote-form').publishableKey") == quoting.key
    assert complaints(page) == []
    assert page.seen["complaints"] == []


def test_a_server_may_import_the_module(modules):
    said = run(
        "node",
        "--input-type=module",
        "--eval",
        'import("wire-quote-form").then(each => console.log(Object.keys(each).join()))',
        folder=modules,
    )
    assert said.strip() == "WireQuoteForm"


def test_its_types_say_what_may_be_written(modules):
    """Checked by the compiler, with React's types and Vue's beside them; a line that must not be written and is accepted is an error, too."""
    options = [
        "--strict",
        "--noEmit",
        "--jsx",
        "react-jsx",
        "--module",
        "nodenext",
        "--target",
        "es2022",
        "--lib",
        "es2022,dom",
        "--types",
        "",
    ]
    run("node", modules / "node_modules/typescript/bin/tsc", *options, "--preserveSymlinks", "typed.tsx", folder=modules)


def test_the_package_is_what_npm_would_publish(modules):
    place = modules / "node_modules" / FORM
    listed = json.loads(run("npm", "pack", "--dry-run", "--json", "--ignore-scripts", folder=place))
    [packed] = listed if isinstance(listed, list) else listed.values()
    assert {each["path"] for each in packed["files"]} == {each.name for each in place.iterdir()}
    assert (packed["name"], packed["version"]) == (FORM, json.loads((place / "package.json").read_text(encoding="utf-8"))["version"])
