// A question with everything around it: hint, drawing, control, what was understood, what is wrong, and the service's findings.

class Field {
  constructor(context, entry, changed) {
    this.context = context;
    this.path = entry.question.path;
    const { control, grouped } = controlFor(context, entry, changed);
    this.control = control;
    this.grouped = grouped;
    this.hint = el("p", { class: "hint", id: nextId() });
    this.only = el("p", { class: "hint", id: nextId(), hidden: true, text: context.texts.onlyOne });
    this.fault = el("p", { class: "fault", id: nextId(), hidden: true });
    this.echo = el("p", { class: "echo", id: nextId(), hidden: true });
    this.offers = el("div", { class: "actions offers", hidden: true });
    this.findings = el("ul", { class: "findings", id: nextId(), hidden: true });
    this.drawing = el("div", { class: "drawing", hidden: true });
    this.root = this.build(entry.question);
  }

  build(question) {
    this.optional = el("span", { class: "optional", text: ` (${this.context.texts.optional})` });
    this.name = el("span");
    const words = [this.name, this.optional];
    this.word(question);
    const parts = [this.control.root, this.only, this.control.more, this.echo, this.fault, this.offers, this.findings]; // a length's echo stands beside: nothing moves
    const body = el("div", { class: "with-drawing" }, el("div", { class: question.kind.startsWith("length") ? question.kind : null }, ...parts), this.drawing);
    const described = { class: "field", "data-path": question.path, "data-pointer": question.pointer };
    if (this.grouped) return el("fieldset", { ...described, "aria-describedby": this.described() }, el("legend", {}, ...words), this.hint, body);
    const label = el("label", { for: this.control.root.id }, ...words);
    this.control.root.setAttribute("aria-describedby", this.described());
    return el("div", described, label, this.hint, body);
  }

  /** Label, hint and whether it is required, which other answers may change: a wire that lies level has a forward end. */
  word(question) {
    const hint = this.hintOf(question);
    if (this.name.textContent !== question.label) this.name.textContent = question.label;
    if (this.hint.textContent !== hint) this.hint.textContent = hint;
    this.hint.hidden = !hint;
    this.optional.hidden = question.required || "default" in question || Boolean(question.together);
    if (!this.grouped) setAttribute(this.control.root, "aria-required", question.required ? "true" : null);
  }

  hintOf(question) {
    const examples = question.examples ? `${this.context.texts.example}: ${question.examples.map((each) => each.replace(/ /g, "\u00a0")).join(" · ")}` : "";
    return [question.help, examples].filter(Boolean).join(" ");
  }

  described() {
    return [this.hint, this.only, this.echo, this.fault, this.findings].filter((each) => !each.hidden).map((each) => each.id).join(" ") || null;
  }

  /** Show the current state: `given` as typed, `fault` a sentence or "", `echo` what was understood, the service's `findings`. */
  update(entry, { given, fault, echo, offers, findings, drawing }) {
    this.word(entry.question);
    this.control.set(entry, given);
    this.only.hidden = !(entry.question.required && entry.choices.length === 1);
    this.say(this.fault, fault && [el("strong", { text: `${this.context.texts.error}: ` }), fault]);
    this.say(this.echo, echo && [el("span", { class: "unseen", text: `${this.context.texts.understood} ` }), el("strong", { text: echo })]);
    this.offer(offers || []);
    this.findings.replaceChildren(...findings.map((each) => findingItem(this.context.texts, each)));
    this.findings.hidden = !findings.length;
    this.root.classList.toggle("wrong", Boolean(fault));
    this.mark(Boolean(fault));
    this.draw(drawing);
  }

  say(place, words) {
    place.hidden = !words;
    if (place.textContent !== (words || []).map((each) => each.textContent ?? each).join("")) place.replaceChildren(...(words || []));
  }

  offer(offers) {
    const shape = JSON.stringify(offers);
    if (shape !== this.shape) this.offers.replaceChildren(...offers.map(([length, work]) => button(`${length}?`, work, { class: "second" })));
    this.shape = shape;
    this.offers.hidden = !offers.length;
  }

  mark(wrong) {
    setAttribute(this.grouped ? this.root : this.control.root, "aria-describedby", this.described());
    const marked = this.control instanceof Readings ? this.control.lines() : this.grouped ? [] : [this.control.root];
    for (const each of marked) {
      setAttribute(each, "aria-invalid", wrong ? "true" : null);
      if (this.grouped) setAttribute(each, "aria-describedby", [this.echo, this.fault].filter((one) => !one.hidden).map((one) => one.id).join(" ") || null);
    }
  }

  draw(drawing) {
    if (drawing?.source === this.source) return;
    this.source = drawing?.source;
    this.drawing.hidden = true;
    if (!drawing) return this.drawing.replaceChildren();
    const image = el("img", { src: drawing.source, alt: drawing.words, on: { load: () => (this.drawing.hidden = false) } });
    this.drawing.replaceChildren(image);
  }

  focus(place) {
    this.control.focusable(place)?.focus();
  }
}

/** A finding: its severity in words, what it is, what to do; in the form's language, which the request asked for. */
function findingItem(texts, { severity, message, remedy }) {
  const what = remedy ? el("span", { class: "remedy", text: ` ${remedy}` }) : null;
  return el("li", { class: `finding ${severity}` }, el("strong", { class: "severity", text: texts[severity] ?? severity }), " ", el("span", { text: message }), what);
}

/** A question's drawing; those of its choices stand beside each. */
function drawingFor(context, entry, answers) {
  const chosen = entry.choices.find((each) => each.value === entry.answer);
  const name = illustrationOf(entry.question, answers);
  if (!name && entry.question.kind === "lengths" && context.model.system === "imperial") {
    const { tape, tape_words: words } = context.form.lengths;
    return { source: context.service.illustration(tape, context.language), words };
  }
  if (!name) return null;
  const words = chosen ? [chosen.label, chosen.help].filter(Boolean).join(": ") : entry.question.label;
  return { source: context.service.illustration(name, context.language), words };
}
