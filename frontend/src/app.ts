// Every page: the service worker where there may be one, and leaving without a trace.
import { emptied } from "./outbox";

if ("serviceWorker" in navigator) navigator.serviceWorker.register("/sw.js");

document.querySelector("form.leave")?.addEventListener("submit", async (leaving) => {
  leaving.preventDefault();
  await emptied();
  if ("caches" in window) for (const name of await caches.keys()) await caches.delete(name);
  (leaving.target as HTMLFormElement).submit();
});
