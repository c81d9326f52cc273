// Styles of what the form has only on the dock.

const DOCK_STYLES = new CSSStyleSheet();
DOCK_STYLES.replaceSync(`
.work { margin-block-end: 1rem; max-width: 42em; }
.tag { border: 3px solid currentColor; border-radius: 12px; padding: .75rem 1rem; margin-block-end: 1rem; }
.tag p { margin: 0; }
.tag-name { font: 700 clamp(2.25rem, 14cqi, 5rem)/1.15 ui-monospace, monospace; letter-spacing: .08em; overflow-wrap: anywhere; }
.tag dl { margin: .5rem 0 0; }
.tag dd { margin: 0 0 .25rem; font: 700 1.5rem/1.3 ui-monospace, monospace; }
.steps { list-style: decimal; padding-inline-start: 1.5em; }
.steps li { margin: 0 0 .6em; }
.device { margin-block-start: .5rem; max-width: 42em; }
.device summary { min-block-size: 2.75rem; padding-block: .6rem; cursor: pointer; }
`);
