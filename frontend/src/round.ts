// The round in one hand: as said, except some, or pot by pot; with or without a network.
import { flush, moment, newId, pending, put, takeBack, type Item } from "./outbox";
import { all, one, potOf, round, words } from "./page";
import { asks, small, uploaded } from "./photo";
import { refusals } from "./refusals";
import { speech } from "./speech";
import "./walk";

const EVERY_MS = 15_000;
const AGAIN_MS = 700; // a newer round is being thought
const SWEPT_PX = 12;

// What was written down, and taking it back

let last: Item | undefined;

async function wrote(item: Omit<Item, "id" | "at">, said: string): Promise<void> {
  last = { ...item, id: newId(), at: moment() };
  counted(Number(one<HTMLElement>("#sync").dataset.pending) + 1);
  try {
    await put(last);
  } catch {
    last = undefined;
    said = words("unkept");
  }
  one("#said").textContent = said;
  one<HTMLButtonElement>("#undo").hidden = !last;
  await mark();
  await sync();
}

async function undone(): Promise<void> {
  if (!last) return;
  const taken = last;
  last = undefined;
  one<HTMLButtonElement>("#undo").hidden = true;
  one("#said").textContent = words("undone");
  await takeBack(taken.id);
  await mark();
  await sync();
}

async function sync(greeting = false): Promise<void> {
  let sent = 0;
  try {
    sent = await flush(greeting);
  } catch {
    // it stays in the outbox
  }
  const items = await pending();
  counted(items.filter((item) => !item.refused).length);
  one("#refused").replaceChildren(...refusals(items, words("dismiss"), sync));
  if (sent) await renewed();
  void uploaded().then((spoken) => (spoken ? sync() : undefined));
}

/** Say how many taps are on their way. */
function counted(waiting: number): void {
  const status = one<HTMLElement>("#sync");
  status.dataset.pending = String(waiting);
  status.textContent = waiting ? words("waiting").replace("{n}", String(waiting)) : words("saved");
}

/** Show on every pot what was done to it and has not reached the answer yet. */
async function mark(): Promise<void> {
  all(".pot.told").forEach((pot) => pot.classList.remove("told"));
  for (const item of await pending()) {
    const labels = (item.only ?? item.subject).split(",");
    for (const label of labels) potOf(label)?.classList.add("told");
  }
}

/** Fetch the round anew, unless somebody is choosing or looking. */
async function renewed(position = 0): Promise<void> {
  if (all(".bench.choosing").length || one<HTMLDialogElement>("#pot").open) return;
  try {
    const reply = await fetch(location.href);
    if (!reply.ok) return;
    const page = new DOMParser().parseFromString(await reply.text(), "text/html");
    const at = scrollY;
    const focused = document.activeElement?.closest<HTMLElement>(".pot")?.dataset.label;
    round().replaceWith(document.adoptNode(one("#round", page)));
    scrollTo(0, at);
    if (focused) potOf(focused)?.focus({ preventScroll: true });
    await mark();
    age();
    document.dispatchEvent(new Event("renewed"));
    if (Number(round().dataset.position) < position) setTimeout(renewed, AGAIN_MS, position);
  } catch {
    // the old round stays, and says how old it is
  }
}

// How old the round is

/** After the next round time nobody knows: every pot wants a look. */
function age(): void {
  const { at, next } = round().dataset;
  const isOld = Date.now() > Date.parse(next!);
  round().classList.toggle("old", isOld);
  if (isOld) {
    all(".pot", round()).forEach((pot) => {
      pot.classList.remove("water", "not");
      pot.classList.add("check");
    });
    all(".said", round()).forEach((said) => (said.textContent = words("old")));
    all<HTMLButtonElement>(".as-said", round()).forEach((button) => (button.disabled = true));
  }
  const hours = (Date.now() - Date.parse(at!)) / 3_600_000;
  one("#age").textContent = hours < 1 ? "" : words("age").replace("{n}", hours.toFixed(0));
}

// Bench by bench

const labels = (pots: HTMLElement[]) => pots.map((pot) => pot.dataset.label!).join(",");

function asSaid(bench: HTMLElement): void {
  const due = all<HTMLElement>(".pot.water", bench);
  if (due.length) watered(bench, due);
}

function watered(bench: HTMLElement, pots: HTMLElement[]): void {
  const names = pots.map((pot) => pot.dataset.name).join(", ");
  const said = words("watered").replace("{bench}", bench.dataset.name!).replace("{n}", names);
  void wrote({ subject: bench.dataset.bench!, words: ["watered"], only: labels(pots) }, said);
}

