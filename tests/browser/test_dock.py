"""The page for the dock: after one visit it opens without a network, leads in the order of the work, and sends what was written once."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser import boat
from tests.browser.browsing import complaints
from tests.browser.conftest import PATIENCE
from tests.browser.keyboard import Keyboard, labels_of
from tests.browser.shop_page import command, publishable_key, watched
from tests.browser.test_demo_shop import LABELS
from tests.service.test_server import free_port, started, stopped, wait_for

CAP = boat.REQUEST["assemblies"][0]
PHONE, NARROWEST = {"width": 390, "height": 844}, {"width": 320, "height": 640}
FORM = "wire-quote-form"
REFUSED = """
  const refuse = () => { throw new DOMException("refused", "SecurityError"); };
  Object.defineProperty(window, "localStorage", {get: refuse});
  navigator.serviceWorker.register = () => Promise.reject(new DOMException("refused", "SecurityError"));
"""


class Dock:
    """A service that can be stopped and started again at one address, with a key for its own pages."""

    def __init__(self, folder):
        self.folder, self.port = folder, free_port()
        self.origin = f"http://127.0.0.1:{self.port}"
        self.key = publishable_key(folder, self.origin)
        self.log = (folder / "log").open("a")
        self.start()

    def start(self):
        self.server = started(self.folder, self.port, out=self.log, SERVICE_FORM_KEY=self.key)
        wait_for(self.server, self.port)

    def stop(self):
        stopped(self.server)

    def quotes(self):
        """The lines of all stored quotes."""
        return [line for line in command(self.folder, "quotes", "list").split("\n") if re.match(r"Q-\d", line)]


@pytest.fixture(scope="module")
def dock(tmp_path_factory):
    made = Dock(tmp_path_factory.mktemp("dock"))
    yield made
    made.stop()
    made.log.close()


@pytest.fixture
def device(browser, dock):
    """`device(size, lang, scripts)`: a browser with a storage of its own, its page open and kept, unless `scripts` refuses that."""
    contexts = []

    def open_page(size=PHONE, lang="en", scripts=""):
        contexts.append(browser.new_context(viewport=size, locale={"en": "en-US", "de": "de-DE"}[lang]))
        contexts[-1].set_default_timeout(PATIENCE)
        if scripts:
            contexts[-1].add_init_script(scripts)
        return opened(contexts[-1], f"{dock.origin}/measure")

    yield open_page
    for context in contexts:
        context.close()


def opened(context, address):
    page = context.new_page()
    page.seen = watched(page)
    page.goto(address)
    page.locator(f"{FORM} :is(h2, [role=alert])").first.wait_for()
    return page


def kept(page):
    """Wait until the page says that it opens without a network; then its drawings are kept, too."""
    expect(page.locator(FORM)).to_contain_text("This page opens without a network on this device from now on.")
    until(page, "caches.keys().then(names => caches.open(names[0])).then(each => each.keys()).then(each => each.length >= 42)")
    return page


def until(page, promise, arg=None):
    """Wait until what a promise tells is true."""
    for _ in range(PATIENCE // 100):
        if page.evaluate(promise, arg):
            return
        page.wait_for_timeout(100)
    raise AssertionError(promise)


def title(page):
    return page.locator(f"{FORM} h2").inner_text()


def labels(page):
    return labels_of(page.evaluate(LABELS))


def record(keyboard, page, assembly, *, first):
    """From the list of wires to the tag; the titles on the way."""
    keyboard.press_button("Add a wire" if first else "Add another wire")
    answers, seen = boat.answers_of(assembly), []
    while title(page) != "Tag and photograph it":
        seen.append(title(page))
        assert len(seen) < 9, seen
        keyboard.fill(answers)
    return seen


def rest(keyboard, page, assembly):
    """From the tag to the list of wires; the titles on the way."""
    answers, seen = boat.answers_of(assembly), []
    while title(page) != "Your wires":
        seen.append(title(page))
        assert len(seen) < 14, seen
        work = {"Tag and photograph it": "Tagged: take it off", "Take it off": "It is off", "Lay it flat": "It lies flat: measure it"}
        keyboard.fill(answers, work.get(seen[-1], "Continue"))
    return seen


def ask_for_a_quote(keyboard):
    keyboard.press_button("Review")
    keyboard.fill(boat.answers({"customer": boat.REQUEST["customer"]}), "Request a quote", go=False)
    keyboard.page.keyboard.press("Enter")  # without a network the page stays


def looked(page):
    width = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    page.evaluate("scrollTo(0, 0)")
    return [*complaints(page), *([f"{width} px too wide"] if width else [])]


def test_without_a_network_it_opens_leads_through_the_work_and_sends_once_when_it_is_back(device, dock):
    first = kept(device())
    words, before = labels(first), dock.quotes()
    context = first.context
    first.close()
    context.set_offline(True)
    page = opened(context, f"{dock.origin}/measure")
    keyboard = Keyboard(page, words)
    expect(page.locator(f"{FORM} .offline")).to_contain_text("No connection")
    keyboard.fill({})
    seen = record(keyboard, page, CAP, first=True)
    assert seen == ["Before you take it off"]
    tag = page.locator(f"{FORM} .tag")
    expect(tag).to_contain_text("CAP-P")
    expect(tag).to_contain_text("1 1/8 in")  # the settings, to be written on it too
    expect(tag).to_contain_text("1 1/16 in")
    assert (
        page.locator(f"{FORM} .tag-name").evaluate("each => parseFloat(getComputedStyle(each).fontSize)") >= 36
    )  # px: 12 mm on a telephone
    assert looked(page) == []
    seen = rest(keyboard, page, CAP)
    assert seen[:2] == ["Tag and photograph it", "Take it off"]
    assert seen[-2:] == ["Lay it flat", "The length"]
    assert "The upper end" in seen[2:-2]  # nobody sees the masthead's end before it is down
    ask_for_a_quote(keyboard)
    expect(page.locator(FORM)).to_contain_text("is sent by itself where there is a network, and makes one quote only")
    assert not any(each.url.endswith("/v1/quotes") for each in page.seen["sent"])
    assert '"since":0' in page.evaluate("JSON.stringify(localStorage)").replace(
        "\\", ""
    )  # nothing can have arrived, so it may wait for days
    page.close()
    context.set_offline(False)
    back = opened(context, f"{dock.origin}/measure")
    back.locator(f"{FORM} .made").wait_for()
    assert len(dock.quotes()) == len(before) + 1
    stored = back.evaluate("JSON.stringify(Object.entries(localStorage).filter(([name]) => !name.includes(' description ')))")
    assert "wire-quote-form" in stored
    assert boat.REQUEST["customer"]["name"] not in stored
    assert "1 1/16 in" not in stored


def test_what_is_kept_is_the_services_own_files_and_no_answer_to_what_people_write(device):
    page = kept(device())
    keyboard = Keyboard(page, labels(page))
    keyboard.fill({"boat.name": "Whimbrel"})
    record(keyboard, page, CAP, first=True)
    rest(keyboard, page, CAP)
    expect(page.locator(f"{FORM} .price")).to_contain_text("For 1 complete wire")
    found = page.evaluate(
        """async () => {
        const found = [];
        for (const name of await caches.keys()) for (const each of await (await caches.open(name)).keys()) found.push(new URL(each.url).pathname);
        return [...new Set(found)].sort();
    }"""
    )
    own = {"/measure", "/measure/app.js", "/measure/icon.svg", "/measure/manifest.json"}
    assert own <= set(found)
    assert [each for each in found if each not in own and not each.startswith("/v1/form/illustrations/")] == []
    scope = page.evaluate("navigator.serviceWorker.getRegistrations().then(all => all.map(each => each.scope))")
    assert [each.rpartition("/")[2] for each in scope] == ["measure"]
    assert page.seen["complaints"] == []


def test_nothing_is_taken_off_before_it_is_recorded_and_one_reading_is_asked_about(device):
    page = kept(device(NARROWEST))
    keyboard = Keyboard(page, labels(page))
    keyboard.fill({})
    record(keyboard, page, CAP, first=True)
    keyboard.press_button("Tagged: record another wire first")
    keyboard.press_button("Add another wire")
    page.get_by_role("button", name="Take it off (unfinished)", exact=True).click()
    alert = page.locator(f"{FORM} .work [role=alert]")
    expect(alert).to_contain_text("This wire is not recorded yet")
    expect(page.locator(f"{FORM} .steps")).to_contain_text("Support the mast with other lines")
    expect(page.locator(f"{FORM} .steps")).to_contain_text("Nobody goes up a mast whose rigging is being taken down")
    assert looked(page) == []
    alert.get_by_role("button").click()
    assert title(page) == "Before you take it off"
    keyboard.press_button("All wires")
    page.locator(f"{FORM} .wire button", has_text="Edit").first.click()
    assert title(page) == "Take it off"  # where the work on the first wire goes on
    expect(page.locator(f"{FORM} .work")).to_contain_text("Not recorded yet: Wire 2")
    one = {**CAP, "measurement": {**CAP["measurement"], "readings": CAP["measurement"]["readings"][:1]}}
    answers = boat.answers_of(one)
    while title(page) != "The length":
        keyboard.fill(answers, {"Take it off": "It is off", "Lay it flat": "It lies flat: measure it"}.get(title(page), "Continue"))
    keyboard.fill(answers, go=False)
    page.keyboard.press("Enter")
    expect(page.locator(f"{FORM} .page [role=alert]", has_text="one reading only")).to_be_visible()
    page.wait_for_timeout(3000)  # longer than a page waits for its lengths to be read
    assert title(page) == "The length"
    assert looked(page) == []
    page.keyboard.press("Enter")
    expect(page.locator(f"{FORM} h2")).to_have_text("Your wires")


def test_a_browser_without_storage_is_told_so_and_works_while_it_is_open(device, dock):
    page = device(scripts=REFUSED)
    expect(page.locator(f"{FORM} .said").first).to_contain_text("This browser keeps nothing")
    expect(page.locator(FORM)).to_contain_text("This browser cannot keep the page")
    assert looked(page) == []
    keyboard, before = Keyboard(page, labels(page)), dock.quotes()
    keyboard.fill({})
    page.context.set_offline(True)
    record(keyboard, page, CAP, first=True)
    rest(keyboard, page, CAP)
    page.context.set_offline(False)
    ask_for_a_quote(keyboard)
    page.locator(f"{FORM} .made").wait_for()
    assert len(dock.quotes()) == len(before) + 1


def test_two_tabs_show_one_draft_and_send_it_once(device, dock):
    one = kept(device())
    keyboard, before = Keyboard(one, labels(one)), dock.quotes()
    other = opened(one.context, f"{dock.origin}/measure")
    keyboard.fill({})
    record(keyboard, one, CAP, first=True)
    rest(keyboard, one, CAP)
    expect(other.locator(f"{FORM} .frame")).to_contain_text("The draft was changed in another window")
    expect(other.locator(f"{FORM} h3", has_text="CAP-P")).to_be_visible()
    one.context.set_offline(True)
    ask_for_a_quote(keyboard)
    expect(one.locator(FORM)).to_contain_text("makes one quote only")
    expect(other.locator(FORM)).to_contain_text("makes one quote only")
    one.context.set_offline(False)  # both send the same
    for page in (one, other):
        page.locator(f"{FORM} .made").wait_for()
    assert len(dock.quotes()) == len(before) + 1
    assert one.locator(f"{FORM} .made dd").first.inner_text() == other.locator(f"{FORM} .made dd").first.inner_text()


def test_the_service_stopped_in_the_middle_and_the_page_killed_make_one_quote(device, dock):
    page = kept(device())
    keyboard, before = Keyboard(page, labels(page)), dock.quotes()
    keyboard.fill({})
    record(keyboard, page, CAP, first=True)
    rest(keyboard, page, CAP)

    keys = []

    def made_but_never_heard(route):
        keys.append(route.request.headers["idempotency-key"])
        route.fetch()
        dock.stop()
        route.abort()

    page.context.route(re.compile(r"/v1/quotes$"), made_but_never_heard, times=1)
    ask_for_a_quote(keyboard)
    expect(page.locator(FORM)).to_contain_text("makes one quote only")
    page.close()
    page = opened(page.context, f"{dock.origin}/measure")  # the service is down: what was kept is shown
    expect(page.locator(FORM)).to_contain_text("makes one quote only")
    dock.start()
    page.locator(f"{FORM} .made").wait_for()  # sent again by itself
    again = [each.headers["idempotency-key"] for each in page.seen["sent"] if each.url.endswith("/v1/quotes")]
    assert set(again) == set(keys)
    assert len(dock.quotes()) == len(before) + 1
    assert page.locator(f"{FORM} .made dd").first.inner_text() in dock.quotes()[0] + dock.quotes()[-1]


def test_a_newer_page_is_kept_with_one_visit_and_the_older_is_gone(device, dock):
    page = kept(device())
    (older,) = page.evaluate("caches.keys()")
    dock.stop()
    dock.key = publishable_key(dock.folder, dock.origin)  # another key makes another page
    dock.start()
    page.reload()
    until(page, "older => caches.keys().then(names => names.length === 1 && names[0] !== older)", older)
    page.context.set_offline(True)
    page.reload()
    page.locator(f"{FORM} h2").wait_for()
    assert page.locator(FORM).get_attribute("publishable-key") == dock.key


def test_everything_can_be_deleted_from_the_device(device):
    page = kept(device())
    keyboard = Keyboard(page, labels(page))
    keyboard.fill({"boat.name": "Whimbrel"})
    record(keyboard, page, CAP, first=True)
    page.wait_for_function("() => JSON.stringify(localStorage).includes('Whimbrel')", polling=100)
    page.locator(f"{FORM} summary", has_text="What is kept on this device").click()
    page.locator(f"{FORM} button", has_text="Delete everything of this page").click()
    page.locator(f"{FORM} button", has_text="Really delete it all").click()
    expect(page.locator(f"{FORM} h2")).to_have_text("Everything of this page is deleted from this device")
    expect(page.locator(f"{FORM} h2")).to_be_focused()
    left = "Promise.all([caches.keys(), navigator.serviceWorker.getRegistrations()]).then(([names, all]) => [localStorage.length, names.length, all.length])"
    assert page.evaluate(left) == [0, 0, 0]
    assert looked(page) == []


def test_it_is_german_and_can_be_installed(device):
    page = device(NARROWEST, "de")
    assert page.evaluate("document.documentElement.lang") == "de"
    expect(page.locator(FORM)).to_contain_text("Diese Seite öffnet sich auf diesem Gerät von nun an auch ohne Netz.")
    assert looked(page) == []
    told = page.context.new_cdp_session(page).send("Page.getInstallabilityErrors")["installabilityErrors"]
    assert [each["errorId"] for each in told if each["errorId"] != "in-incognito"] == []
    assert page.seen["complaints"] == []


def test_a_lifeline_has_its_own_ends_and_the_work_lacks_no_price(device):
    page = kept(device())
    page.context.set_offline(True)
    page.get_by_role("button", name="Continue").click()
    page.get_by_role("button", name="Add a wire").click()
    page.get_by_role("radio", name="Lower lifeline, port").click()
    parts = page.locator(f"{FORM} .parts .full-name")
    expect(parts).to_have_text([
        "Before you take it off", "Tag and photograph it", "Take it off", "The wire", "The forward end", "The after end", "Lay it flat", "The length",
    ])  # fmt: skip
    live = page.locator(f"{FORM} .live")
    expect(live).to_have_text("first details still missing")  # its place is told
    page.get_by_role("group", name="Anything unusual?").get_by_text("No", exact=True).click()
    page.get_by_role("radio", name="None", exact=True).click()
    page.get_by_role("button", name="Continue").click()
    expect(page.locator(f"{FORM} h2")).to_have_text("Tag and photograph it")
    expect(live).to_have_text("wire still missing")  # tag and photograph are no answer that a price needs
