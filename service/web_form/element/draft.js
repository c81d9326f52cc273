// The draft: the answers, stored only in this browser, so that a reload or a lost connection loses nothing.

const DRAFT_FORMAT = 1;
const KEPT_DAYS = 30;
const DAY_MS = 86_400_000;

const newId = () => (crypto.randomUUID ? crypto.randomUUID() : randomId());

function randomId() { // pages without TLS have no randomUUID
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((each) => each.toString(16).padStart(2, "0")).join("");
}

function emptyDraft() {
  return { format: DRAFT_FORMAT, saved: 0, request: {}, assemblies: [], at: { page: "start" }, sending: null, quote: null };
}

class DraftStore {
  constructor(name) {
    this.name = name;
  }

  /** `{draft, kept, problem}`: `kept` if one was found; `problem` is "stale" or "unreadable" if it could not be used, else "". */
  load() {
    let text = null;
    try {
      text = localStorage.getItem(this.name);
      if (text === null) return { draft: emptyDraft(), kept: false, problem: "" };
      const draft = JSON.parse(text);
      if (draft.format !== DRAFT_FORMAT || !Array.isArray(draft.assemblies)) throw new TypeError("another format");
      if (Date.now() - draft.saved > KEPT_DAYS * DAY_MS) {
        this.forget();
        return { draft: emptyDraft(), kept: false, problem: "stale" };
      }
      return { draft: { ...emptyDraft(), ...draft }, kept: true, problem: "" };
    } catch {
      return { draft: emptyDraft(), kept: false, problem: text === null ? "" : "unreadable" };
    }
  }

  /** Whether it could be stored. */
  save(draft) {
    draft.saved = Date.now();
    try {
      localStorage.setItem(this.name, JSON.stringify(draft));
      return true;
    } catch {
      return false;
    }
  }

  forget() {
    try {
      localStorage.removeItem(this.name);
    } catch {
      // without access to storage, nothing is stored
    }
  }
}
