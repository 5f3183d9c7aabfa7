// A tree's page: a photo of it is kept on the phone until the book has it.
import { flush, moment, newId, pending, put, takeBack } from "./outbox";
import { asks, small, uploaded } from "./photo";
import { refusals } from "./refusals";

const EVERY_MS = 15_000;

const one = <T extends HTMLElement>(query: string, within: ParentNode = document) =>
  within.querySelector<T>(query)!;
const words = (name: string) => one("#add").dataset[name]!;
const say = (said: string) => void (one("#said").textContent = said);

let last: string | undefined;

async function photographed(file: File): Promise<void> {
  const photo = await small(file).catch(() => undefined);
  if (!photo) return say(words("unread"));
  const item = { id: newId(), subject: words("tree"), words: ["photographed"], at: moment() };
  try {
    await put({ ...item, photo });
  } catch {
    return say(words("unkept"));
  }
  last = item.id;
  one("#undo").hidden = false;
  await sync();
}

async function undone(): Promise<void> {
  if (!last) return;
  const taken = last;
  last = undefined;
  one("#undo").hidden = true;
  say(words("undone"));
  await takeBack(taken);
  await sync();
}

async function sync(): Promise<void> {
  const sent = await flush().catch(() => 0);
  const items = await pending();
  const waiting = items.filter((item) => !item.refused).length;
  if (waiting) say(words("waiting").replace("{n}", String(waiting)));
  else if (sent) say(words("saved"));
  one("#refused").replaceChildren(...refusals(items, words("dismiss"), sync));
  if (sent) await renewed();
  void uploaded().then((spoken) => (spoken ? sync() : undefined));
}

/** Show the photos as the book has them now. */
async function renewed(): Promise<void> {
  try {
    const page = new DOMParser().parseFromString(
      await (await fetch(location.href)).text(),
      "text/html",
    );
    one("#seen").replaceWith(document.adoptNode(one("#seen", page)));
  } catch {
    // they are shown when the page is loaded next
  }
}

if (document.querySelector("#add")) {
  one("#add").hidden = false;
  one("#undo").addEventListener("click", () => void undone());
  asks(one("#photo"), (file) => void photographed(file));
  addEventListener("online", () => void sync());
  setInterval(() => void sync(), EVERY_MS);
  await sync();
}
