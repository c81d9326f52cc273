// Keeps the measuring page so that it opens without a network. It keeps files of the service's own from a closed list, under the hash of
// their content, and nothing else: what people write, and what the service answers to it, never passes through here.

const CACHE = `measure ${VERSION}`;
const ANY = { ignoreVary: true }; // of each file there is one
const PATIENCE_MS = 4000; // on a weak signal, before the page that was kept is shown

self.addEventListener("install", (event) => {
  const fresh = SHELL.map((each) => new Request(each, { cache: "reload", credentials: "omit" }));
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(fresh)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const old = (name) => name.startsWith("measure ") && name !== CACHE;
  const gone = caches.keys().then((names) => Promise.all(names.filter(old).map((each) => caches.delete(each))));
  event.waitUntil(gone.then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (request.mode === "navigate" && url.pathname === "/measure") event.respondWith(page(request, url));
  else if (SHELL.includes(url.pathname + url.search)) event.respondWith(kept(request));
  else if (PICTURES.includes(url.pathname + url.search)) event.respondWith(keptOnce(request));
});

/** The newest page if the service shows it soon; else the one that was kept. */
async function page(request, url) {
  const asked = url.searchParams.get("lang");
  const language = LANGUAGES.includes(asked) ? asked : (self.navigator.languages.map((each) => each.slice(0, 2)).find((each) => LANGUAGES.includes(each)) ?? LANGUAGES[0]);
  const shown = await (await caches.open(CACHE)).match(`/measure?lang=${language}`, ANY);
  const newest = fetch(request);
  if (!shown) return newest;
  const late = new Promise((done) => setTimeout(done, PATIENCE_MS));
  const found = await Promise.race([newest.catch(() => undefined), late]);
  return found && found.status < 500 ? found : shown;
}

async function kept(request) {
  return (await (await caches.open(CACHE)).match(request, ANY)) ?? fetch(request);
}

async function keptOnce(request) {
  const cache = await caches.open(CACHE);
  const found = await cache.match(request, ANY);
  if (found) return found;
  const answer = await fetch(request.url, { credentials: "omit" });
  if (answer.ok) await cache.put(request.url, answer.clone());
  return answer;
}
