// What the description makes of the answers: which questions are asked, what they offer, what counts as answered (GET /v1/form).

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

/** The values that a table's column offers after these answers. */
function fromTable(form, question, answers) {
  const source = question.from.find((each) => holds(each.when, answers));
  const table = source && form.tables.find((each) => each.name === source.table);
  if (!table) return [];
  const wanted = (source.match ?? [])
    .filter((each) => holds(each.when, answers) && answers.has(each.path))
    .map((each) => [table.columns.indexOf(each.column), answers.get(each.path)]);
  const column = table.columns.indexOf(source.column);
  const rows = table.rows.filter((row) => wanted.every(([place, value]) => row[place].includes(value)));
  return [...new Set(rows.flatMap((row) => row[column]))];
}

/** The choices that a question offers, `{value, label, help, illustration}` each. */
function choicesOf(form, question, answers) {
  const named = question.choices ?? [];
  if (!question.from) return named.filter((each) => holds(each.when, answers));
  const values = fromTable(form, question, answers);
  const known = named.filter((each) => values.includes(each.value));
  const others = values.filter((value) => !known.some((each) => each.value === value));
  return [...known, ...others.map((value) => ({ value, label: String(value) }))];
}

const isChosen = (question) => ["choice", "flag", "presence"].includes(question.kind);

/** What was written, tidied: undefined where there is no answer. */
function written(question, given) {
  if (given === undefined || given === null) return undefined;
  if (question.kind === "lengths") {
    const readings = given.map((each) => each.trim()).filter(Boolean);
    return readings.length ? readings : undefined;
  }
  if (typeof given !== "string") return given;
  return given.trim() === "" ? undefined : given.trim();
}

/**
 * The questions asked after what was given (a plain object by path), in order, each as
 * `{question, choices, answer, only, missing}`: `only` where one value alone is left and is filled in, `missing` where an answer is wanted,
 * and `lacks` the words for that, where the question has its own.
 */
function asked(form, scope, given, before = new Map()) {
  const answers = new Map(before);
  const found = [];
  for (const question of form.questions) {
    if (question.scope !== scope || !holds(question.when, answers)) continue;
    const choices = isChosen(question) ? choicesOf(form, question, answers) : [];
    if (isChosen(question) && !choices.length) continue; // nothing to ask
    let answer = written(question, given[question.path]);
    if (isChosen(question) && !choices.some((each) => each.value === answer)) answer = undefined;
    const only = answer === undefined && question.required && isChosen(question) && choices.length === 1;
    if (only) answer = choices[0].value;
    const sent = answer;
    if (answer === undefined && "default" in question) answer = question.default;
    if (answer !== undefined) answers.set(question.path, answer);
    found.push({ question, choices, answer, sent, only, missing: question.required && answer === undefined, lacks: question.lacking });
  }
  for (const entry of found) {
    if (entry.answer !== undefined || !answers.has(entry.question.together)) continue;
    entry.missing = true;
  }
  return found;
}

/** Put the answers at their pointers into `target`. */
function fill(target, entries) {
  for (const { question, sent } of entries) {
    if (sent === undefined || (question.kind === "presence" && sent === false)) continue;
    put(target, question.pointer.slice(1).split("/"), valueOf(question, sent));
  }
  return target;
}

function valueOf(question, answer) {
  if (question.kind === "presence") return {};
  if (question.kind === "count" && /^\d+$/.test(answer)) return Number(answer);
  return answer;
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
 * The question whose field a pointer (below the request or the assembly) stands in: the very one, else the first inside of what it points to
 * (a length that lacks before others), else the one around it; undefined where there is none.
 */
function questionAt(entries, pointer) {
  const exact = entries.find((each) => each.question.pointer === pointer);
  const within = pointer ? entries.filter((each) => each.question.pointer.startsWith(`${pointer}/`)) : [];
  const inside = within.find((each) => each.answer === undefined && each.question.kind === "length") ?? within[0];
  const around = entries.filter((each) => pointer.startsWith(`${each.question.pointer}/`));
  return exact ?? (inside || around.sort((a, b) => b.question.pointer.length - a.question.pointer.length)[0]);
}

/** What the same wire on the boat's other side starts from: settings and readings are asked anew. */
function copiedAnswers(form, given) {
  const kept = form.questions.filter((each) => each.scope === "assembly" && each.copied && each.path in given);
  return Object.fromEntries(kept.map((each) => [each.path, given[each.path]]));
}
