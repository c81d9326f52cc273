// The pages of the work between the questions, and of the length, which is measured twice.

class StepPage extends SectionPage {
  constructor(app, id, step) {
    super(app, id, step);
    this.step = step;
    this.work = el("div", { class: "work" });
    const form = this.root.querySelector("form");
    form.before(this.work);
    form.querySelector("[type=submit]").textContent = { dock_tag: app.texts.dockTagged, dock_off: app.texts.dockIsOff, dock_flat: app.texts.dockIsFlat }[step];
    if (step === "dock_tag") form.querySelector(".actions").append(button(app.texts.dockRecordOther, () => this.recordAnother(), { class: "second" }));
  }

  update() {
    super.update();
    const shape = JSON.stringify([this.app.model.onTag(this.id), this.app.model.unrecorded().map((each) => each.id)]);
    if (shape !== this.worked) this.work.replaceChildren(...{ dock_tag: () => this.tagging(), dock_off: () => this.takingOff(), dock_flat: () => this.laying() }[this.step]());
    this.worked = shape;
  }

  tagging() {
    const { app } = this;
    const { name, settings } = app.model.onTag(this.id);
    const rows = settings.map((each) => el("div", {}, el("dt", { text: each.label }), el("dd", { text: each.words })));
    const tag = el("div", { class: "tag", role: "group", "aria-label": app.texts.dockOnTag }, el("p", { class: "tag-name", text: name }), rows.length ? el("dl", {}, ...rows) : null);
    return [name ? tag : this.back(app.texts.dockNoName), steps(app.texts.dockWriteTag, app.texts.dockTieTag, app.texts.dockPhotograph)];
  }

  takingOff() {
    const { app } = this;
    const { model, texts } = app;
    const missing = model.unrecorded();
    const others = missing.filter((each) => each.id !== this.id).map((each) => model.name(each.id, texts));
    return [
      missing.some((each) => each.id === this.id) ? this.back(texts.dockNotRecorded) : null,
      others.length ? el("p", { class: "notice", text: texts.dockOthersOpen(others.join("; ")) }) : null,
      steps(texts.dockSupport, texts.dockAloft, texts.dockOneByOne, texts.dockKeepParts),
    ].filter(Boolean);
  }

  laying() {
    const { texts } = this.app;
    return [steps(texts.dockStraight, texts.dockSameWarmth, texts.dockTape)];
  }

  /** What lacks, and the way to where it is recorded. */
  back(words) {
    const { app } = this;
    const section = recordedIn(app.form);
    return el("div", { class: "summary", role: "alert" }, el("p", { text: words }), button(app.texts.dockRecordNow, () => app.go({ page: "section", id: this.id, section })));
  }

  recordAnother() {
    this.app.model.did(this.id, this.step);
    this.app.go({ page: "overview" });
  }

  submit(event) {
    event.preventDefault();
    this.app.model.did(this.id, this.step);
    this.app.onward(this.id, this.step);
  }
}

const steps = (...words) => el("ol", { class: "steps" }, ...words.map((each) => el("li", { text: each })));

/** The length: goes on after one reading only if told so twice. */
class LengthPage extends SectionPage {
  constructor(app, id, section) {
    super(app, id, section);
    this.once = el("p", { class: "notice", role: "alert", hidden: true, text: app.texts.dockOnce });
    const form = this.root.querySelector("form");
    form.before(el("p", { class: "lead", text: app.texts.dockTwice }));
    form.querySelector(".actions").before(this.once);
  }

  async submit(event) {
    event.preventDefault();
    const readings = this.app.model.entries(this.id).find((each) => each.question.kind === "lengths")?.answer ?? [];
    const told = !this.once.hidden;
    this.once.hidden = readings.length !== 1;
    if (readings.length !== 1 || told) await super.submit(event);
  }
}
