// How the service understands lengths; each text is sent only once.

class LengthReader {
  constructor(service, language, changed) {
    this.service = service;
    this.language = language;
    this.changed = changed;
    this.known = new Map();
    this.asking = new Map(); // requests under way
  }

  /** `{length, fault}` once the text has been read, else undefined. */
  found(text, zero) {
    return this.known.get(`${zero} ${text}`);
  }

  /** What a text without a unit may stand for, in this system of units if one is known. */
  offers(text, zero, system) {
    const found = this.found(text, zero)?.fault?.completed ?? [];
    return found.filter((each) => !system || each.system === system).map((each) => each.text);
  }

  /** Ask about the lengths among these entries; resolves once all are known, or cannot be read for now. */
  readEntries(entries) {
    const lengths = entries.filter((each) => each.question.kind.startsWith("length") && each.answer !== undefined);
    return Promise.all([true, false].map((zero) => this.read(lengths.filter((each) => each.question.zero === zero).flatMap((each) => each.answer), zero)));
  }

  /** Ask about the texts not yet known; `changed` is called once they are. */
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
    const answer = await this.service.lengths(names, zero, this.language);
    names.forEach((each) => this.asking.delete(`${zero} ${each}`));
    if (answer.kind === "ok") names.forEach((each, place) => this.known.set(`${zero} ${each}`, answer.body.lengths[place]));
    this.changed(answer);
  }

  /** An answer's faults, `{place, detail}` each; empty until they are known. */
  faultsOf(question, answer) {
    if (answer === undefined || !question.kind.startsWith("length")) return [];
    return [answer].flat().flatMap((text, place) => {
      const fault = this.found(text, question.zero)?.fault;
      return fault ? [{ place, detail: fault.detail }] : [];
    });
  }
}
