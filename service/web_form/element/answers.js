// Evaluates answers against the description (GET /v1/form): which questions are asked, what they offer, what counts as answered.

/** Whether a `when` holds for these answers (a Map by path). */
function holds(when, answers) {
  return !when || when.some((together) => together.every((each) => conditionHolds(each, answers)));
}

function conditionHolds(condition, answers) {
  const answer = answers.get(condition.path);
  if (condition.in) return condition.in.includes(answer);
  if (condition.not_in) return !condition.not_in.includes(answer);
  return (answer !== undefined) === condition.answered;
}

/** The values that a table's column offers, given these answers; those in `unsent` narrow nothing. */
function fromTable(form, question, answers, unsent) {
  const source = question.from.find((each) => holds(each.when, answers));
  const table = source && form.tables.find((each) => each.name === source.table);
  if (!table) return [];
  const wanted = (source.match ?? [])
    .filter((each) => holds(each.when, answers) && answers.has(each.path) && !unsent.has(each.path))
    .map((each) => [table.columns.indexOf(each.column), answers.get(each.path)]);
  const column = table.columns.indexOf(source.column);
  const rows = table.rows.filter((row) => wanted.every(([place, value]) => row[place].includes(value)));
  return [...new Set(rows.flatMap((row) => row[column]))];
}

/** The choices that a question offers, `{value, label, help, illustration, answers, opens, sent}` each. */
function choicesOf(form, question, answers, unsent) {
  const named = (question.choices ?? []).filter((each) => holds(each.when, answers));
  if (!question.from) return named;
  const values = fromTable(form, question, answers, unsent);
  const known = named.filter((each) => values.includes(each.value));
  const others = values.filter((value) => !known.some((each) => each.value === value));
  const apart = values.length ? named.filter((each) => each.sent === false) : [];
  return [...known, ...others.map((value) => ({ value, label: form.sizes[value] ?? String(value) })), ...apart];
}

/** What was answered; of a short question that nobody answered, what the answers to others amount to. */
function givenTo(form, question, choices, given) {
  const own = written(question, given[question.path]);
  const other = (path) => written(form.questions.find((each) => each.path === path) ?? {}, given[path]);
  const has = (path) => other(path) !== undefined;
  if (own === undefined && question.follows) {
    const source = other(question.follows.path);
    return typeof source === "string" && new RegExp(question.follows.pattern, "u").test(source) ? question.follows.value : undefined;
  }
  if (own !== undefined || !question.short) return own;
  const opened = choices.find((each) => (each.opens ?? []).some(has));
  if (opened) return opened.value;
  const agrees = (each) => {
    const said = Object.entries(each.answers ?? {}).filter(([path]) => has(path));
    return said.length > 0 && said.every(([path, value]) => other(path) === value);
  };
  const agreeing = choices.filter(agrees);
  if (agreeing.length === 1) return agreeing[0].value;
  const named = choices.some((each) => Object.keys(each.answers ?? {}).some(has));
  return named ? choices.find((each) => each.sent !== false && !each.answers)?.value : undefined;
}

/** The question as it is after these answers: required or not, with its label and help. */
function asAsked(question, answers) {
  const words = (question.wordings ?? []).find((each) => holds(each.when, answers));
  const required = question.required || (question.required_when !== undefined && holds(question.required_when, answers));
  return { ...question, required, ...(words ? { label: words.label, help: words.help ?? question.help } : {}) };
}

/** The name of a question's drawing, with answers in place of the paths in braces; "" if there is none, or an answer lacks. */
function illustrationOf(question, answers) {
  const pattern = (question.illustrations ?? []).find((each) => holds(each.when, answers))?.name ?? "";
  const lacking = [...pattern.matchAll(/\{([^}]+)\}/g)].some(([, path]) => !answers.has(path));
  return lacking ? "" : pattern.replace(/\{([^}]+)\}/g, (whole, path) => answers.get(path));
}

const isChosen = (question) => ["choice", "flag", "presence"].includes(question.kind);

/** The entry, trimmed, with a count as a number; undefined if there is no answer. */
function written(question, given) {
  if (given === undefined || given === null) return undefined;
  if (question.kind === "lengths") {
    const readings = given.map((each) => each.trim()).filter(Boolean);
    return readings.length ? readings : undefined;
  }
  if (typeof given !== "string") return given;
  const text = given.trim();
  if (question.kind === "count" && /^\d{1,9}$/.test(text)) return Number(text);
  return text === "" ? undefined : text;
}

/** Whether an answer is outside its question's `minimum`, `maximum` and `pattern`: a count itself, else its number of characters or readings. */
function beyondLimits(question, answer) {
  if (question.maximum === undefined) return false;
  const amount = question.kind === "count" ? answer : question.kind === "lengths" ? answer.length : [...answer].length;
  const unlike = question.pattern !== undefined && !matches(question.pattern, answer);
  return unlike || typeof amount !== "number" || amount < question.minimum || amount > question.maximum;
}

/** What to say of an answer beyond its limits: the words of the first of `wrongs` whose pattern matches the whole of it, else `wrong`. */
const wrongWords = ({ wrongs = [], wrong }, answer) => wrongs.find((each) => matches(each.pattern, answer))?.words ?? wrong;

const matches = (pattern, answer) => new RegExp(`^(?:${pattern})$`, "u").test(answer);

/**
 * The questions to ask, given the entries so far (a plain object by path), in order, each as
 * `{question, choices, answer, missing, assumed, hidden, by, unsent}`: if only one value is left, it is the answer; `missing` if an answer is
 * wanted; `assumed` if it is a default that nobody gave, which is not sent; `hidden` if it is answered without being asked, `by` a short question
 * at that path or as on the boat's other side; `unsent` if the answer is no value for the request.
 */
