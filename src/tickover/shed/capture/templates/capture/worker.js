// Pages that were looked at, and the files they are made with, for when there is no connection. Answers to what was
// sent are never kept. VERSION and LAID_DOWN stand above, written by the workshop.
const FILES = `files ${VERSION}`;
const PAGES = `pages ${VERSION}`;
const MOST_PAGES = 300;
const NO_CONNECTION = "/no-connection";
const NEVER = /^\/(token|sw\.js|manifest\.webmanifest)$|\/original$/;
const PATIENCE = 10_000; // milliseconds until a copy, where there is one, is shown instead

addEventListener("install", (event) => {
  const fresh = LAID_DOWN.map((address) => new Request(address, { cache: "reload" }));
  event.waitUntil(caches.open(FILES).then((files) => files.addAll(fresh)).then(() => skipWaiting()));
});

addEventListener("activate", (event) => event.waitUntil(takeOver()));

async function takeOver() {
  for (const name of await caches.keys()) if (name !== FILES && name !== PAGES) await caches.delete(name);
  await clients.claim();
}

// The page that was open before the worker was: keep it as if it had just been looked at.
addEventListener("message", (event) => {
  if (event.data?.keep) event.waitUntil(fetch(event.data.keep).then((answer) => put(event.data.keep, answer)).catch(() => {}));
});

addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== location.origin || NEVER.test(address.pathname)) return;
  if (address.pathname.startsWith("/static/")) event.respondWith(file(request));
  else if (request.mode === "navigate") event.respondWith(page(event));
  else if (request.destination === "image") event.respondWith(picture(event));
});

// Files have their content in their names: what is here is right.
async function file(request) {
  const here = await caches.match(request);
  if (here) return here;
  const answer = await fetch(request);
  if (answer.ok) await (await caches.open(FILES)).put(request, answer.clone());
  return answer;
}

async function page(event) {
  const { request } = event;
  const copy = await copyOf(request.url);
  const answer = fetch(request).then((fresh) => keep(event, fresh), () => null);
  const late = new Promise((resolve) => copy && setTimeout(resolve, PATIENCE, null));
  const first = await Promise.race([answer, late]);
  if (first) return first;
  return copy ? marked(copy) : (await caches.match(NO_CONNECTION)) ?? Response.error();
}

async function picture(event) {
  const { request } = event;
  const answer = await fetch(request).then((fresh) => keep(event, fresh), () => null);
  return answer ?? (await copyOf(request.url)) ?? Response.error();
}

async function copyOf(url) {
  if (new URL(url).pathname === "/") url = (await lastBench()) ?? url;
  for (const name of [PAGES, FILES]) {
    const copy = await (await caches.open(name)).match(nameOf(url));
    if (copy) return copy;
  }
}

// The way in leads on to the build that was worked on last, and so does its copy.
async function lastBench() {
  const names = (await (await caches.open(PAGES)).keys()).map((request) => request.url);
  return names.reverse().find((name) => /^\/b\/\d+$/.test(new URL(name).pathname));
}

const KEPT = /^(text\/html|image\/)/;

function keep(event, answer) {
  const kind = answer.headers.get("Content-Type") ?? "";
  if (answer.status === 200 && KEPT.test(kind)) event.waitUntil(put(event.request.url, answer.clone()).catch(() => {}));
  return answer;
}

function nameOf(url) {
  const address = new URL(url);
  address.searchParams.delete("kept");
  address.hash = "";
  return address.href;
}

// Keep an answer under the address that it is asked for by, and under the one that it really has.
async function put(url, answer) {
  const kind = answer.headers.get("Content-Type") ?? "";
  if (answer.status !== 200 || !KEPT.test(kind) || LAID_DOWN.includes(new URL(url).pathname)) return;
  const body = await answer.blob();
  const headers = { "Content-Type": kind, "X-Copy-Of": String(Date.now()) };
  const pages = await caches.open(PAGES);
  for (const name of new Set([nameOf(url), nameOf(answer.url || url)])) {
    await pages.delete(name); // so that it stands last, with the newest
    await pages.put(name, new Response(body, { headers }));
  }
  const names = await pages.keys();
  for (const old of names.slice(0, Math.max(0, names.length - MOST_PAGES))) await pages.delete(old);
}

// A copy says on its face that it is one, and of when.
async function marked(copy) {
  const since = copy.headers.get("X-Copy-Of");
  if (!since) return copy;
  const text = await copy.text();
  return new Response(text.replace("<body", `<body data-copy-of="${since}"`), { headers: copy.headers });
}
