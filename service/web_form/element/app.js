// The application: loads the description, moves between pages, stores the draft, and notices a lost connection.

const KEEP_AFTER_MS = 250;
const LOOK_AGAIN_MS = 5000;
const DESCRIPTION_FORMAT = 4; // raised when an older description cached in the browser would no longer work

class App {
  static made = (...given) => new App(...given); // the page for the dock makes its own

  /** `draft`: that of an earlier application on the same page; without it, the stored one. */
  constructor(host, root, draft) {
    Object.assign(this, { host, root, handed: draft });
    this.asked = languageOf(host);
    this.language = Object.hasOwn(TEXTS, this.asked) ? this.asked : "en";
    this.spoken = this.language; // another than that only with the shop's own texts
    this.texts = textsFor(this.language);
    this.service = new Service(host.service, host.publishableKey);
    this.store = new DraftStore(`wire-quote-form ${this.service.address} ${host.getAttribute("draft") ?? ""}`.trim());
    this.stopped = new AbortController();
    this.press = new Press(root, () => this.page && this.update(), this.stopped.signal);
    this.frame();
  }

  frame() {
    const { texts } = this;
    this.said = el("div", { role: "status", class: "said" });
    this.connection = el("div", { role: "status", class: "said" });
    this.place = el("div", { class: "place" });
    this.aside = el("div", { class: "aside" });
    this.drawn = el("div", { class: "drawn-place" });
    this.kept = el("p", { class: "kept" });
    this.foot = el("div", { class: "foot" }, el("p", { class: "caution", text: texts.caution }), this.kept);
    this.root.replaceChildren(el("div", { class: "frame", lang: this.spoken }, this.connection, this.said, el("div", { class: "columns" }, this.place, el("div", { class: "side" }, this.drawn, this.aside)), this.foot));
  }

  async start() {
    if (!this.host.service || !this.host.publishableKey) return this.lacking();
    this.place.replaceChildren(el("p", { role: "status", text: this.texts.loading }));
    const { signal } = this.stopped;
    addEventListener("online", () => this.look(), { signal });
    addEventListener("offline", () => this.lost(), { signal });
    addEventListener("pagehide", () => this.dirty && this.keep(), { signal });
    addEventListener("storage", (event) => event.key === this.store.name && this.changedElsewhere(), { signal });
    await this.load();
  }

  stop() {
    this.stopped.abort();
    this.previewer?.cancel();
    this.drawing?.cancel();
    clearTimeout(this.looking);
    clearTimeout(this.sender?.timer);
    if (this.dirty) this.keep();
  }

  /** The description from the service; if the service cannot be reached, the one cached last. */
  async load() {
    const [answer] = await Promise.all([this.service.form(this.language), this.speak()]);
    if (this.stopped.signal.aborted) return;
    const name = `${this.store.name} description ${DESCRIPTION_FORMAT} ${this.language}`;
    if (answer.kind === "ok") keepText(name, JSON.stringify(answer.body));
    const kept = answer.kind === "ok" ? null : keptText(name);
    const foreign = answer.kind === "offline" && (await this.service.isThere());
    if (answer.kind !== "ok") this.failed("load", foreign ? { ...answer, kind: "origin" } : answer);
    if (answer.kind === "refused") return this.fail([this.texts.refusedForm, answer.body?.detail].filter(Boolean).join(" "));
    if (foreign) return this.fail(this.texts.wrongOrigin(location.origin));
    if (answer.kind !== "ok" && !kept) return this.failAndTryAgain(answer.wait);
    const form = answer.kind === "ok" ? answer.body : JSON.parse(kept);
    this.form = this.own ? inOwnWords(form, this.own, this.further) : form;
    const { draft, kept: found, problem } = this.handed ? { draft: this.handed } : this.store.load();
    this.handed = null;
    this.emit("quote-ready", { language: this.spoken, draft: Boolean(found) });
    this.boot(draft);
    this.tell({ stale: this.texts.draftStale, unreadable: this.texts.draftUnreadable }[problem] ?? (found && !draft.quote ? this.texts.draftFound : ""));
    if (answer.kind !== "ok") this.lost();
  }