function choose(bench: HTMLElement, choosing: boolean): void {
  bench.classList.toggle("choosing", choosing);
  one<HTMLElement>(".chosen", bench).hidden = !choosing;
  one<HTMLElement>(".done", bench).hidden = choosing;
  for (const pot of all<HTMLElement>(".pot", bench)) {
    if (choosing) set(pot, pot.classList.contains("water"));
    else pot.removeAttribute("aria-pressed");
  }
}

const set = (pot: Element, chosen: boolean) => pot.setAttribute("aria-pressed", String(chosen));
const isSet = (pot: Element) => pot.getAttribute("aria-pressed") === "true";

function chosen(bench: HTMLElement): void {
  const pots = all<HTMLElement>(".pot", bench).filter(isSet);
  choose(bench, false);
  if (pots.length) watered(bench, pots);
}

// A finger that sweeps over a run of pots sets all of them as it set the first

let sweep: { from: HTMLElement; to: boolean; x: number } | undefined;
let swept = false;

document.addEventListener("pointerdown", (down) => {
  swept = false;
  const pot = (down.target as Element).closest<HTMLElement>(".choosing .pot");
  if (pot) sweep = { from: pot, to: !isSet(pot), x: down.clientX };
});
document.addEventListener("pointermove", (move) => {
  if (!sweep || Math.abs(move.clientX - sweep.x) < SWEPT_PX) return;
  swept = true;
  set(sweep.from, sweep.to);
  const under = document.elementFromPoint(move.clientX, move.clientY);
  const pot = under?.closest<HTMLElement>(".choosing .pot");
  if (pot) set(pot, sweep.to);
});
for (const end of ["pointerup", "pointercancel"])
  document.addEventListener(end, () => (sweep = undefined));

// One pot

let shown: HTMLElement | undefined;

function open(pot: HTMLElement): void {
  shown = pot;
  const sheet = one<HTMLDialogElement>("#pot");
  const inside = one<HTMLTemplateElement>("template", pot.parentElement!).content.cloneNode(true);
  one("#pot-inside", sheet).replaceChildren(inside);
  all<HTMLElement>("#not-right", sheet).forEach((more) => (more.hidden = true)); // a guest has none
  sheet.showModal();
}

const close = () => one<HTMLDialogElement>("#pot").close();

/** On a small screen they would stand below its edge. */
function more(): void {
  one<HTMLElement>("#not-right").hidden = false;
  one("#close").scrollIntoView({ block: "end" });
}

function found(button: HTMLButtonElement): void {
  if (!shown) return;
  const { label, name } = shown.dataset;
  const said = `${name}: ${button.textContent!.trim()}.`;
  void wrote({ subject: label!, words: button.value.split("|") }, said);
  if (!button.value.startsWith("check|lifted")) close();
}

/** A photo of the pot that is open goes the way of every tap. */
function photographed(file: File): void {
  const { label, name } = shown!.dataset;
  const said = words("photographed").replace("{n}", name!);
  close();
  last = undefined; // undo is for the photo, once it is kept
  one<HTMLButtonElement>("#undo").hidden = true;
  one("#said").textContent = said;
  small(file).then(
    (photo) => wrote({ subject: label!, words: ["photographed"], photo }, said),
    () => (one("#said").textContent = words("unread")),
  );
}

// Hands

document.addEventListener("click", (click) => {
  const target = click.target as Element;
  const button = target.closest<HTMLButtonElement>("button");
  if (!button || swept) return;
  const bench = button.closest<HTMLElement>(".bench");
  if (button.matches(".pot")) {
    if (bench?.classList.contains("choosing")) set(button, !isSet(button));
    else open(button);
  } else if (button.matches(".as-said")) asSaid(bench!);
  else if (button.matches(".except")) choose(bench!, true);
  else if (button.matches(".these")) chosen(bench!);
  else if (button.matches(".back")) choose(bench!, false);
  else if (button.matches("#undo")) void undone();
  else if (button.matches("#close")) close();
  else if (button.matches("#odd")) more();
  else if (button.value) found(button);
});

asks(document.querySelector<HTMLElement>("#photo"), photographed);
addEventListener("online", () => void sync());
document.addEventListener("visibilitychange", () => document.hidden || (age(), void sync()));
setInterval(() => (age(), void sync()), EVERY_MS);

// A second screen sees a tap at once
new EventSource("/changes").addEventListener("changed", (told) => {
  const position = Number((told as MessageEvent).data);
  if (position !== Number(round().dataset.position)) void renewed(position);
});

speech({ watered, wrote, undone, last: () => last && one("#said").textContent! });
one<HTMLElement>("#tier").textContent = words(isSecureContext ? "keeps" : "open_only");
age();
await mark();
await sync(true);
