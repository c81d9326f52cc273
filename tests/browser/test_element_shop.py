"""What a shop gives its form: a look, texts, answers that it knows, a reference; and what its page is told. Nothing that it gives can break the form."""

import json
import re

import pytest
from playwright.sync_api import expect

from tests.browser import boat
from tests.browser.test_element_boat import Visitor
from tests.browser.test_element_wire import CAP, at_the_wires, field

TEXTS = "/texts.json"
FRENCH = {  # from memory, not read by a native
    "lang": "fr",
    "texts": {
        "Continue": "Continuer", "Your wires": "Vos câbles", "Boat's name": "Nom du bateau", "Add a wire": "Ajouter un câble",
        "Price so far": "Prix <b>provisoire</b>", "1 answer is missing": "Il manque 1 réponse", "{n} answers are missing": "Il manque {n} réponses",
        "Millimetres first": "Millimètres d'abord",
        "Support the mast with other lines before any stay or shroud is removed.": "Soutenez le mât avant de démonter un étai ou un hauban.",
        "An estimate from your measurements: the rigger verifies every length and fitting before cutting. Support the mast before any stay comes off.": "Une estimation d'après vos mesures : le gréeur vérifie tout avant de couper.",
    },
}  # fmt: skip
KNOWN = {"boat": {"name": "Wagtail", "length_overall": "27 ft 6 in"}, "customer": {"name": "Ada Example", "email": "owner@example.org"}}
FORM = "wire-quote-form"


def file_of(texts):
    return {TEXTS: ("application/json", texts if isinstance(texts, bytes) else json.dumps(texts).encode())}


def attribute(value):
    """JSON as the value of an attribute between single quotes."""
    return json.dumps(value).replace("&", "&amp;").replace("'", "&#39;")


def heard(page, name):
    return [detail for each, detail in page.evaluate("window.heard ?? []") if each == name]


def lines_of(page):
    """What was written to the console by the form."""
    return [each for each in page.seen["complaints"] if each.startswith("wire-quote-form")]


def test_the_old_name_of_the_key_is_told_on_the_page_and_in_the_console(visit, quoting):
    page = visit()
    page.evaluate(
        "each => { const form = document.querySelector('wire-quote-form'); form.setAttribute('key', form.publishableKey); form.publishableKey = null; }"
    )
    told = page.locator(f"{FORM} [role=alert]")
    expect(told).to_contain_text("The attribute “key” is called “publishable-key” now")
    assert any("publishable-key" in each for each in lines_of(page))
    assert heard(page, "quote-failed") == [{"step": "setup", "reason": "unusable"}]
    page.evaluate(f"document.querySelector('wire-quote-form').publishableKey = {quoting.key!r}")
    expect(page.locator(f"{FORM} h2")).to_have_text("Your boat")


def test_a_language_called_as_what_every_object_has_is_one_that_there_is_not(visit):
    page = visit()
    page.locator(FORM).evaluate("each => { each.lang = 'constructor'; }")
    expect(page.locator(f"{FORM} h2")).to_have_text("Your boat")
    expect(page.locator(f"{FORM} .caution").first).to_contain_text("An estimate from your measurements")


def test_properties_set_before_the_class_is_known_count_and_can_still_be_changed(visit, quoting):
    page = visit()
    page.evaluate(
        """given => {
          const bare = document.createElement("wire-quote-form"); // with properties of its own, as an element has that was no form yet
          for (const [name, value] of Object.entries(given)) Object.defineProperty(bare, name, {value, configurable: true, writable: true});
          document.querySelector("wire-quote-form").replaceWith(bare);
        }""",
        {"service": quoting.service, "publishableKey": quoting.key, "draft": "second", "prefill": {"boat": {"name": "Sandpiper"}}},
    )
    name = field(page, "boat.name").locator("input")
    expect(name).to_have_value("Sandpiper")
    assert page.locator(FORM).get_attribute("publishable-key") == quoting.key
    page.locator(FORM).evaluate("each => { each.prefill = {boat: {name: 'Curlew'}}; }")
    expect(name).to_have_value("Curlew")
    assert page.seen["complaints"] == []