  /** Without an address or a key nothing can be asked. */
  lacking() {
    const old = this.host.hasAttribute("key") && !this.host.publishableKey;
    const words = old ? this.texts.oldKey : this.texts.noKey;
    this.complain("setup", words);
    this.fail(words);
  }

  /** Take up the shop's own texts, if they are for this language; what is wrong with them is told to its developer, and the form speaks as before. */
  async speak() {
    try {
      const given = await givenTexts(this.host.texts, `${this.store.name} texts`);
      if (!given || this.stopped.signal.aborted) return;
      const own = checkedTexts(given);
      const lang = given.lang ?? this.language;
      if (lang.split("-")[0].toLowerCase() !== this.asked) return;
      this.further = !Object.hasOwn(TEXTS, this.asked);
      Object.assign(this, { own, spoken: this.further ? lang : this.language });
      this.texts = textsFor(this.language, own, this.further);
      this.frame();
      if (this.offline) this.sayOffline();
    } catch (error) {
      this.complain("texts", error.message);
    }
  }

  /** What the shop's developer must know; visitors are not bothered with it. */
  complain(step, words) {
    console.error(`wire-quote-form, ${step}: ${words}`);
    this.failed(step, { kind: "unusable" });
  }

  failed(step, { kind, status, body }) {
    const pointers = (body?.errors ?? []).map((each) => each.pointer).filter(Boolean);
    this.emit("quote-failed", { step, reason: kind, ...(status && { status }), ...(pointers.length && { pointers }) });
  }

  /** Fill in what the shop knows already. */
  fill() {
    if (!this.model || this.model.draft.quote) return;
    this.know(this.model.draft);
    this.update();
    this.readAll();
    this.previewer.schedule();
  }

  know(draft) {
    const { prefill } = this.host;
    if (!prefill || draft.quote) return;
    try {
      const unknown = fillIn(this.form, draft, typeof prefill === "string" ? JSON.parse(prefill) : prefill);
      if (unknown.length) throw new TypeError(`the form cannot fill in ${unknown.slice(0, 9).join(", ") || "this"}`);
    } catch (error) {
      this.complain("prefill", error.message);
    }
  }

  fail(words, ...more) {
    this.place.replaceChildren(el("div", { class: "summary", role: "alert" }, el("p", { text: words }), ...more));
  }

  failAndTryAgain(wait) {
    const again = () => {
      clearTimeout(this.looking);
      this.load();
    };
    this.fail(this.texts.cannotLoad, button(this.texts.tryAgain, again));
    this.looking = setTimeout(again, wait * 1000 || LOOK_AGAIN_MS);
  }

  /** Start with a draft. */
  boot(draft) {
    this.previewer?.cancel();
    this.drawing?.cancel();
    clearTimeout(this.sender?.timer);
    this.know(draft);
    this.lengths = new LengthReader(this.service, this.language, (answer) => this.heard(answer));
    this.model = this.modelOf(draft);
    this.previewer = new Previewer(this.model, this.service, this.texts, (state) => this.previewed(state));
    this.sender = new Sender(() => this.model.draft, this.service, () => this.keep(), (state) => this.sent(state));
    this.price = new PricePanel(this.texts, this.spoken);
    this.drawing = new DrawingPanel(this);
    this.drawn.replaceChildren(this.drawing.root);
    this.forgetting = sureButton(this.texts.forget, this.texts.forgetSure, this.texts.keep, () => this.forget(), { class: "quiet" });
    this.keptSaid = el("span", {});
    this.kept.replaceChildren(this.keptSaid, " ", this.forgetting);
    this.show();
    this.readAll();
    this.previewer.schedule();
    this.sayKept(draft.saved > 0);
    if (this.sender.pending && !this.sender.old) this.sender.send();
  }

  modelOf(draft) {
    return new Model(this.form, draft, this.lengths);
  }

  /** Check the lengths of all wires, including those typed in an earlier visit. */
  readAll() {
    const entries = [undefined, ...this.model.draft.assemblies.map((each) => each.id)].flatMap((id) => this.model.entries(id));
    this.lengths.readEntries(entries);
  }

  // Pages

  go(at, path) {
    this.model.draft.at = at;
    this.tell("");
    this.show();
    this.keep();
    const field = path && this.page.questions?.fields.get(path);
    if (field) field.focus();
    else this.page.title.focus();
  }

