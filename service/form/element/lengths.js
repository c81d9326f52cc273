// What the service understands a length to be; each text is asked about once.

class LengthReader {
  constructor(service, changed) {
    this.service = service;
    this.changed = changed;
    this.known = new Map();
    this.asking = new Set();
  }

  /** `{length, fault}` where the text was read, undefined where it was not yet. */
  found(text, zero) {
    return this.known.get(`${zero} ${text}`);
  }

  /** Ask about those texts that are not known, `changed` is called when they are. */
  async read(texts, zero) {
    const names = [...new Set(texts)].filter((each) => !this.found(each, zero) && !this.asking.has(`${zero} ${each}`));
    if (!names.length) return;
    names.forEach((each) => this.asking.add(`${zero} ${each}`));
    const answer = await this.service.lengths(names, zero);
    names.forEach((each) => this.asking.delete(`${zero} ${each}`));
    if (answer.kind !== "ok") return this.changed(answer);
    names.forEach((each, place) => this.known.set(`${zero} ${each}`, answer.body.lengths[place]));
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