def test_its_parts_can_be_styled_from_outside(visit):
    css = b"""wire-quote-form::part(button) { text-transform: uppercase } wire-quote-form::part(title) { letter-spacing: 3px }
    wire-quote-form::part(input) { border-style: dashed } wire-quote-form::part(button-quiet) { font-style: italic }
    wire-quote-form { --wire-quote-heading-font: serif; --wire-quote-field: rgb(250, 245, 230); --wire-quote-button-radius: 20px }"""
    page = visit(files={"/shop.css": ("text/css", css)})
    page.evaluate(
        """() => new Promise(onload => document.head.append(Object.assign(document.createElement("link"), {rel: "stylesheet", href: "/shop.css", onload})))"""
    )
    look = "(each, name) => getComputedStyle(each)[name]"
    form = page.locator(FORM)
    assert form.locator("button[type=submit]").evaluate(look, "textTransform") == "uppercase"
    assert form.locator("button[type=submit]").evaluate(look, "borderTopLeftRadius") == "20px"
    assert form.locator("h2").evaluate(look, "letterSpacing") == "3px"
    assert form.locator("h2").evaluate(look, "fontFamily") == "serif"
    line = field(page, "boat.name").locator("input")
    assert (line.evaluate(look, "borderTopStyle"), line.evaluate(look, "backgroundColor")) == ("dashed", "rgb(250, 245, 230)")
    assert form.locator("button[type=submit]").evaluate(look, "fontStyle") == "normal"
    assert form.locator(".kept button").evaluate(look, "fontStyle") == "italic"
    assert page.seen["complaints"] == []


def test_what_the_shop_knows_is_filled_in_and_never_over_what_somebody_typed(visit):
    page = visit(given=f"prefill='{attribute(KNOWN)}'")
    name, length = field(page, "boat.name").locator("input"), field(page, "boat.length_overall").locator("input")
    expect(name).to_have_value("Wagtail")
    expect(length).to_have_value("27 ft 6 in")
    name.fill("Sandpiper")
    length.fill("")
    later = {"boat": {"name": "Curlew", "length_overall": "30 ft"}, "customer": {"name": "Bo Example"}}
    page.locator(FORM).evaluate("(each, later) => { each.prefill = later; }", later)
    expect(name).to_have_value("Sandpiper")
    expect(length).to_have_value("")
    expect(page.locator(f"{FORM} .kept")).to_contain_text("Draft kept on this device")
    page.reload()
    expect(page.locator(f"{FORM} .frame")).to_contain_text("Your draft was found")
    expect(name).to_have_value("Sandpiper")
    expect(length).to_have_value("")
    assert page.seen["complaints"] == []


def test_another_customer_replaces_the_one_that_nobody_touched(visit):
    page = visit(given=f"prefill='{attribute(KNOWN)}'")
    name = field(page, "boat.name").locator("input")
    expect(name).to_have_value("Wagtail")
    page.locator(FORM).evaluate("each => { each.prefill = {boat: {name: 'Curlew'}}; }")
    expect(name).to_have_value("Curlew")


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ("{", "JSON"),
        ("[1]", "cannot fill in this"),
        ('{"boat": {"name": {"a": {"b": {"c": {"d": 1}}}}}}', "cannot fill in /boat/name/a/b"),
        ('{"boat": {"name": 7, "mast": "x"}, "__proto__": {"polluted": 1}}', "/boat/name, /boat/mast, /__proto__/polluted"),
        ('{"customer": {"external_id": "x"}, "delivery": "by drone"}', "/customer/external_id, /delivery"),
        (json.dumps({"boat": {"name": "a" * 2001}}), "/boat/name"),
        (json.dumps({"boat": {"name": "a\u202eb"}}), "/boat/name"),
    ],
)
def test_what_cannot_be_filled_in_is_told_to_the_developer_and_the_form_works(visit, given, told):
    page = visit(given=f"prefill='{given.replace(chr(39), '&#39;')}'")
    expect(field(page, "boat.name").locator("input")).to_have_value("")
    assert [told in each for each in lines_of(page)] == [True]
    assert heard(page, "quote-failed") == [{"step": "prefill", "reason": "unusable"}]
    assert page.evaluate("({}).polluted ?? null") is None
    Visitor(page, {}).keyboard.press_button("Continue")
    expect(page.locator(f"{FORM} h2")).to_have_text("Your wires")