  /** The draft's current page; the list of wires if that page does not exist. */
  show() {
    this.page = this.pageAt(this.model.draft.at);
    this.place.replaceChildren(this.page.root);
    this.aside.replaceChildren(...(this.model.draft.quote ? [] : [this.price.root]));
    this.kept.hidden = Boolean(this.model.draft.quote);
    this.refresh();
    this.sayStep();
  }

  /** Tell the shop's page which page is shown now. */
  sayStep() {
    const { page, model } = this;
    const wires = model.draft.assemblies;
    const kind = [[DonePage, "done"], [ReviewPage, "review"], [OverviewPage, "wires"]].find(([each]) => page instanceof each)?.[1] ?? "questions";
    const wire = page.id ? wires.findIndex((each) => each.id === page.id) + 1 : null;
    const step = { page: kind, section: page.section?.name ?? null, wire, wires: wires.length };
    const same = JSON.stringify(step) === JSON.stringify(this.step);
    this.step = step;
    if (!same) this.emit("quote-step", step);
  }

  pageAt({ page, id, section }) {
    const { draft } = this.model;
    if (draft.quote) return new DonePage(this);
    if (this.sender.pending || page === "review") return new ReviewPage(this);
    const scope = id ? "assembly" : "request";
    const known = this.form.sections.some((each) => each.name === section && each.scope === scope);
    if (page === "section" && known && (!id || this.model.assembly(id))) return new SectionPage(this, id, section);
    const [first] = this.model.requestSections().before;
    if (page === "start" && first) return new SectionPage(this, undefined, first.name);
    return new OverviewPage(this);
  }

  /** The sections of an assembly that ask something. */
  partsOf(id) {
    return askingSections(this.form, "assembly", this.model.given(id));
  }

  open(id) {
    const parts = this.partsOf(id);
    const first = this.model.assembly(id).copied ? parts[0] : (parts.find((each) => this.model.open(id, each.name)) ?? parts[0]);
    this.go({ page: "section", id, section: first.name });
  }

  /** The page after a section; for a copied wire, the next one with an unanswered question. */
  onward(id, section) {
    if (!id) {
      const { before } = this.model.requestSections();
      const next = before[before.findIndex((each) => each.name === section) + 1];
      return this.go(next ? { page: "section", section: next.name } : { page: "overview" });
    }
    const parts = this.partsOf(id);
    const rest = parts.slice(parts.findIndex((each) => each.name === section) + 1);
    const { copied } = this.model.assembly(id);
    const next = copied ? rest.find((each) => this.model.open(id, each.name)) : rest[0];
    this.go(next ? { page: "section", id, section: next.name } : { page: "overview" });
  }

  removed(id) {
    this.model.remove(id);
    this.previewer.schedule();
    this.go({ page: "overview" });
  }

  update() {
    if (!this.press.holds()) this.refresh();
  }

  refresh() {
    this.page.update();
    if (!this.model.draft.quote) this.price.update(this.previewer.state, this.model, this.page.id);
    this.draw();
  }

  /** Draw the wire whose questions are shown, with the one that is being answered marked. */
  draw() {
    const { id, questions } = this.page;
    this.drawing.update(id, id && questions?.asked());
  }

  /** Go to the question that a place in a wire's request belongs to. */
  lead(id, pointer) {
    const question = questionAt(this.model.entries(id), pointer)?.question;
    const named = this.partsOf(id).find((each) => each.name === pointer.split("/")[1]); // where only a short question asks it yet
    if (question ?? named) this.go({ page: "section", id, section: question?.section ?? named.name }, question?.path);
  }

  // Events

  answered() {
    this.dirty = true;
    this.keepSoon ??= debounced(() => this.keep(), KEEP_AFTER_MS);
    this.keepSoon();
    this.previewer.schedule();
    this.update();
  }

  /** Called when the service has answered about lengths, or could not be reached. */
  heard(answer) {
    if (answer.kind === "offline") return this.lost();
    if (answer.kind !== "ok") return;
    this.previewer.schedule();
    this.update();
  }

