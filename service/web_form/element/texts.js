// Texts that the description does not contain, by language: the service writes TEXTS before this part, from its message catalogue.

/**
 * The texts of a language, English if missing; of those in `own` the shop's, the caution only if `further`. One with names in braces is a function
 * of their values, one with plurals of its number.
 */
function textsFor(language, own, further) {
  const owned = (name, text) => (name === "caution" && !further ? text : (own?.get(text) ?? text));
  const texts = Object.entries(TEXTS[language] ?? TEXTS.en);
  return Object.fromEntries(texts.map(([name, text]) => [name, spokenText(name, Array.isArray(text) ? text.map((each) => owned(name, each)) : owned(name, text))]));
}

function spokenText(name, text) {
  const [one, several] = Array.isArray(text) ? text : [text, text];
  const english = [TEXTS.en[name]].flat().at(-1); // values are matched to names in the order of the English text
  const names = [...english.matchAll(/\{(\w+)\}/g)].map((each) => each[1]);
  if (!names.length) return text;
  return (...values) => (values[0] === 1 ? one : several).replace(/\{(\w+)\}/g, (whole, each) => values[names.indexOf(each)] ?? whole);
}
