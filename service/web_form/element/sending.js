// Requesting the quote, once: what is sent and its Idempotency-Key are kept in the draft before anything is sent, so that whatever breaks,
// the very same is sent again and answered with the same quote (the service keeps answers for 24 hours from the first attempt, so a device
// without any network may wait for days).

const SAFE_MS = 23 * 3_600_000;
const SEND_AGAIN_S = 8;

class Sender {
  constructor(draft, service, keep, changed) {
    Object.assign(this, { draft, service, keep, changed });
    this.state = draft().sending ? { kind: "lost" } : { kind: "idle" };
  }

  get pending() {
    return this.draft().sending !== null;
  }

  get old() {
    const since = this.draft().sending?.since;
    return Boolean(since) && Date.now() - since > SAFE_MS;
  }

  begin(request) {
    this.draft().sending = { key: newId(), text: JSON.stringify(request), since: 0 };
    this.keep();
    return this.send();
  }

  /** Send the stored request; never twice at the same time. */
  async send() {
    if (!this.pending || this.state.kind === "sending") return;
    clearTimeout(this.timer);
    if (navigator.onLine === false) return this.later({ kind: "offline" });
    const { text, key } = this.draft().sending;
    if (!this.draft().sending.since) {
      this.draft().sending.since = Date.now(); // from now on it may have arrived
      this.keep();
    }
    this.become({ kind: "sending" });
    const answer = await this.service.quote(text, key);
    if (answer.kind === "ok") this.succeed(answer);
    else if (answer.kind === "refused" && answer.status !== 409) this.refuse(answer);
    else this.later(answer);
  }

  succeed({ body, link }) {
    const { id, number, valid_until, currency, totals, left_out } = body;
    this.draft().sending = null;
    this.become({ kind: "made", quote: { id, number, valid_until, currency, payable: totals.payable, left_out }, link });
  }

  refuse(answer) {
    this.draft().sending = null;
    this.keep();
    this.become({ kind: "refused", answer });
  }

  later(answer) {
    const seconds = answer.wait || SEND_AGAIN_S;
    this.become({ kind: answer.kind === "offline" ? "lost" : answer.kind === "limited" ? "limited" : "failed", seconds });
    this.timer = setTimeout(() => this.send(), seconds * 1000);
  }

  /** Discard this request: only for one too old to be sent again safely. */
  giveUp() {
    clearTimeout(this.timer);
    this.draft().sending = null;
    this.keep();
    this.become({ kind: "idle" });
  }

  become(state) {
    this.state = state;
    this.changed(state);
  }
}