  previewed(state) {
    if (state.kind === "offline") this.lost();
    if (state.kind === "ok") {
      const { totals, currency, left_out, assemblies } = state.answer.body;
      this.emit("quote-previewed", { payable: totals.payable, currency, left_out, assemblies: assemblies.length });
    }
    if (state.answer && state.kind !== "ok") this.failed("preview", state.answer);
    if (this.page) this.update();
  }

  /** The request for a quote, with the shop's reference before the customer's own. */
  order() {
    const { assemblies } = this.model.draft;
    const request = this.model.request(assemblies, true);
    try {
      const reference = referenceOf(this.host);
      if (reference) (request.customer ??= {}).reference = [reference, request.customer.reference].filter(Boolean).join("; ");
    } catch (error) {
      this.complain("reference", error.message);
    }
    this.emit("quote-requested", { assemblies: assemblies.length });
    return request;
  }

  sent(state) {
    if (state.kind === "lost") this.lost();
    if (["lost", "limited", "failed", "refused"].includes(state.kind)) this.failed("request", state.answer ?? { kind: state.kind === "lost" ? "offline" : state.kind });
    if (state.kind === "made") return this.made(state.quote, state.link);
    if (state.kind === "refused") {
      this.show();
      return this.page.refused?.(state.answer, this.model.draft.assemblies.map((each) => each.id));
    }
    if (!(this.page instanceof ReviewPage)) this.show();
    this.update();
  }

  /** The link leads to name and address, so it is kept for this visit only: the next user of the device must not find it. */
  made(quote, link) {
    this.link = link && `${link}&lang=${this.language}`;
    const draft = { ...emptyDraft(), quote };
    this.store.save(draft);
    this.boot(draft);
    this.tell("");
    this.page.title.focus();
    this.emit("quote-created", { ...quote, href: this.link });
  }

  emit(name, detail) {
    this.host.dispatchEvent(new CustomEvent(name, { detail, bubbles: true, composed: true }));
  }

  // The draft

  keep() {
    this.dirty = false;
    const kept = this.store.save(this.model.draft);
    if (!kept && !this.unkept) this.failed("draft", { kind: "storage" });
    this.unkept = !kept;
    this.sayKept(kept);
  }

  sayKept(yes) {
    const time = new Intl.DateTimeFormat(this.language, { timeStyle: "short" }).format(this.model.draft.saved || Date.now());
    this.keptSaid.textContent = yes ? this.texts.draftKept(time) : this.model.draft.saved ? this.texts.draftNot : "";
    this.forgetting.hidden = !this.model.draft.saved;
  }

  forget() {
    this.keepSoon?.cancel();
    this.store.forget();
    this.link = "";
    this.boot(emptyDraft());
    this.tell(this.texts.forgotten);
    this.page.title.focus();
  }

  changedElsewhere() {
    if (!this.model || this.sender.state.kind === "sending") return;
    this.boot(this.store.load().draft);
    this.tell(this.texts.draftOther);
  }

  tell(words) {
    this.said.replaceChildren(...(words ? [el("p", { class: "notice", text: words })] : []));
  }

  // The connection

  lost() {
    clearTimeout(this.looking);
    this.looking = setTimeout(() => this.look(), LOOK_AGAIN_MS);
    if (this.offline) return;
    this.offline = true;
    this.sayOffline();
  }

  sayOffline() {
    this.connection.replaceChildren(el("p", { class: "notice offline", text: this.texts.offline }));
  }

  async look() {
    clearTimeout(this.looking);
    if (!this.offline || !this.model) return;
    if (!(await this.service.isThere())) return this.lost();
    this.offline = false;
    this.connection.replaceChildren(el("p", { class: "notice", text: this.texts.online }));
    this.readAll();
    this.previewer.again();
    this.drawing.again();
    this.sender.send();
  }
}

/** The element's own `lang`, else that of an ancestor, else the browser's: its first part, as "de" of "de-CH". */
function languageOf(host) {
  const said = host.getAttribute("lang") || host.closest("[lang]")?.getAttribute("lang") || navigator.language;
  return said.split("-")[0].toLowerCase();
}

function keepText(name, text) {
  try {
    localStorage.setItem(name, text);
  } catch {
    // it will be requested again
  }
}

function keptText(name) {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;
  }
}
