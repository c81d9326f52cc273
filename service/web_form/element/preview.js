// Price and findings while typing: requested shortly after the last change, for complete wires only; an older request is aborted.

const PREVIEW_AFTER_MS = 300;
const FAILED_AGAIN_S = 5;

class Previewer {
  constructor(model, service, texts, changed) {
    Object.assign(this, { model, service, texts, changed });
    this.state = { kind: "empty" };
    this.soon = debounced(() => this.ask(), PREVIEW_AFTER_MS);
  }

  /** Call after any change; nothing already known is requested again. */
  schedule() {
    const assemblies = this.model.complete();
    const text = assemblies.length ? JSON.stringify(this.model.request(assemblies, false)) : "";
    if (text === this.text) return;
    this.text = text;
    this.cancel();
    if (text) {
      this.become({ kind: "working" });
      this.soon();
    } else {
      this.model.preview = null;
      this.become({ kind: "empty" });
    }
  }

  /** Repeat the request, for example after a lost connection. */
  again() {
    this.text = undefined;
    this.schedule();
  }

  cancel() {
    this.soon.cancel();
    clearTimeout(this.timer);
    this.running?.abort();
  }

  become(state) {
    this.state = state;
    this.changed(state);
  }

  async ask() {
    const assemblies = this.model.complete();
    if (!assemblies.length) return;
    const ids = assemblies.map((each) => each.id);
    this.running = new AbortController();
    const answer = await this.service.preview(this.model.request(assemblies, false), this.running.signal);
    if (answer.kind === "aborted") return;
    if (answer.kind === "ok") {
      this.model.preview = { document: answer.body, ids };
      this.model.refused = new Map();
      this.become({ kind: "ok", answer });
    } else if (answer.kind === "refused") {
      this.model.refuse(answer.body?.errors ?? [], ids);
      this.become({ kind: "refused", answer });
      this.schedule(); // without what was refused
    } else {
      this.later(answer);
    }
  }

  later(answer) {
    const seconds = answer.wait || FAILED_AGAIN_S;
    this.become({ kind: answer.kind, answer, seconds });
    if (answer.kind !== "offline") this.timer = setTimeout(() => this.ask(), seconds * 1000);
  }
}
