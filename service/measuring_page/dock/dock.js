// The form's application for the dock: the same questions and the same draft, with the work between them.

class DockApp extends App {
  static { App.made = (...given) => new DockApp(...given); }

  frame() {
    super.frame();
    const { texts } = this;
    this.ready = el("p", { class: "hint", role: "status" });
    const stays = keepsText() ? texts.dockStays : texts.dockStaysNot;
    const all = sureButton(texts.dockDelete, texts.dockDeleteSure, texts.keep, () => this.deleteAll(), { class: "second" });
    this.device = el("details", { class: "device" }, el("summary", { text: texts.dockDevice }), el("p", { text: stays }), all);
    this.foot.append(this.ready, this.device);
    this.root.firstChild.prepend(el("div", { role: "status", class: "said" }, keepsText() ? null : el("p", { class: "notice", text: texts.dockStaysNot })));
    this.root.adoptedStyleSheets = [STYLES, DOCK_STYLES];
  }

  async start() {
    const loading = super.start();
    const kept = await keepPage();
    if (this.stopped.signal.aborted) return;
    this.ready.textContent = kept ? this.texts.dockReady : this.texts.dockNotReady;
    await loading;
    if (kept && this.form) await keepPictures(this.service, this.language, this.stopped.signal);
  }

  boot(draft) {
    this.form = withSteps(this.form, this.texts);
    super.boot(draft);
  }

  modelOf(draft) {
    return new DockModel(this.form, draft, this.lengths);
  }

  pageAt(at) {
    const page = super.pageAt(at);
    if (!(page instanceof SectionPage) || !page.id) return page;
    if (isStep(at.section)) return new StepPage(this, at.id, at.section);
    return at.section === measuredIn(this.form) ? new LengthPage(this, at.id, at.section) : page;
  }

  /** With the work among them, but not where answers are looked over. */
  partsOf(id) {
    const asking = new Set(super.partsOf(id).map((each) => each.name));
    const looking = this.page instanceof ReviewPage;
    const entries = this.model.entries(id);
    return this.form.sections.filter((each) => asking.has(each.name) || (isStep(each.name) && !looking)).map((each) => titled(each, entries));
  }

  /** The work needs the room for its own. */
  draw() {
    if (this.page instanceof StepPage) return this.drawing.update();
    return super.draw();
  }

  async deleteAll() {
    this.keepSoon?.cancel();
    this.dirty = false;
    this.stop();
    await deleteAll(this.store.name);
    this.root.replaceChildren(el("div", { class: "frame", lang: this.spoken }, el("h2", { tabindex: -1, text: this.texts.dockDeleted }), el("p", { text: this.texts.dockDeletedHelp })));
    this.root.querySelector("h2").focus();
  }
}
