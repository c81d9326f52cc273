// What stays on the device: the page itself, by a service worker; the draft, in this browser's storage. And how all of it is deleted.

const WORKER = "/measure/worker.js";
const SCOPE = "/measure";
const CLAIM_MOST_MS = 5000; // a page that was loaded past its worker is never claimed
const CACHES = "measure ";

/** Whether this browser keeps anything. */
function keepsText() {
  try {
    localStorage.setItem("measure keeps", "yes");
    const kept = localStorage.getItem("measure keeps") === "yes";
    localStorage.removeItem("measure keeps");
    return kept;
  } catch {
    return false;
  }
}

/** Has the browser keep the page; true once it does, false where it cannot. A newer page is kept while this one goes on. */
async function keepPage() {
  try {
    await navigator.serviceWorker.register(WORKER, { scope: SCOPE, updateViaCache: "none" });
    await navigator.serviceWorker.ready;
    if (!navigator.serviceWorker.controller) await Promise.race([new Promise((done) => (navigator.serviceWorker.oncontrollerchange = done)), pause(CLAIM_MOST_MS)]);
    return true;
  } catch {
    return Boolean(navigator.serviceWorker?.controller); // the service is away, the page is kept already
  }
}

/** Load the questions' drawings once, so that the worker keeps them: one after the other, for as long as there is a network. */
async function keepPictures(service, language, signal) {
  try {
    for (const name of PICTURES) await (await fetch(service.illustration(name, language), { signal })).arrayBuffer();
  } catch {
    // questions are asked without them
  }
}

/** Delete all that this page keeps on the device: the texts whose names begin so, the page, and its worker. */
async function deleteAll(start) {
  try {
    for (const name of Object.keys(localStorage)) if (name.startsWith(start)) localStorage.removeItem(name);
  } catch {
    // without access to storage, nothing is stored
  }
  try {
    for (const name of await caches.keys()) if (name.startsWith(CACHES)) await caches.delete(name);
    await (await navigator.serviceWorker.getRegistration(SCOPE))?.unregister();
  } catch {
    // nor a page
  }
}
