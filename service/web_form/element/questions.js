// The questions of one section, kept in step with the answers without disturbing what is being typed.

const READ_AFTER_MS = 350;
const COMPLAIN_AFTER_MS = 1200;

/** Where its answer goes in the request; of a short question, the first that its choices answer. */
function pointerOf(form, question) {
  const [told] = (question.choices ?? []).flatMap((each) => Object.keys(each.answers ?? {}));
  return question.pointer ?? form.questions.find((each) => each.path === told)?.pointer;
}

class Questions {
  constructor(app, id, section) {
    Object.assign(this, { app, id, section });
    this.fields = new Map();
    this.tried = false; // whether to report missing answers
    this.typing = ""; // the path being typed, whose fault is not shown yet
    this.root = el("div", { class: "questions", on: { focusout: () => this.settle(), focusin: (event) => this.turnTo(event.target) } });
    this.readSoon = debounced(() => this.read(), READ_AFTER_MS);
    this.settleSoon = debounced(() => this.settle(), COMPLAIN_AFTER_MS);
    this.read();
  }

  entries() {
    return this.app.model.entries(this.id).filter((each) => each.question.section === this.section && !each.hidden);
  }

  /** The place in the request that is asked for: that of the question in use, else of the first that is unanswered. */
  asked() {
    const entries = this.entries();
    const [first] = entries;
    const { question } = entries.find((each) => each.question.path === this.path) ?? entries.find((each) => each.missing) ?? first ?? {};
    return question && pointerOf(this.app.form, question);
  }

  turnTo(node) {
    const path = node.closest(".field")?.dataset.path;
    if (!path || path === this.path) return;
    this.path = path;
    if (this.app.page?.questions === this) this.app.draw();
  }

  changed(path, value) {
    const given = this.app.model.given(this.id);
    if (value === undefined) delete given[path];
    else given[path] = value;
    this.app.model.refused.delete(this.id ?? "");
    this.typing = path;
    this.readSoon();
    this.settleSoon();
    this.app.answered();
  }

  settle() {
    if (!this.typing) return;
    this.typing = "";
    if (!this.app.press.holds()) this.update();
  }

  /** Have the service read this section's lengths. */
  read() {
    return this.app.lengths.readEntries(this.entries());
  }

  update() {
    const entries = this.entries();
    const answers = this.app.model.answers(this.id);
    const shown = new Set(entries.map((each) => each.question.path));
    for (const [path, field] of this.fields) {
      if (shown.has(path)) continue;
      field.root.remove();
      this.fields.delete(path);
    }
    let after = null;
    let drawn = null;
    for (const entry of entries) {
      const field = this.fields.get(entry.question.path) ?? this.made(entry, after);
      const state = this.stateOf(entry, answers);
      if (state.drawing?.source === drawn) state.drawing = null; // the same picture stands once for neighbours
      drawn = state.drawing?.source ?? drawn;
      field.update(entry, state);
      after = field.root;
    }
  }

  made(entry, after) {
    const { path } = entry.question;
    const field = new Field(this.app, entry, (value) => this.changed(path, value));
    this.fields.set(path, field);
    if (after) after.after(field.root);
    else this.root.prepend(field.root);
    return field;
  }

  stateOf(entry, answers) {
    const { model } = this.app;
    const { path, kind } = entry.question;
    const { words } = model.faultOf(entry, this.id);
    const missing = entry.missing && this.tried ? entry.question.lacking : "";
    const fault = (this.typing === path ? "" : words) || missing;
    return {
      given: model.given(this.id)[path],
      fault,
      echo: kind.startsWith("length") ? this.echoOf(entry) : "",
      offers: fault && this.offersOf(entry),
      findings: this.id ? model.findings(this.id).filter((each) => each.at?.path === path) : [],
      drawing: drawingFor(this.app, entry, answers),
    };
  }

  /** What a number without its unit may stand for, `[length, work]` each. */
  offersOf({ question, answer }) {
    if (answer === undefined || !question.kind.startsWith("length")) return [];
    const given = this.app.model.given(this.id);
    const { system } = this.app.model;
    return [given[question.path]].flat().flatMap((text, place) => this.app.lengths.offers(text.trim(), question.zero, system).map((length) => [length, () => {
      const now = given[question.path];
      this.changed(question.path, Array.isArray(now) ? now.map((each, at) => (at === place ? length : each)) : length);
      this.fields.get(question.path).focus(place);
    }]));
  }

  echoOf({ question, answer }) {
    if (answer === undefined) return "";
    const read = [answer].flat().map((text) => this.app.lengths.found(text, question.zero)?.length);
    return read.filter(Boolean).map((each) => `${each.metric}, ${each.imperial}`).join("; ");
  }

  /** The problems that prevent going on, `{label, words, focus}` each. */
  problems() {
    this.tried = true;
    this.typing = "";
    this.update();
    return this.entries().flatMap((entry) => {
      const fault = this.app.model.faultOf(entry, this.id);
      const words = fault.words || (entry.missing ? entry.question.lacking : "");
      const focus = () => this.fields.get(entry.question.path).focus(fault.place);
      return words ? [{ label: entry.question.label, words, focus }] : [];
    });
  }
}

/** The list of problems at the top of a page; it takes the focus. */
class Summary {
  constructor(texts) {
    this.texts = texts;
    this.title = el("h3", { id: nextId() });
    this.list = el("ul", {});
    this.root = el("div", { class: "summary", tabindex: -1, role: "group", "aria-labelledby": this.title.id, hidden: true }, this.title, this.list);
  }

  show(problems) {
    this.root.hidden = !problems.length;
    this.title.textContent = this.texts.summary(problems.length);
    this.list.replaceChildren(...problems.map(({ label, words, focus }) => el("li", {}, button(`${label}: ${words}`, focus, { class: "link" }))));
    if (problems.length) this.root.focus();
  }
}
