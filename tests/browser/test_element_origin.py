"""Where the form works: on the pages of the origin that its key is bound to, under the strictest policy, and nowhere else."""

from playwright.sync_api import expect


def test_a_page_of_another_origin_is_refused_and_told_why(visit, quoting):
    page = visit(shop=quoting.stranger)
    told = page.locator("wire-quote-form [role=alert]")
    expect(told).to_contain_text(f"not to this page ({quoting.stranger.origin})")
    assert page.locator("wire-quote-form .field").count() == 0


def test_a_key_that_is_none_is_told_in_the_services_words(visit, quoting):
    page = visit()
    page.locator("wire-quote-form").evaluate("each => each.setAttribute('publishable-key', 'wq_publishable_no')")
    expect(page.locator("wire-quote-form [role=alert]")).to_contain_text("The API key is unknown")


def test_a_module_that_was_changed_on_its_way_is_not_run(visit, quoting, browser):
    page = browser.new_context().new_page()
    page.route(
        "**/form/element.js*", lambda route: route.fulfill(response=route.fetch(), body=route.fetch().text() + "\nwindow.changed = 1")
    )
    page.goto(quoting.shop.origin)
    page.wait_for_timeout(1500)
    assert page.evaluate("[window.changed ?? 0, !!customElements.get('wire-quote-form')]") == [0, False]
    page.context.close()


def test_the_page_asks_nobody_but_the_service(visit, quoting):
    page = visit()
    asked = {each.url.split("/")[2] for each in page.seen["sent"] if not each.url.startswith("data:")}
    assert asked == {quoting.service.split("/")[2], quoting.shop.origin.split("/")[2]}
    assert all(each.headers.get("cookie") is None for each in page.seen["sent"])
    assert page.seen["complaints"] == []


def test_the_look_follows_the_pages_own_properties(visit):
    page = visit()
    page.evaluate("document.querySelector('wire-quote-form').style.setProperty('--wire-quote-accent', 'rgb(90, 20, 60)')")
    button = page.locator("wire-quote-form button[type=submit]")
    assert button.evaluate("each => getComputedStyle(each).backgroundColor") == "rgb(90, 20, 60)"
