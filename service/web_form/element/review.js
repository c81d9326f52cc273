// The last page: an overview of all wires, notes for the shop, and the request for a quote.

/** A section that is asked once there is a price. */
class LastSection {
  constructor(app, section) {
    this.questions = new Questions(app, undefined, section.name);
    this.root = el("section", {}, el("h3", { text: section.title }), section.help ? el("p", { class: "lead", text: section.help }) : null, this.questions.root);
  }

  update() {
    this.questions.update();
  }

  problems() {
    return this.questions.problems();
  }
}

/** One that is folded until an answer in it is required or given; who folds it again has it folded. */
class FoldedSection extends LastSection {
  constructor(app, section) {
    super(app, section);
    this.optional = el("span", { class: "optional", text: ` (${app.texts.optional})` });
    this.root = el("details", { class: "folded" }, el("summary", {}, section.title, this.optional), this.questions.root);
  }

  update() {
    super.update();
    const entries = this.questions.entries();
    this.optional.hidden = entries.some((each) => each.question.required);
    const wanted = entries.filter((each) => each.question.required || each.answer !== undefined).length > 0;
    if (wanted && !this.wanted) this.root.open = true;
    this.wanted = wanted;
  }

  problems() {
    const found = super.problems();
    if (found.length) this.root.open = true;
    return found;
  }
}

class ReviewPage {
  constructor(app) {
    this.app = app;
    const { texts } = app;
    this.title = el("h2", { tabindex: -1, text: texts.review });
    this.summary = new Summary(texts);
    this.list = el("div", { class: "reviewed" });
    this.last = app.model.requestSections().after.map((each) => (each.folded ? new FoldedSection(app, each) : new LastSection(app, each)));
    this.send = el("button", { type: "submit", text: texts.send });
    this.said = el("div", { role: "status" });
    this.more = el("div", { class: "actions" });
    const back = button(texts.toWires, () => app.go({ page: "overview" }), { class: "quiet" });
    this.fields = el("div", {}, this.list, ...this.last.map((each) => each.root));
    const form = el("form", { novalidate: true, on: { submit: (event) => this.submit(event) } }, this.fields, cautionsOf(app), this.said, this.more, (this.go = el("div", { class: "actions" }, this.send, back)));
    this.root = el("div", { class: "page" }, this.title, this.summary.root, el("p", { class: "lead", text: texts.reviewHelp }), form);
  }

  update() {
    const { app } = this;
    this.last.forEach((each) => each.update());
    const shape = JSON.stringify([app.model.draft.request, app.model.draft.assemblies, app.model.preview?.document, app.lengths.known.size]);
    if (shape !== this.shape) refill(this.list, this.blocks());
    this.shape = shape;
    this.updateSending();
  }

  blocks() {
    const { app } = this;
    const boat = app.model.requestSections().before.map((section) => {
      const change = button(app.texts.change, () => app.go({ page: "section", section: section.name }), { class: "quiet", "aria-label": `${app.texts.change}: ${section.title}` });
      return el("section", { class: "wire" }, el("h3", { text: section.title }), this.answers(undefined, section.name), change);
    });
    return [...boat, ...app.model.draft.assemblies.map((each) => this.wire(each.id))];
  }

  wire(id) {
    const { app } = this;
    const { texts, model } = app;
    const name = model.name(id, texts);
    const open = model.open(id);
    const readiness = model.judged(id)?.readiness ?? "";
    const findings = model.findings(id).filter((each) => each.severity !== "note");
    if (!findings.length && ["confirm", "hold"].includes(readiness)) findings.push({ severity: "note", message: texts.shopChecks });
    const notes = model.findings(id).filter((each) => each.severity === "note");
    const rows = app.partsOf(id).map((section) => el("div", {}, el("h4", { text: section.title }), this.answers(id, section.name), button(texts.change, () => app.go({ page: "section", id, section: section.name }), { class: "quiet", "aria-label": `${texts.change}: ${section.title}, ${name}` })));
    const list = (some) => (some.length ? el("ul", { class: "findings" }, ...some.map((each) => findingItem(texts, each))) : null);
    const readings = model.entries(id).filter((each) => each.question.kind === "lengths" && each.answer !== undefined);
    const measured = readings.map((each) => el("p", { class: "measured", text: answerWords(app, each) }));
    const state = open ? texts.incomplete(open) : texts[readiness] || texts.complete;
    return el("section", { class: `wire ${open ? "open" : readiness}`, "data-wire": id }, el("h3", { text: name }), ...measured, el("p", { class: "state", text: state }), list(findings), el("details", {}, el("summary", { text: texts.answers }), ...rows, list(notes)));
  }