def test_a_further_language_comes_from_a_file_and_what_lacks_in_it_stays_english(visit):
    page = visit(lang="fr", given=f'texts="{TEXTS}"', files=file_of(FRENCH))
    form = page.locator(FORM)
    expect(field(page, "boat.name").locator("label").first).to_contain_text("Nom du bateau")
    expect(field(page, "boat.length_overall").locator("label").first).to_contain_text("Boat's length overall")
    expect(form.locator(".frame")).to_have_attribute("lang", "fr")
    expect(form.locator(".caution")).to_have_text(FRENCH["texts"][list(FRENCH["texts"])[-1]])
    expect(form.locator(".price h3")).to_have_text("Prix <b>provisoire</b>")
    assert form.locator("b").count() == 0
    assert heard(page, "quote-ready") == [{"language": "fr", "draft": False}]
    form.locator("button[type=submit]", has_text="Continuer").click()
    expect(form.locator("h2")).to_have_text("Vos câbles")
    form.get_by_role("button", name="Ajouter un câble").click()
    form.get_by_role("button", name="All wires").click()
    expect(form.locator(".state")).to_have_text(re.compile(r"Il manque \d+ réponses"))
    assert page.seen["complaints"] == []


def test_a_language_of_the_service_takes_the_shops_words_but_its_own_cautions(visit):
    own = {"texts": {**FRENCH["texts"], "Continue": "Next please"}}
    page = visit(given=f'texts="{TEXTS}"', files=file_of(own))
    expect(page.locator(f"{FORM} button[type=submit]")).to_have_text("Next please")
    expect(page.locator(f"{FORM} .caution")).to_contain_text("the rigger verifies every length")
    assert page.locator(f"{FORM} .frame").get_attribute("lang") == "en"


def test_texts_of_another_language_than_the_form_is_asked_for_are_left_aside(visit):
    page = visit(lang="de", given=f'texts="{TEXTS}"', files=file_of(FRENCH))
    expect(page.locator(f"{FORM} button[type=submit]")).to_have_text("Weiter")
    assert page.seen["complaints"] == []


def test_texts_given_as_an_object_keep_what_was_typed_even_where_nothing_is_stored(visit):
    page = visit()
    page.evaluate("() => { Storage.prototype.setItem = () => { throw new Error('full'); }; }")
    field(page, "boat.name").locator("input").fill("Sandpiper")
    page.locator(FORM).evaluate("each => { each.texts = {texts: {Continue: 'Go on'}}; }")
    expect(page.locator(f"{FORM} button[type=submit]")).to_have_text("Go on")
    expect(field(page, "boat.name").locator("input")).to_have_value("Sandpiper")
    assert {"step": "draft", "reason": "storage"} in heard(page, "quote-failed")


@pytest.mark.parametrize(
    ("file", "told"),
    [
        (b"{", "JSON"),
        (b"<html>", "JSON"),
        (b"[]", '"texts"'),
        (b'{"texts": []}', '"texts"'),
        (b'{"texts": {"Continue": 7}}', '"Continue"'),
        (b'{"texts": {"Continue": ""}}', '"Continue"'),
        (b'{"texts": {"Continue": "a\\u0000"}}', '"Continue"'),
        (b'{"texts": {"Continue": {"toString": "x"}}}', '"Continue"'),
        (b'{"lang": "<script>", "texts": {}}', '"lang"'),
        (b'{"lang": 7, "texts": {"__proto__": {"polluted": 1}}}', '"lang"'),
        (json.dumps({"texts": {"{n} answers are missing": "many"}}).encode(), "names in braces"),
        (json.dumps({"texts": {str(each): "x" for each in range(3001)}}).encode(), "3000 texts"),
        (b'{"texts": {"a": "' + b"x" * 500_000 + b'"}}', "500000 characters"),
        (b"[" * 100_000, "wire-quote-form, texts"),
    ],
    ids=lambda each: repr(each)[:40],
)
def test_a_hostile_file_of_texts_is_refused_whole_and_the_form_speaks_english(visit, file, told):
    page = visit(lang="fr", given=f'texts="{TEXTS}"', files=file_of(file))
    expect(page.locator(f"{FORM} button[type=submit]")).to_have_text("Continue")
    assert [told in each for each in lines_of(page)] == [True], page.seen["complaints"]
    assert heard(page, "quote-failed") == [{"step": "texts", "reason": "unusable"}]
    assert page.evaluate("({}).polluted ?? null") is None


