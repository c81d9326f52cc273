// The form as a whole: the answers (the draft), the questions that follow from them, and what the service said about them.

class Model {
  constructor(form, draft, lengths) {
    this.form = form;
    this.draft = draft;
    this.lengths = lengths;
    this.preview = null; // the last preview, with the ids of the assemblies requested
    this.refused = new Map(); // faults of a refusal: id of the assembly ("" for the request) -> [{pointer, detail}]
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

  /** The questions to ask for the request (no id) or for an assembly. */
  entries(id) {
    return asked(this.form, id ? "assembly" : "request", this.given(id));
  }

  answers(id) {
    return new Map(this.entries(id).filter((each) => each.answer !== undefined).map((each) => [each.question.path, each.answer]));
  }

  /** What is wrong with an entry, in words; "" if nothing is known to be. `place` is the index of a reading. */
  faultOf(entry, id = "") {
    const [unread] = this.lengths.faultsOf(entry.question, entry.answer);
    if (unread) return { words: unread.detail, place: unread.place };
    const refused = (this.refused.get(id) ?? []).find((each) => questionAt(this.entries(id), each.pointer)?.question.path === entry.question.path);
    if (refused) return { words: refused.detail, place: Number(refused.pointer.split("/").at(-1)) || 0 };
    if (entry.answer !== undefined && beyondLimits(entry.question, entry.answer)) return { words: wrongWords(entry.question, entry.answer), place: 0 };
    return { words: "", place: 0 };
  }

  /** The system of units of the first length that can be read. */
  get system() {
    const entries = [undefined, ...this.draft.assemblies.map((each) => each.id)].flatMap((id) => this.entries(id));
    const read = entries.flatMap(({ question, answer }) => [answer].flat().map((text) => this.lengths.found(text, question.zero)?.length));
    return read.find(Boolean)?.system;
  }

  /** How many answers of an assembly are missing or cannot be read. */
  open(id, section) {
    const entries = this.entries(id).filter((each) => !section || each.question.section === section);
    return entries.filter((each) => each.missing || this.faultOf(each, id).words).length;
  }

  complete() {
    return this.draft.assemblies.filter((each) => !this.open(each.id));
  }

  /** The request for these assemblies; `personal` with the customer, which a preview does not need. */
  request(assemblies, personal) {
    return { language: this.form.language, ...requestOf(this.form, this.draft.request, assemblies.map((each) => each.answers), personal) };
  }

  /** The wire's own name; undefined if it has none yet. */
  tag(id) {
    return this.entries(id).find((each) => each.question.path === this.form.other_side.tag.path)?.answer;
  }

  name(id, texts) {
    const place = this.draft.assemblies.findIndex((each) => each.id === id);
    const entries = this.entries(id);
    const label = (path) => {
      const entry = entries.find((each) => each.question.path === path);
      return entry?.choices.find((each) => each.value === entry.answer)?.label;
    };
    return [this.tag(id) || texts.unnamed(place + 1), label("role"), label("side")].filter(Boolean).join(", ");
  }

  /** The assembly with this id in the last preview, if it was included. */
  judged(id) {
    const place = this.preview?.ids.indexOf(id) ?? -1;
    return place < 0 ? null : this.preview.document.assemblies[place];
  }

  /** An assembly's findings, each with the question it belongs to, or undefined. */
  findings(id) {
    const place = this.preview?.ids.indexOf(id) ?? -1;
    if (place < 0) return [];
    const entries = this.entries(id);
    const root = `/assemblies/${place}`;
    return this.preview.document.assemblies[place].findings.filter((each) => each.reader !== "shop").map((each) => {
      return { ...each, at: questionAt(entries, each.pointer.slice(root.length))?.question };
    });
  }

  /** Group the faults of a refusal by the assembly they belong to. */
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

  /** Whether no more assemblies can be added. */
  get full() {
    return this.draft.assemblies.length >= this.form.max_assemblies;
  }

  /** The side that a wire's partner would be on; "" if it has none, or if the partner already exists. */
  otherSideMissing(id) {
    const { path, values } = this.form.other_side.sides.at(-1);
    const known = this.draft.assemblies.map((each) => this.answers(each.id));
    const mine = this.answers(id);
    const side = values[mine.get(path)] ?? "";
    const alike = (each) => ["role", "mast"].every((name) => each.get(name) === mine.get(name));
    const there = (one) => known.filter((each) => alike(each) && each.get(path) === one).length;
    return !this.full && side && there(side) < there(mine.get(path)) ? side : "";
  }

  /** The wire on the other side. */
  copy(id) {
    return this.add(onOtherSide(this.form, this.given(id)), true);
  }

  /** The wires that this one, not yet answered otherwise, can be the same as on the other side: complete, and without a partner besides this one. */
  likeOnOtherSide(id) {
    const mine = this.answers(id);
    const { sides: [{ path, values }] } = this.form.other_side;
    if (this.assembly(id).copied) return [];
    const others = this.draft.assemblies.filter((each) => each.id !== id && !this.open(each.id));
    return others.filter((each) => {
      const opposite = values[this.answers(each.id).get(path)];
      const taken = this.draft.assemblies.some((one) => one.id !== id && this.answers(one.id).get(path) === opposite);
      return opposite && !taken && [undefined, opposite].includes(mine.get(path));
    });
  }

  /** Make this wire the same as another on the other side. */
  become(id, other) {
    Object.assign(this.assembly(id), { answers: onOtherSide(this.form, this.given(other)), copied: true });
  }

  remove(id) {
    this.draft.assemblies = this.draft.assemblies.filter((each) => each.id !== id);
    this.refused.delete(id);
  }
}
