// The pages: a section of questions, the list of wires, and what comes at the end. Each has `root`, `title` and `update()`.

const READING_MOST_MS = 2500;

class SectionPage {
  constructor(app, id, section) {
    Object.assign(this, { app, id });
    this.section = titled(app.form.sections.find((each) => each.name === section), app.model.entries(id));
    this.questions = new Questions(app, id, section);
    this.summary = new Summary(app.texts);
    this.title = el("h2", { tabindex: -1, text: this.section.title });
    this.crumb = el("p", { class: "crumb", hidden: !id });
    this.parts = el("ol", { class: "parts" });
    this.more = el("ul", { class: "findings" });
    const moreTitle = el("h3", { text: app.texts.more });
    this.moreBox = el("section", { hidden: true }, moreTitle, this.more);
    const nav = id ? el("nav", { "aria-label": app.texts.parts }, this.parts) : null;
    const help = this.section.help ? el("p", { class: "lead", text: this.section.help }) : null;
    const copied = id && app.model.assembly(id).copied ? el("p", { class: "notice", text: app.texts.copied }) : null;
    this.alike = el("div", { class: "actions", hidden: true });
    const go = el("div", { class: "actions" }, el("button", { type: "submit", text: app.texts.next }), exampleButton(app), button(id ? app.texts.toWires : app.texts.back, () => app.go({ page: "overview" }), { class: "quiet", hidden: !id }));
    const form = el("form", { novalidate: true, on: { submit: (event) => this.submit(event) } }, this.questions.root, this.moreBox, go);
    this.root = el("div", { class: "page" }, this.crumb, nav, this.title, this.summary.root, help, copied, this.alike, form);
  }

  update() {
    const { app, id } = this;
    this.questions.update();
    if (!id) return;
    const place = app.model.draft.assemblies.findIndex((each) => each.id === id);
    const wire = app.texts.wireOf(place + 1, app.model.draft.assemblies.length);
    this.crumb.textContent = [wire, app.model.tag(id)].filter(Boolean).join(": ");
    this.fillParts(app.partsOf(id));
    this.offerAlike();
    const elsewhere = app.model.findings(id).filter((each) => !each.at);
    this.more.replaceChildren(...elsewhere.map((each) => findingItem(app.texts, each)));
    this.moreBox.hidden = !elsewhere.length;
  }

  /** On the page where the wire is chosen: the same as one that is there already, on the other side. */
  offerAlike() {
    const { app, id } = this;
    const { model, texts } = app;
    const here = this.section.name === app.partsOf(id)[0]?.name;
    const found = here ? model.likeOnOtherSide(id) : [];
    const same = (each) => () => {
      model.become(id, each.id);
      app.answered();
      app.open(id);
    };
    this.alike.hidden = !found.length;
    refill(this.alike, found.map((each) => button(texts.alike(model.tag(each.id)), same(each), { class: "second" })));
  }

  fillParts(sections) {
    const shape = JSON.stringify(sections.map((each) => [each.title, this.app.model.open(this.id, each.name)]));
    if (shape !== this.shape) refill(this.parts, sections.map((each, place) => this.part(each, place + 1)));
    this.shape = shape;
  }

  part(section, number) {
    const { app, id } = this;
    const here = section.name === this.section.name;
    const open = app.model.open(id, section.name);
    const sign = el("span", { "aria-hidden": "true", text: open ? " ○" : " ✓" });
    const mark = el("span", { class: "mark" }, sign, el("span", { class: "unseen", text: ` (${open ? app.texts.missingHere : app.texts.complete})` }));
    const link = button("", () => app.go({ page: "section", id, section: section.name }), { class: here ? "part here" : "part", "aria-current": here ? "step" : null });
    link.append(el("span", { class: "short-name", "aria-hidden": "true", text: String(number) }), el("span", { class: "full-name", text: section.title }), mark);
    return el("li", {}, link);
  }

  /** Go on once the lengths have been read, or have taken too long; without a connection at once, and they are read later. */
  async submit(event) {
    event.preventDefault();
    if (!this.app.offline) await Promise.race([this.questions.read(), pause(READING_MOST_MS)]);
    if (this.app.page !== this) return;
    const problems = this.questions.problems();
    this.summary.show(problems);
    if (!problems.length) this.app.onward(this.id, this.section.name);
  }
}

