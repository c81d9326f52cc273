// What the service understands a length to be; each text is asked about once.

class LengthReader {
  constructor(service, changed) {
    this.service = service;
    this.changed = changed;
    this.known = new Map();
    this.asking = new Map(); // what is under way
  }

  /** `{length, fault}` where the text was read, undefined where it was not yet. */
  found(text, zero) {
    return this.known.get(`${zero} ${text}`);
  }

  /** Ask about the lengths among these entries; done when all are known, or when they cannot be had now. */
  readEntries(entries) {
    const lengths = entries.filter((each) => each.question.kind.startsWith("length") && each.answer !== undefined);
    return Promise.all([true, false].map((zero) => this.read(lengths.filter((each) => each.question.zero === zero).flatMap((each) => each.answer), zero)));
  }

  /** Ask about those texts that are not known, `changed` is called when they are. */
  async read(texts, zero) {
    const unknown = [...new Set(texts)].filter((each) => !this.found(each, zero));
    const names = unknown.filter((each) => !this.asking.has(`${zero} ${each}`));
    if (names.length) {
      const answered = this.ask(names, zero);
      names.forEach((each) => this.asking.set(`${zero} ${each}`, answered));
    }
    await Promise.all(unknown.map((each) => this.asking.get(`${zero} ${each}`)));
  }

  async ask(names, zero) {
    const answer = await this.service.lengths(names, zero);
    names.forEach((each) => this.asking.delete(`${zero} ${each}`));
    if (answer.kind === "ok") names.forEach((each, place) => this.known.set(`${zero} ${each}`, answer.body.lengths[place]));
    this.changed(answer);
  }

  /** The faults of an answer, `{place, detail}` each; empty while it is not known. */
  faultsOf(question, answer) {
    if (answer === undefined || !question.kind.startsWith("length")) return [];
    return [answer].flat().flatMap((text, place) => {
      const fault = this.found(text, question.zero)?.fault;
      return fault ? [{ place, detail: fault.detail }] : [];
    });
  }
}
