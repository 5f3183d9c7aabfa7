// Every page: the service worker where there may be one, and leaving without a trace.
import { emptied, flush, pending } from "./outbox";
import { uploaded } from "./photo";

if ("serviceWorker" in navigator) {
  addEventListener("load", () => navigator.serviceWorker.register("/sw.js").catch(stayOpen));
}

/** A certificate that is not trusted: the page loads, but the browser keeps nothing of it. */
function stayOpen(): void {
  const tier = document.querySelector("#tier");
  const words = document.querySelector<HTMLElement>("#words");
  if (tier && words) tier.textContent = words.dataset.open_only!;
}

document.querySelector("form.leave")?.addEventListener("submit", async (leaving) => {
  leaving.preventDefault();
  const form = leaving.target as HTMLFormElement;
  await uploaded().then(() => flush()).catch(() => undefined);
  const waiting = (await pending()).length;
  if (waiting && !confirm(form.dataset.waiting!.replace("{n}", String(waiting)))) return;
  await emptied();
  if ("caches" in window) for (const name of await caches.keys()) await caches.delete(name);
  form.submit();
});
