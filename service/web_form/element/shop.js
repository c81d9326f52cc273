// What a shop gives its form: texts of its own, answers that it knows already, a reference. All of it is checked, and text is set as text.

const MOST_TEXTS = 3000;
const LONGEST_TEXT = 2000; // characters
const LONGEST_FILE = 500_000;
const TEXTS_WITHIN_MS = 8000;
const LONGEST_REFERENCE = 80; // as openapi.yaml has it

const isPlain = (value) => value !== null && typeof value === "object" && !Array.isArray(value);

/** Whether a value is text that can be shown or typed: no control characters, and none that turn the direction of writing. */
const isText = (value) => typeof value === "string" && value.trim() !== "" && value.length <= LONGEST_TEXT && !/[^\P{Cc}\n]|[\u202a-\u202e\u2066-\u2069]/u.test(value);

/** The names in braces, in their order. */
const namesIn = (text) => [...text.matchAll(/\{(\w+)\}/g)].map((each) => each[1]);

/** `{lang, texts}` as the shop gave it, an object or the address of a file on the page's own origin; null if none was given. Throws what is wrong. */
async function givenTexts(given, keptAs) {
  if (!given || typeof given !== "string") return given || null;
  if (new URL(given, document.baseURI).origin !== location.origin) throw new TypeError("its address must be on this page's own origin");
  const answer = await fetch(given, { mode: "same-origin", credentials: "omit", signal: AbortSignal.timeout(TEXTS_WITHIN_MS) }).catch(() => null);
  if (answer && !answer.ok) throw new TypeError(`it was answered ${answer.status}`);
  const text = answer ? await answer.text() : keptText(keptAs);
  if (text === null) throw new TypeError("it cannot be reached");
  if (text.length > LONGEST_FILE) throw new TypeError(`it has more than ${LONGEST_FILE} characters`);
  const read = JSON.parse(text);
  keepText(keptAs, text);
  return read;
}

/** The texts as a Map from what the form says to what the shop says. Throws what is wrong: one bad text refuses all. */
function checkedTexts(given) {
  if (!isPlain(given) || !isPlain(given.texts)) throw new TypeError('it must be {"lang": "…", "texts": {"Continue": "…"}}');
  if (given.lang !== undefined && !/^[a-z]{2,3}(-[a-z0-9]{2,8})*$/i.test(given.lang)) throw new TypeError('"lang" must be a language such as "fr"');
  const found = Object.entries(given.texts);
  if (found.length > MOST_TEXTS) throw new TypeError(`it has more than ${MOST_TEXTS} texts`);
  for (const [said, own] of found) {
    const named = JSON.stringify(said.slice(0, 60));
    if (!isText(own)) throw new TypeError(`${named} must become a text of 1 to ${LONGEST_TEXT} characters without control characters`);
    if (`${namesIn(said).sort()}` !== `${namesIn(own).sort()}`) throw new TypeError(`${named} must keep its names in braces`);
  }
  return new Map(found);
}

/** The description with the shop's texts in place of its own; cautions only if `further`, a language that the service has not. */
function inOwnWords(form, own, further) {
  const walk = (value, name) => {
    if (typeof value === "string") return WORDED.includes(name) ? (own.get(value) ?? value) : value;
    if (Array.isArray(value)) return name === "cautions" && !further ? value : value.map((each) => walk(each, name));
    return isPlain(value) ? Object.fromEntries(Object.entries(value).map(([key, each]) => [key, walk(each, key)])) : value;
  };
  return { ...form, ...Object.fromEntries(["sections", "questions", "cautions"].map((name) => [name, walk(form[name], name)])) };
}

/** What a shop knows, as `[pointer, value]` each. */
function knownAnswers(value, pointer = "") {
  if (!isPlain(value) || pointer.split("/").length > 4) return value === null ? [] : [[pointer, value]];
  return Object.entries(value).flatMap(([name, each]) => knownAnswers(each, `${pointer}/${name}`));
}

/**
 * Put what the shop knows where nobody has typed anything, or where its earlier answer still stands. `known` has the shape of the request; what
 * was filled in is kept in the draft, so that an answer taken out stays out. Returns the pointers that cannot be used.
 */
function fillIn(form, draft, known) {
  const before = (draft.prefilled ??= {});
  return knownAnswers(known).flatMap(([pointer, value]) => {
    const question = form.questions.find((each) => each.scope === "request" && each.pointer === pointer);
    const fits = question && (isChosen(question) ? question.choices.some((each) => each.value === value) : isText(value));
    if (!fits) return [pointer];
    const { path } = question;
    const { [path]: given } = draft.request;
    const was = Object.hasOwn(before, path);
    const free = given === undefined ? !was : given === before[path];
    if (free) draft.request[path] = value;
    if (free || !was) before[path] = value;
    return [];
  });
}

/** The shop's reference and its hidden fields in one line; "" if there are none. Throws if they are no reference. */
function referenceOf(host) {
  const hidden = [...host.querySelectorAll("input[type=hidden]")].filter((each) => each.value).map((each) => (each.name ? `${each.name}=${each.value}` : each.value));
  const all = [host.reference.trim(), ...hidden].filter(Boolean).join("; ");
  if ([...all].length > LONGEST_REFERENCE || /\p{Cc}/u.test(all)) throw new TypeError(`it must be one line of at most ${LONGEST_REFERENCE} characters, with all hidden fields`);
  return all;
}