  answers(id, section) {
    const { app } = this;
    const entries = app.model.entries(id).filter((each) => each.question.section === section && each.answer !== undefined && !each.by && each.question.path !== app.form.other_side.mark);
    return el("dl", {}, ...entries.map((entry) => el("div", {}, el("dt", { text: entry.question.label }), el("dd", { text: answerWords(app, entry) }))));
  }

  submit(event) {
    event.preventDefault();
    const { app } = this;
    const { model, texts } = app;
    const unfinished = model.draft.assemblies
      .filter((each) => model.open(each.id))
      .map((each) => ({ label: texts.review, words: texts.unfinished(model.name(each.id, texts)), focus: () => app.open(each.id) }));
    const none = model.draft.assemblies.length ? [] : [{ label: texts.wires, words: texts.noWireYet, focus: () => app.go({ page: "overview" }) }];
    const boat = model.requestSections().before.flatMap((section) => this.problemsOf(section));
    const problems = [...none, ...unfinished, ...boat, ...this.last.flatMap((each) => each.problems())];
    this.summary.show(problems);
    if (!problems.length) app.sender.begin(app.order());
  }

  problemsOf(section) {
    const { app } = this;
    return app.model.entries().filter((each) => each.question.section === section.name).flatMap((entry) => {
      const words = app.model.faultOf(entry).words || (entry.missing ? entry.question.lacking : "");
      return words ? [{ label: entry.question.label, words, focus: () => app.go({ page: "section", section: section.name }, entry.question.path) }] : [];
    });
  }

  /** What the service refused, each with the page where it can be corrected. */
  refused(answer, ids) {
    const { app } = this;
    app.model.refuse(answer.body?.errors ?? [], ids);
    const found = [...app.model.refused].flatMap(([id, faults]) => faults.map((each) => this.refusedOne(id, each)));
    this.summary.show(found.length ? found : [{ label: app.texts.error, words: answer.body?.detail ?? app.texts.sendRefused, focus: () => this.send.focus() }]);
  }

  refusedOne(id, { pointer, detail }) {
    const { app } = this;
    const question = questionAt(app.model.entries(id || undefined), pointer)?.question;
    const focus = question ? () => app.go({ page: "section", id: id || undefined, section: question.section }, question.path) : () => this.send.focus();
    return { label: question?.label ?? app.texts.error, words: detail, focus };
  }

  updateSending() {
    const { app } = this;
    const { texts, sender } = app;
    const { kind, seconds } = sender.state;
    const words = sender.old ? texts.sendOld : { sending: texts.sending, lost: texts.sendLost, failed: texts.sendFailed, limited: texts.sendWait(seconds), refused: texts.sendRefused }[kind];
    if (this.said.textContent !== (words ?? "")) this.said.replaceChildren(...(words ? [el("p", { class: "notice", text: words })] : []));
    this.fields.hidden = sender.pending;
    this.go.hidden = sender.pending;
    const now = sender.pending && kind !== "sending" ? [button(texts.sendNow, () => sender.send())] : [];
    const giveUp = sender.old ? [button(texts.sendGiveUp, () => sender.giveUp(), { class: "quiet" })] : [];
    if (this.more.childElementCount !== now.length + giveUp.length) this.more.replaceChildren(...now, ...giveUp);
  }
}

/** An answer in words: a choice by its label, a length in both units. */
function answerWords(app, { question, choices, answer }) {
  const chosen = choices.find((each) => each.value === answer);
  if (chosen) return chosen.label;
  return [answer].flat().map((text) => {
    const read = question.kind.startsWith("length") && app.lengths.found(text, question.zero)?.length;
    return read ? `${text} (${read.metric}, ${read.imperial})` : String(text);
  }).join("; ");
}