/** Fills in the example beside what was written; null where there is a wire. */
function exampleButton(app) {
  const { model, form } = app;
  if (model.draft.assemblies.length) return null;
  return button(app.texts.fillIn, () => {
    model.draft.request = { ...form.example.request, ...model.draft.request };
    model.add({ ...form.example.assembly });
    app.readAll();
    app.answered();
    app.go({ page: "overview" });
  }, { class: "quiet" });
}

class OverviewPage {
  constructor(app) {
    this.app = app;
    const { texts } = app;
    this.title = el("h2", { tabindex: -1, text: texts.wires });
    this.list = el("ul", { class: "wires" });
    this.add = button("", () => app.open(app.model.add()));
    this.review = button(texts.toReview, () => app.go({ page: "review" }), { class: "second" });
    const boat = app.model.requestSections().before.map((each) => button(each.title, () => app.go({ page: "section", section: each.name }), { class: "quiet" }));
    this.root = el("div", { class: "page" }, this.title, el("p", { class: "lead", text: texts.wiresHelp }), this.list, el("div", { class: "actions" }, this.add, this.review, ...boat, exampleButton(app)));
  }

  update() {
    const { model, texts } = this.app;
    const wires = model.draft.assemblies;
    const shape = JSON.stringify(wires.map((each) => [each.id, model.name(each.id, texts), model.open(each.id), model.judged(each.id)?.readiness]));
    this.add.textContent = wires.length ? texts.another : texts.add;
    this.add.hidden = model.full;
    this.review.hidden = !wires.length;
    if (shape === this.shape) return;
    this.shape = shape;
    const items = wires.map((each) => this.wire(each));
    refill(this.list, items.length ? items : [el("li", { class: "none", text: texts.noWires })]);
  }

  wire({ id }) {
    const { app } = this;
    const { model, texts } = app;
    const name = model.name(id, texts);
    const open = model.open(id);
    const side = model.otherSideMissing(id);
    const about = (text, work, more = {}) => button(text, work, { "aria-label": `${text}: ${name}`, ...more });
    const copy = side && !open ? about(texts.copyTo(texts[side]), () => app.open(model.copy(id)), { class: "second" }) : null;
    const remove = sureButton(texts.remove, texts.removeSure, texts.keep, () => app.removed(id), { class: "quiet", "aria-label": `${texts.remove}: ${name}` });
    const state = open ? texts.incomplete(open) : [texts.complete, texts[model.judged(id)?.readiness]].filter(Boolean).join(". ");
    const kind = open ? "open" : (model.judged(id)?.readiness ?? "");
    return el("li", { class: `wire ${kind}`, "data-wire": id }, el("h3", { text: name }), el("p", { class: "state", text: state }), el("div", { class: "actions" }, about(texts.edit, () => app.open(id), { class: "second" }), copy, remove));
  }
}

class DonePage {
  constructor(app) {
    const { texts, language } = app;
    const { number, valid_until, payable, currency, left_out } = app.model.draft.quote;
    const row = (name, value) => el("div", {}, el("dt", { text: name }), el("dd", { text: value }));
    this.title = el("h2", { tabindex: -1, text: texts.thanks });
    const rows = el("dl", { class: "made" }, row(texts.number, number), row(texts.total, payable === null ? texts.priceNone : money(payable, currency, language)), row(texts.valid, day(valid_until, language)));
    const left = left_out?.length ? el("p", { class: "notice", text: texts.leftOut(left_out.join(", ")) }) : null;
    const open = app.link ? el("p", {}, el("a", { class: "open", href: app.link, target: "_blank", rel: "noopener", text: texts.openQuote })) : null;
    const keep = app.link ? el("p", { text: texts.openQuoteHelp }) : null;
    this.root = el("div", { class: "page" }, this.title, rows, left, open, keep, el("p", { text: texts.thanksNext }), cautionsOf(app), el("div", { class: "actions" }, button(texts.startNew, () => app.forget(), { class: "second" })));
  }

  update() {}
}

/** The caution that every document for people carries. */
function cautionsOf({ form, texts }) {
  const title = el("h3", { text: texts.cautionsTitle });
  return el("section", { class: "cautions" }, title, el("ul", {}, ...form.cautions.map((each) => el("li", { text: each }))));
}
