// What the element makes of the cases on standard input, as JSON; run behind the element's own answers.js (test_rules.py joins the two).

const { form, asked: askedCases, requests, pointers, other_sides: otherSides } = JSON.parse(require("node:fs").readFileSync(0, "utf8"));

const pictureOf = (entries, { question }) => illustrationOf(question, new Map(entries.filter((each) => each.answer !== undefined).map((each) => [each.question.path, each.answer])));

const asking = ({ scope, typed }) => {
  const entries = asked(form, scope, typed);
  const paths = (some) => some.map((each) => each.question.path);
  return {
    questions: Object.fromEntries(entries.map((each) => [each.question.path, each.answer ?? null])),
    choices: Object.fromEntries(entries.filter((each) => each.choices.length).map((each) => [each.question.path, each.choices.map((one) => one.value)])),
    missing: paths(entries.filter((each) => each.missing)),
    wrong: paths(entries.filter((each) => each.answer !== undefined && beyondLimits(each.question, each.answer))),
    said: Object.fromEntries(entries.filter((each) => each.answer !== undefined && beyondLimits(each.question, each.answer)).map((each) => [each.question.path, wrongWords(each.question, each.answer)])),
    sections: askingSections(form, scope, typed).map((each) => each.name),
    titles: askingSections(form, scope, typed).map((each) => each.title),
    shown: paths(visible(form, scope, typed)),
    pictures: Object.fromEntries(entries.map((each) => [each.question.path, pictureOf(entries, each)])),
    labels: Object.fromEntries(entries.map((each) => [each.question.path, [each.question.label ?? "", ...each.choices.map((one) => one.label ?? "")]])),
  };
};

console.log(JSON.stringify({
  asked: askedCases.map(asking),
  requests: requests.map(({ whole, assemblies, personal }) => requestOf(form, whole, assemblies, personal)),
  pointers: pointers.map(({ typed, pointer }) => questionAt(asked(form, "assembly", typed), pointer)?.question.path ?? null),
  other_sides: otherSides.map(({ given }) => onOtherSide(form, given)),
}));
