// The work between the questions of a wire, in its order: record, tag and photograph, take off, lay flat, measure twice.

const STEPS = ["dock_tag", "dock_off", "dock_flat"];
const SETTING = "turnbuckle.setting.";

const isSetting = (question) => question.path.startsWith(SETTING) && question.kind === "length";
const isStep = (name) => STEPS.includes(name);

/** The name of the section after which a wire is recorded: that of its name and its settings, whichever comes last. */
function recordedIn(form) {
  const places = form.questions
    .filter((each) => each.path === form.other_side.tag.path || isSetting(each))
    .map((each) => form.sections.findIndex((one) => one.name === each.section));
  return form.sections[Math.max(...places)].name;
}

const measuredIn = (form) => form.questions.find((each) => each.kind === "lengths").section;

/** The description with the work as sections without questions: tag and take off once it is recorded, lay it flat before it is measured. */
function withSteps(form, texts) {
  if (form.sections.some((each) => isStep(each.name))) return form;
  const step = (name, title) => ({ name, scope: "assembly", title });
  const [tag, off, flat] = [step(STEPS[0], texts.dockTag), step(STEPS[1], texts.dockOff), step(STEPS[2], texts.dockFlat)];
  const sections = form.sections.flatMap((each) => {
    const before = each.name === measuredIn(form) ? [flat] : [];
    return [...before, each, ...(each.name === recordedIn(form) ? [tag, off] : [])];
  });
  return { ...form, sections };
}

/** The form's model, in which a step that is not done counts as unfinished for its own part, never for the request. */
class DockModel extends Model {
  open(id, section) {
    if (section && isStep(section)) return this.isDone(id, section) ? 0 : 1;
    return super.open(id, section);
  }

  isDone(id, step) {
    return (this.assembly(id).done ?? []).includes(step);
  }

  did(id, step) {
    const wire = this.assembly(id);
    wire.done = [...new Set([...(wire.done ?? []), step])];
  }

  /** The wires whose settings are not recorded yet. */
  unrecorded() {
    const section = recordedIn(this.form);
    return this.draft.assemblies.filter((each) => this.open(each.id, section));
  }

  /** What the tag of a wire bears: its name, then its settings as they were typed, each with its question. */
  onTag(id) {
    const settings = this.entries(id).filter((each) => isSetting(each.question) && each.answer !== undefined);
    return { name: this.tag(id) ?? "", settings: settings.map((each) => ({ label: each.question.label, words: each.answer })) };
  }
}
