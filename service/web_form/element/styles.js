// Styles. A shop's page may set the custom properties that begin with --wire-quote-; all others are internal.

const STYLES = globalThis.CSSStyleSheet && new CSSStyleSheet();
STYLES?.replaceSync(`
:host {
  --accent: var(--wire-quote-accent, #0b5a6b);
  --on-accent: var(--wire-quote-on-accent, #fff);
  --ink: var(--wire-quote-ink, #1b2226);
  --quiet: var(--wire-quote-quiet, #4b565c);
  --paper: var(--wire-quote-paper, #fff);
  --tint: var(--wire-quote-tint, #eef3f4);
  --line: var(--wire-quote-line, #73828a);
  --stop: var(--wire-quote-stop, #a3201b);
  --ask: var(--wire-quote-ask, #7a4b00);
  --radius: var(--wire-quote-radius, 4px);
  --field: var(--wire-quote-field, var(--paper));
  display: block; container-type: inline-size; color: var(--ink); background: var(--paper);
  font: var(--wire-quote-font, 1rem/1.5 system-ui, sans-serif); text-align: start; overflow-wrap: break-word;
}
* { box-sizing: border-box; }
[hidden] { display: none !important; }
.frame { padding: 1rem; }
.unseen { position: absolute; inline-size: 1px; block-size: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
h2 { inline-size: fit-content; font-size: 1.5em; line-height: 1.25; margin: .25em 0 .5em; scroll-margin-top: 5rem; }
h3 { font-size: 1.125em; line-height: 1.3; margin: 0 0 .5em; }
h2, h3 { font-family: var(--wire-quote-heading-font, inherit); }
h4 { font-size: 1em; margin: 1em 0 .25em; }
p { margin: 0 0 .75em; }
ul, ol { margin: 0; padding: 0; list-style: none; }
.lead { max-width: 42em; }
.hint, .optional, .crumb, .kept, .state { color: var(--quiet); }
.hint { margin: 0 0 .5em; max-width: 42em; font-size: .9375em; }
.optional { font-weight: 400; }
.columns { display: flex; flex-direction: column; gap: 2rem; }
.side, .drawn-place { display: contents; }
@container (min-width: 54rem) {
  .frame { padding: 1.5rem 2rem; }
  .columns { display: grid; grid-template-columns: minmax(0, 1fr) 18rem; }
  .side { display: block; position: sticky; top: 1rem; align-self: start; }
  .drawn { margin-block-end: 1rem; border: 1px solid var(--line); border-radius: var(--radius); padding: .25rem .75rem .75rem; }
  .sketch { max-block-size: max(16rem, calc(100vh - 22rem)); }
}
@container (max-width: 53.99rem) {
  .drawn { order: -1; position: sticky; top: 0; z-index: 1; background: var(--paper); border-block-end: 1px solid var(--line); margin: 0 -1rem 1rem; padding: 0 1rem .5rem; }
  .frame:has(.tapped):not(:has(.tapped :checked)) .drawn, .frame:has(.tapped :focus) .drawn { position: static; }
  .sketch { max-block-size: min(34vh, 15rem); }
  .sketch.whole svg { max-block-size: min(44vh, 20rem); }
  .sketch.whole { max-block-size: none; }
  .frame { display: flex; flex-direction: column; padding-block-end: 0; }
  .columns, .aside, .price { display: contents; }
  .said { order: -2; }
  .foot { order: 1; }
  .live { order: 2; position: sticky; inset-block-end: 0; z-index: 1; display: flex; flex-wrap: wrap; gap: 0 .75rem; align-items: baseline; background: var(--tint); border-block-start: 1px solid var(--line); margin: 1rem -1rem 0; padding: .375rem 1rem; }
  .live > * { margin: 0; }
  .live > :empty { display: none; }
  .price > h3 { margin-block-start: 2rem; }
  .frame :is(.field, input, select, textarea, button, label) { scroll-margin-block-end: 5.5rem; }
  .frame:has(.drawn[open]:not([hidden])) :is(h2, .field, input, select, textarea, button) { scroll-margin-block-start: calc(min(44vh, 20rem) + 4.5rem); }
}
.sketch { overflow: auto; }
.sketch svg { display: block; inline-size: 100%; max-inline-size: 18rem; margin-inline: auto; }
.part { cursor: pointer; outline: none; }
.hit { fill: transparent; }
.part:hover .hit { fill: var(--tint); }
.part:focus-visible .hit { stroke: var(--accent); stroke-width: 2; }
.s-fill-none { fill: none; } .s-fill-paper { fill: var(--paper); } .s-fill-ink { fill: currentColor; }
.s-stroke-paper { stroke: var(--paper); } .s-stroke-ink { stroke: currentColor; stroke-linejoin: round; }
.s-label { fill: currentColor; } .s-outline { color: var(--quiet); stroke-dasharray: 3 2; } .s-hidden { stroke-dasharray: 3.6 1.8; }
.s-ink { stroke-linecap: round; } .s-centre { stroke-dasharray: 9 1.8 .6 1.8; } .s-here, .s-mark { color: var(--accent); } .s-here { fill: currentColor; }
:focus-visible { outline: 3px solid var(--accent); outline-offset: 2px; border-radius: 2px; }
h2:focus-visible { outline-offset: 4px; }
.notice { border-inline-start: 4px solid var(--accent); background: var(--tint); padding: .5em .75em; max-width: 48em; }
.notice.offline { border-color: var(--ask); }
.field { border: 0; margin: 0 0 1.25rem; padding: 0; min-inline-size: 0; scroll-margin-top: 5rem; }
.field > label, legend { font-weight: 600; padding: 0; display: block; margin-bottom: .25em; }
.wrong { border-inline-start: 4px solid var(--stop); padding-inline-start: .5rem; margin-inline-start: calc(-.5rem - 4px); }
.with-drawing { display: grid; gap: 1rem; }
@container (min-width: 36rem) { .with-drawing { grid-template-columns: minmax(0, 1fr) auto; align-items: start; } }
.drawing img { display: block; inline-size: 17rem; max-inline-size: 100%; background: #fff; border: 1px solid var(--line); border-radius: var(--radius); }
input:not([type=radio]), select, textarea {
  font: inherit; color: inherit; background: var(--field); border: 1px solid var(--line); border-radius: var(--radius);
  inline-size: 100%; max-inline-size: 28em; min-block-size: 2.75rem; padding: .375rem .625rem;
}
input.short { max-inline-size: 14em !important; }
[aria-invalid=true] { border: 2px solid var(--stop) !important; }
.choice { display: grid; grid-template-columns: 2.75rem minmax(0, 1fr) auto; align-items: start; max-inline-size: 40em; }
.choice img { inline-size: 4.5rem; block-size: auto; margin: .25rem 0 .25rem .5rem; background: #fff; border: 1px solid var(--line); border-radius: var(--radius); }
.pictured, .paired { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 0 .5rem; }
.pictured { grid-template-columns: repeat(3, minmax(0, 1fr)); gap: .5rem; }
.pictured .choice { grid-template-columns: 1.75rem minmax(0, 1fr); align-content: start; border: 1px solid var(--line); border-radius: var(--radius); }
.pictured .choice img { grid-row: 1; grid-column: 1 / -1; justify-self: center; margin: .25rem 0; border: 0; }
.pictured .choice input, .paired .choice input { margin-inline: .25rem; }
.pictured .choice > div > label { line-height: 1.25; }
.sided { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 0 .5rem; }
.paired .choice > div > label, .sided .choice > div > label { display: flex; align-items: center; line-height: 1.2; padding-block: .125rem; }
.paired .choice { grid-template-columns: 1.875rem minmax(0, 1fr); }
.choice > div > label { display: block; padding: .625rem 0; min-block-size: 2.75rem; cursor: pointer; }
.choice .hint { display: block; margin: -.5rem 0 .5rem; }
.choice input { inline-size: 1.375rem; block-size: 1.375rem; margin: .6875rem .5rem; accent-color: var(--accent); }
.tapped { position: relative; max-inline-size: 18rem; direction: ltr; }
.tapped svg { display: block; inline-size: 100%; }
@container (max-width: 20rem) { .tapped { margin-inline: -.5rem; } }
@container (min-width: 22.5rem) { .tapped .choice:not(.spot) { margin-inline-end: -3rem; } }
.chosen-name { block-size: 1.75rem; text-align: center; color: var(--quiet); }
.tapped:has(:checked) .chosen-name { visibility: hidden; }
.s-chosen { color: var(--accent); stroke-width: 5; }
.tapped .spot { display: contents; }
.spot input { position: absolute; inset-block-start: 0; inline-size: 44px; block-size: 44px; margin: 0; appearance: none; border-radius: 50%; cursor: pointer; }
.spot input::before { content: ""; position: absolute; inset: 13px; border: 2px solid var(--accent); border-radius: 50%; background: var(--paper); }
.spot input:hover::before { background: var(--tint); }
.spot input:checked::before { border-width: 9px; }
.tapped .spot label { position: absolute; inset-block-start: 0; inset-inline: 0; min-block-size: 2rem; padding: .25rem 0; text-align: center; font-weight: 600; background: var(--paper); }
.spot:not(:has(:checked, :focus-visible, :hover)) label { clip-path: inset(50%); overflow: hidden; white-space: nowrap; }
.spot:has(:hover, :focus-visible) label { z-index: 1; }
.reading { display: flex; flex-wrap: wrap; gap: 0 .75em; align-items: center; margin-bottom: .5rem; }
.reading label { min-inline-size: 6.5em; }
.reading input { flex: 1 1 9em; }
.length, .lengths { display: flex; flex-wrap: wrap; gap: 0 .5rem; align-items: center; }
.length > *, .lengths > * { flex: 1 0 100%; }
.length > .short { flex: 0 0 9.5em; }
.lengths > button { flex: none; min-block-size: 3em; }
.length > .echo, .lengths > .echo { flex: 1 1 7em; }
.echo { margin: 0; font-size: .875em; line-height: 1.3; }
.echo strong { font-weight: 600; }
.fault { margin: .375em 0 0; color: var(--stop); }
.finding { margin: .5em 0 0; padding: .5em .75em; border: 1px solid var(--line); border-inline-start-width: 4px; max-width: 44em; }
.finding.stop { border-color: var(--stop); }
.finding.ask { border-color: var(--ask); }
.finding.stop .severity { color: var(--stop); }
.finding.ask .severity { color: var(--ask); }
.severity::after { content: ":"; }
.remedy { display: block; }
.record { font-size: 0.85em; }
button {
  font: inherit; font-weight: 600; min-block-size: 2.75rem; padding: .375rem 1.125rem; cursor: pointer; text-align: start;
  color: var(--on-accent); background: var(--accent); border: 2px solid var(--accent); border-radius: var(--wire-quote-button-radius, var(--radius));
}
a.open { display: inline-block; font-weight: 600; padding: .5rem 1.125rem; color: var(--on-accent); background: var(--accent); border: 2px solid var(--accent); border-radius: var(--wire-quote-button-radius, var(--radius)); }
button.second, button.danger { color: var(--accent); background: var(--paper); }
button.danger { color: var(--stop); border-color: var(--stop); }
button.quiet, button.link, button.part { color: var(--accent); background: none; border-color: transparent; padding-inline: .25rem; text-decoration: underline; text-underline-offset: .2em; }
button:hover { text-decoration: underline; }
button.link { color: var(--stop); font-weight: 400; }
.sure { display: inline-flex; flex-wrap: wrap; gap: .5rem; }
.actions { display: flex; flex-wrap: wrap; gap: .75rem 1rem; align-items: center; margin: 1rem 0; }
.parts { display: flex; flex-wrap: wrap; gap: 0 1rem; margin: 0 -.25rem 1rem; }
.parts .part { position: relative; font-weight: 400; }
.parts .here { font-weight: 700; color: var(--ink); text-decoration: none; border-block-end: 3px solid var(--accent); border-radius: 0; }
.short-name { display: none; }
@container (max-width: 36rem) {
  .parts { flex-wrap: nowrap; gap: 0 .25rem; margin-block-end: .25rem; }
  .short-name { display: inline; }
  .full-name { position: absolute; inline-size: 1px; block-size: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
  .drawing img { inline-size: 8rem; }
  .with-drawing { display: flex; flex-wrap: wrap; gap: .5rem 1rem; }
  .with-drawing > :first-child { flex: 1 1 12rem; }
  .with-drawing > .lengths { flex-basis: 100%; }
  .pictured { grid-template-columns: repeat(4, minmax(0, 1fr)); gap: .25rem; font-size: .875em; }
  .pictured .choice { grid-template-columns: minmax(0, 1fr); justify-items: center; text-align: center; }
  .choice img { inline-size: 3.25rem; }
  .field { margin-block-end: 1rem; }
}
.mark { color: var(--quiet); font-weight: 400; }
.crumb { margin-bottom: 0; font-weight: 600; }
.summary { border: 3px solid var(--stop); padding: .75rem 1rem; margin-bottom: 1.25rem; max-width: 48em; }
.price { border: 1px solid var(--line); border-radius: var(--radius); padding: 1rem; background: var(--tint); }
.price-total { font-size: 1.5em; font-weight: 700; margin: 0; line-height: 1.2; }
.price.stale .price-total { color: var(--quiet); }
.price-rows > div, .made > div { display: flex; justify-content: space-between; gap: 1rem; padding: .125rem 0; }
.price-rows dd, .made dd { margin: 0; font-variant-numeric: tabular-nums; text-align: end; }
.price-rows > div:last-child { border-block-start: 1px solid var(--line); font-weight: 700; }
.price .hint { margin: .5em 0 0; }
dl { margin: 0 0 .75rem; }
.wire { border: 1px solid var(--line); border-inline-start-width: 6px; border-radius: var(--radius); padding: .75rem 1rem; margin-bottom: 1rem; }
.wire.ready_to_cut { border-inline-start-color: var(--accent); }
.wire.confirm, .wire.open { border-inline-start-color: var(--ask); }
.wire.hold { border-inline-start-color: var(--stop); }
.wire h3 { margin-bottom: .25rem; }
.wire .actions, .wire .state { margin: 0 0 .25rem; }
.wire dl > div { display: grid; grid-template-columns: minmax(0, 1fr); padding: .25rem 0; border-block-end: 1px solid var(--tint); }
@container (min-width: 36rem) { .wire dl > div { grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); gap: 1rem; } }
.measured { margin: 0; }
.wire dt { color: var(--quiet); }
.wire dd { margin: 0; }
summary { min-block-size: 2.75rem; padding: .5rem 0; cursor: pointer; font-weight: 600; }
.cautions ul, .made { max-width: 44em; }
.cautions li { list-style: disc; margin-inline-start: 1.25em; padding-block: .125em; }
.made { font-size: 1.125em; border: 2px solid var(--accent); border-radius: var(--radius); padding: 1rem; max-width: 30em; }
.made > div { flex-wrap: wrap; gap: 0 1rem; }
.made dd { font-weight: 700; white-space: nowrap; }
.foot { border-block-start: 1px solid var(--line); margin-block-start: 1.5rem; padding-block-start: .75rem; font-size: .9375em; }
.caution { max-width: 56em; }
@media (forced-colors: active) { .sketch { --ink: CanvasText; --paper: Canvas; --quiet: GrayText; --accent: Highlight; color: CanvasText; } button { border-color: ButtonText; } .parts .here { border-block-end-color: Highlight; } }
`);
