// The form as a whole: what was answered (the draft), what the description makes of it, and what the service said about it.

const OTHER_SIDE = { port: "starboard", starboard: "port" };

class Model {
  constructor(form, draft, lengths) {
    this.form = form;
    this.draft = draft;
    this.lengths = lengths;
    this.preview = null; // the last preview, with the ids of the assemblies it was asked for
    this.refused = new Map(); // faults of a refusal: id of the assembly ("" for the request) -> [{pointer, detail}]
  }

  sections(scope) {
    return this.form.sections.filter((each) => each.scope === scope);
  }

  /** Sections asked once, those before the assemblies and those after. */
  requestSections() {
    const first = this.form.sections.findIndex((each) => each.scope === "assembly");
    const split = (test) => this.form.sections.filter((each, place) => each.scope === "request" && test(place));
    return { before: split((place) => place < first), after: split((place) => place > first) };
  }

  assembly(id) {
    return this.draft.assemblies.find((each) => each.id === id);
  }

  given(id) {
    return id ? this.assembly(id).answers : this.draft.request;
  }

  /** The questions asked, of the request (no id) or of an assembly. */
  entries(id) {
    if (!id) return asked(this.form, "request", this.draft.request);
    const before = new Map(this.entries().filter((each) => each.answer !== undefined).map((each) => [each.question.path, each.answer]));
    return asked(this.form, "assembly", this.given(id), before);
  }

  answers(id) {
    return new Map(this.entries(id).filter((each) => each.answer !== undefined).map((each) => [each.question.path, each.answer]));
  }

  /** What is wrong with an entry, in words; "" where nothing is known to be. `place` is that of a reading. */
  faultOf(texts, entry, id = "") {
    const [unread] = this.lengths.faultsOf(entry.question, entry.answer);
    if (unread) return { words: unread.detail, place: unread.place };
    const refused = (this.refused.get(id) ?? []).find((each) => questionAt(this.entries(id), each.pointer)?.question.path === entry.question.path);
    if (refused) return { words: refused.detail, place: Number(refused.pointer.split("/").at(-1)) || 0 };
    if (entry.question.kind === "email" && entry.answer && !/^[^@\s]+@[^@\s]+$/.test(entry.answer)) return { words: texts.badEmail, place: 0 };
    return { words: "", place: 0 };
  }

  /** How many answers of an assembly are missing or cannot be read. */
  open(id, texts, section) {
    const entries = this.entries(id).filter((each) => !section || each.question.section === section);
    return entries.filter((each) => each.missing || this.faultOf(texts, each, id).words).length;
  }

  complete(texts) {
    return this.draft.assemblies.filter((each) => !this.open(each.id, texts));
  }

  /** The request for these assemblies; `personal` with the customer, which a preview does not need. */
  request(assemblies, personal) {
    const entries = this.entries().filter((each) => personal || !each.question.pointer.startsWith("/customer/"));
    const request = fill({}, entries);
    request.assemblies = assemblies.map((each) => fill({}, this.entries(each.id)));
    return request;
  }

  name(id, texts) {
    const place = this.draft.assemblies.findIndex((each) => each.id === id);
    const entries = this.entries(id);
    const label = (path) => {
      const entry = entries.find((each) => each.question.path === path);
      return entry?.choices.find((each) => each.value === entry.sent)?.label;
    };
    const tag = this.given(id).tag?.trim();
    return [tag || texts.unnamed(place + 1), label("role"), label("side")].filter(Boolean).join(", ");
  }

  /** The preview's assembly with this id, where it was in the last preview. */
  judged(id) {
    const place = this.preview?.ids.indexOf(id) ?? -1;
    return place < 0 ? null : this.preview.document.assemblies[place];
  }

  /** The findings of an assembly with the question that each belongs to, or undefined. */
  findings(id) {
    const place = this.preview?.ids.indexOf(id) ?? -1;
    if (place < 0) return [];
    const entries = this.entries(id);
    const root = `/assemblies/${place}`;
    return this.preview.document.assemblies[place].findings.map((each) => {
      return { ...each, at: questionAt(entries, each.pointer.slice(root.length))?.question };
    });
  }

  /** Sort the faults of a refusal by the assembly that they belong to. */
  refuse(faults, ids) {
    this.refused = new Map();
    for (const { pointer = "", detail } of faults) {
      const [, place, rest] = pointer.match(/^#?\/assemblies\/(\d+)(.*)$/) ?? [];
      const id = place === undefined ? "" : ids[Number(place)];
      const below = place === undefined ? pointer.replace(/^#/, "") : rest;
      this.refused.set(id, [...(this.refused.get(id) ?? []), { pointer: below, detail }]);
    }
  }

  add(answers = {}, copied = false) {
    const made = { id: newId(), answers, copied };
    this.draft.assemblies.push(made);
    return made.id;
  }

  /** The side that a wire's partner would be on; "" where it has none, or the partner is there already. */
  otherSideMissing(id) {
    const given = this.given(id);
    const side = OTHER_SIDE[given.side] ?? "";
    const alike = (each) => each.answers.role === given.role && (each.answers.mast ?? "") === (given.mast ?? "");
    const there = (mine) => this.draft.assemblies.filter((each) => alike(each) && each.answers.side === mine).length;
    return side && there(side) < there(given.side) ? side : "";
  }

  /** The other side's wire. */
  copy(id) {
    const given = this.given(id);
    const side = OTHER_SIDE[given.side];
    return this.add({ ...copiedAnswers(this.form, given), ...(side && { side }) }, true);
  }

  remove(id) {
    this.draft.assemblies = this.draft.assemblies.filter((each) => each.id !== id);
    this.refused.delete(id);
  }
}
