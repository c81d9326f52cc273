// The questions of one section, kept in step with the answers without disturbing what is being typed.

const READ_AFTER_MS = 350;
const COMPLAIN_AFTER_MS = 1200;

class Questions {
  constructor(app, id, section) {
    Object.assign(this, { app, id, section });
    this.fields = new Map();
    this.tried = false; // whether to complain of what is missing
    this.typing = ""; // the path whose fault is held back while it is being typed
    this.root = el("div", { class: "questions", on: { focusout: () => this.settle() } });
    this.readSoon = debounced(() => this.read(), READ_AFTER_MS);
    this.settleSoon = debounced(() => this.settle(), COMPLAIN_AFTER_MS);
    this.read();
  }

  entries() {
    return this.app.model.entries(this.id).filter((each) => each.question.section === this.section);
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
    this.update();
  }

  /** Have the lengths of this section read. */
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
    for (const entry of entries) {
      const field = this.fields.get(entry.question.path) ?? this.made(entry, after);
      field.update(entry, this.stateOf(entry, answers));
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
    const { model, texts } = this.app;
    const { path, kind } = entry.question;
    const { words } = model.faultOf(texts, entry, this.id);
    const missing = entry.missing && this.tried ? entry.lacks || texts.wantsAnswer : "";
    return {
      given: model.given(this.id)[path],
      fault: (this.typing === path ? "" : words) || missing,
      echo: kind.startsWith("length") ? this.echoOf(entry) : "",
      findings: this.id ? model.findings(this.id).filter((each) => each.at?.path === path) : [],
      drawing: drawingFor(this.app, entry, answers),
    };
  }

  echoOf({ question, answer }) {
    if (answer === undefined) return "";
    const read = [answer].flat().map((text) => this.app.lengths.found(text, question.zero)?.length);
    return read.filter(Boolean).map((each) => `${each.metric}, ${each.imperial}`).join("; ");
  }

  /** What stands in the way of going on: `{label, words, focus}` each. */
  problems() {
    this.tried = true;
    this.typing = "";
    this.update();
    return this.entries().flatMap((entry) => {
      const fault = this.app.model.faultOf(this.app.texts, entry, this.id);
      const words = fault.words || (entry.missing ? entry.lacks || this.app.texts.wantsAnswer : "");
      const focus = () => this.fields.get(entry.question.path).focus(fault.place);
      return words ? [{ label: entry.question.label, words, focus }] : [];
    });
  }
}

/** The list of problems at a page's head; it takes the focus. */
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
