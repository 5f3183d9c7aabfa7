// Service worker: the round opens without the server; what has a hash in its name never ages.
declare const FILES: string[]; // put in by build.mjs

const worker = self as unknown as ServiceWorkerGlobalScope;
const SHELL = `shell-${FILES.join()}`;
const PAGES = "pages";
const PATIENCE_MS = 2500;
const ANY_WORDS = { ignoreVary: true }; // one browser reads one language

async function install(): Promise<void> {
  await (await caches.open(SHELL)).addAll(FILES.map((name) => `/static/${name}`));
  await worker.skipWaiting();
}

async function activate(): Promise<void> {
  const old = (await caches.keys()).filter((name) => ![SHELL, PAGES].includes(name));
  await Promise.all(old.map((name) => caches.delete(name)));
  await worker.clients.claim();
  await (await caches.open(PAGES)).add("/round").catch(() => undefined); // not let in yet
}

async function fromShell(request: Request): Promise<Response> {
  return (await caches.match(request)) ?? fetch(request);
}

/** The page as it is; without the server, as it was last seen. Who opens it waits less long. */
async function asItIs(request: Request): Promise<Response> {
  const kept = await caches.open(PAGES);
  const fetched = fetch(request).then(async (reply) => {
    if (reply.ok && !reply.redirected) await kept.put(request, reply.clone());
    return reply;
  });
  const late = new Promise<undefined>((done) => {
    if (request.mode === "navigate") setTimeout(done, PATIENCE_MS, undefined);
  });
  try {
    return (await Promise.race([fetched, late])) ?? (await kept.match(request, ANY_WORDS)) ?? (await fetched);
  } catch {
    return (await kept.match(request, ANY_WORDS)) ?? Response.error();
  }
}

const KEPT = /^\/(round|benches|year|year\.svg|tree\/[^/]+)$/;

worker.addEventListener("install", (event) => event.waitUntil(install()));
worker.addEventListener("activate", (event) => event.waitUntil(activate()));
worker.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith("/static/")) event.respondWith(fromShell(event.request));
  else if (KEPT.test(url.pathname)) event.respondWith(asItIs(event.request));
});