function asked(form, scope, given) {
  const answers = new Map();
  const unsent = new Set();
  const told = new Map();
  const found = [];
  for (const question of form.questions) {
    if (question.scope !== scope || !holds(question.when, answers)) continue;
    const choices = isChosen(question) ? choicesOf(form, question, answers, unsent) : [];
    if (isChosen(question) && !choices.length) continue; // nothing to ask
    const entry = entryOf(form, question, choices, given, told);
    if (entry.answer !== undefined) answers.set(question.path, entry.answer);
    if (entry.unsent) unsent.add(question.path);
    const chosen = choices.find((each) => each.value === entry.answer);
    for (const [path, value] of Object.entries(chosen?.answers ?? {})) told.set(path, [question.path, value]);
    found.push(entry);
  }
  const { mark, alike } = form.other_side;
  const copy = answers.has(mark) && answers.get(alike.path) !== alike.unless;
  return found.map((each) => {
    const { answer } = each;
    const question = asAsked(each.question, answers);
    const missing = answer === undefined && (question.required || answers.has(question.together));
    return { ...each, question, missing, hidden: each.hidden || question.path === mark || (copy && question.copied && !missing) };
  });
}

function entryOf(form, question, choices, given, told) {
  const [by, implied] = told.get(question.path) ?? [];
  if (by && (!choices.length || choices.some((each) => each.value === implied))) {
    return { question, choices, answer: implied, assumed: implied === question.default, hidden: true, by, unsent: false };
  }
  let answer = givenTo(form, question, choices, given);
  if (isChosen(question) && !choices.some((each) => each.value === answer)) answer = undefined;
  const possible = choices.filter((each) => each.sent !== false);
  const sole = question.required && possible.length === 1;
  if (answer === undefined && sole) answer = possible[0].value;
  const assumed = answer === undefined && "default" in question;
  if (assumed) answer = question.default;
  const unsent = choices.some((each) => each.value === answer && each.sent === false);
  const followed = Boolean(question.follows) && !assumed && written(question, given[question.path]) === undefined;
  return { question, choices, answer, assumed, hidden: followed || Boolean(sole && question.quiet), by: "", unsent };
}

/** Those that a page shows. */
const visible = (form, scope, given) => asked(form, scope, given).filter((each) => !each.hidden);

/** The section with the names that it has after these answers. */
function titled(section, entries) {
  const answers = new Map(entries.filter((each) => each.answer !== undefined).map((each) => [each.question.path, each.answer]));
  return { ...section, ...(section.wordings ?? []).find((each) => holds(each.when, answers)) };
}

/** The sections of a scope that ask something. */
function askingSections(form, scope, given) {
  const entries = asked(form, scope, given);
  const asking = new Set(entries.filter((each) => !each.hidden).map((each) => each.question.section));
  return form.sections.filter((each) => asking.has(each.name)).map((each) => titled(each, entries));
}

/** Put the answers at their pointers into `target`. */
function fill(target, entries) {
  for (const { question, answer, assumed, unsent } of entries) {
    if (answer === undefined || assumed || unsent || !question.pointer || (question.kind === "presence" && answer === false)) continue;
    put(target, question.pointer.slice(1).split("/"), question.kind === "presence" ? {} : answer);
  }
  return target;
}

/** The request; for a preview, without `personal` answers. */
function requestOf(form, whole, assemblies, personal) {
  const request = fill({}, asked(form, "request", whole).filter((each) => personal || !each.question.personal));
  request.assemblies = assemblies.map((each) => fill({}, asked(form, "assembly", each)));
  return request;
}

function put(target, steps, value) {
  steps.slice(0, -1).forEach((step, place) => {
    target[step] ??= /^\d+$/.test(steps[place + 1]) ? [] : {};
    target = target[step];
  });
  const last = steps[steps.length - 1];
  if (value && typeof value === "object" && !Array.isArray(value)) target[last] ??= value;
  else target[last] = value;
}

/**
 * The question that a pointer below the request or the assembly belongs to; undefined for the whole of it. The question at that very place,
 * else the first unanswered length below it, else the first question below it, else the nearest above; one of kind `presence` only if there
 * is no other. What a short question answered belongs to that one; what else is hidden, to none.
 */
function questionAt(entries, pointer) {
  if (!pointer) return undefined;
  const within = (inner, outer) => inner === outer || inner.startsWith(`${outer}/`);
  const placed = entries.filter((each) => each.question.pointer && (each.by || !each.hidden));
  const below = placed.filter((each) => each.question.kind !== "presence" && within(each.question.pointer, pointer));
  const exact = below.find((each) => each.question.pointer === pointer);
  const open = below.find((each) => each.answer === undefined && each.question.kind === "length");
  const above = placed.filter((each) => within(pointer, each.question.pointer));
  const found = exact ?? open ?? below[0] ?? above.sort((a, b) => b.question.pointer.length - a.question.pointer.length)[0];
  return found?.by ? entries.find((each) => each.question.path === found.by) : found;
}

/** The answers that the same wire on the boat's other side starts with; settings and readings are asked again. */
function onOtherSide(form, given) {
  const { sides, tag, mark } = form.other_side;
  const kept = form.questions.filter((each) => each.copied && each.path in given);
  const found = Object.fromEntries(kept.map((each) => [each.path, given[each.path]]));
  for (const { path, values } of sides) if (given[path] in values) found[path] = values[given[path]];
  const [, start, last] = (given[tag.path] ?? "").trim().match(/^(.*)(.)$/su) ?? [];
  if (last in tag.endings && !/[\p{L}\p{N}]$/u.test(start)) found[tag.path] = start + tag.endings[last];
  return { ...found, [mark]: true };
}