@pytest.mark.parametrize(
    ("address", "told"), [("/none.json", "answered 404"), ("https://elsewhere.example/texts.json", "own origin"), ("https://", "URL")]
)
def test_texts_that_cannot_be_had_are_told_and_the_form_speaks_english(visit, address, told):
    page = visit(given=f'texts="{address}"', files=file_of(FRENCH))
    expect(page.locator(f"{FORM} button[type=submit]")).to_have_text("Continue")
    assert [told in each for each in lines_of(page)] == [True]


def test_a_quote_takes_reference_and_hidden_fields_along_and_each_step_is_told_without_names(visit, quoting):
    hidden = '<input type="hidden" name="campaign" value="spring &amp; autumn"><input type="hidden" name="empty" value=""><input type="hidden" value="bare">'
    page = visit(given='reference="ORDER-7"', inside=hidden)
    visitor = Visitor(page, quoting.labels())
    visitor.keyboard.fill({"boat.name": "Sandpiper"})
    visitor.add(CAP, first=True)
    page.locator(f"{FORM} .price", has_text="For 1 complete wire").wait_for()
    visitor.keyboard.press_button("Review")
    visitor.keyboard.fill(boat.answers({"customer": boat.REQUEST["customer"]}), "Request a quote")
    page.locator(f"{FORM} .made").wait_for()
    sent = [
        json.loads(each.post_data) for each in page.seen["sent"] if each.method == "POST" and each.url.endswith(("/v1/quotes", "/preview"))
    ]
    assert sent[-1]["customer"] == {**boat.REQUEST["customer"], "reference": "ORDER-7; campaign=spring & autumn; bare"}
    assert all("customer" not in each for each in sent[:-1])  # a price needs no reference
    told = page.evaluate("window.heard")
    names = [name for name, _ in told]
    assert [name for place, name in enumerate(names) if name != "quote-step" and name not in names[:place]] == [
        "quote-ready",
        "quote-previewed",
        "quote-requested",
        "quote-created",
    ]
    steps = heard(page, "quote-step")
    assert steps[0] == {"page": "questions", "section": "boat", "wire": None, "wires": 0}
    assert steps[1] == {"page": "wires", "section": None, "wire": None, "wires": 0}
    assert [(each["wire"], each["wires"]) for each in steps if each["page"] == "questions"][1:] == [(1, 1)] * (len(steps) - 5)
    assert [each["page"] for each in steps[-3:]] == ["wires", "review", "done"]
    assert page.locator(FORM).evaluate("each => each.step") == steps[-1]
    without_link = json.dumps([detail if name != "quote-created" else {**detail, "href": ""} for name, detail in told])
    assert not re.search(r"Ada|owner@|Sandpiper|ORDER", without_link)
    assert page.seen["complaints"] == []


@pytest.mark.parametrize("reference", ["x" * 81, "a&#10;b"])
def test_a_reference_that_is_none_is_told_and_costs_the_customer_nothing(visit, quoting, reference):
    page = visit(given=f'reference="{reference}"')
    found = page.locator(FORM).evaluate("each => { const { customer } = each.app.order(); return customer?.reference ?? null; }")
    assert found is None
    assert heard(page, "quote-failed") == [{"step": "reference", "reason": "unusable"}]
    assert [("80 characters" in each) for each in lines_of(page)] == [True]


def test_a_lost_connection_and_a_refusal_are_told_with_places_and_no_answers(visit, quoting):
    visitor = at_the_wires(visit, quoting)
    page = visitor.page
    refusal = {"status": 422, "detail": "no", "errors": [{"pointer": "#/customer/email", "detail": "owner@example.org is none"}]}
    page.route(re.compile(r"/v1/quotes/preview$"), lambda route: route.abort())
    visitor.add(CAP, first=True)
    expect(page.locator(f"{FORM} .price")).to_contain_text("No connection")
    assert heard(page, "quote-failed")[0] == {"step": "preview", "reason": "offline"}
    answer = {"status": 422, "headers": {"Access-Control-Allow-Origin": quoting.shop.origin}, "content_type": "application/problem+json"}
    page.route(re.compile(r"/v1/quotes$"), lambda route: route.fulfill(body=json.dumps(refusal), **answer))
    visitor.keyboard.press_button("Review")
    visitor.keyboard.fill(boat.answers({"customer": boat.REQUEST["customer"]}), "Request a quote")
    expect(page.locator(f"{FORM} .summary")).to_contain_text("is none")
    assert heard(page, "quote-failed")[-1] == {"step": "request", "reason": "refused", "status": 422, "pointers": ["#/customer/email"]}
