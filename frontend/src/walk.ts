// Walk: on to the next pot that is due, by a clicker's keys or by voice. Nothing is written.
import { all, one, potOf, round } from "./page";

const STEPS: Record<string, 1 | -1 | undefined> = {
  PageDown: 1, ArrowRight: 1, MediaTrackNext: 1, AudioVolumeDown: 1,
  PageUp: -1, ArrowLeft: -1, MediaTrackPrevious: -1, AudioVolumeUp: -1,
};
const TYPING = "input, textarea, select, dialog, [contenteditable]";

let here: { bench?: string; label?: string } = {};

/** The bench that was named, walked to or touched last; the only one, if there is one. */
export function benchAtHand(): HTMLElement | undefined {
  const benches = all<HTMLElement>(".bench", round());
  const only = benches.length === 1 ? benches[0] : undefined;
  return benches.find((bench) => bench.dataset.bench === here.bench) ?? only;
}

/** Go to a bench, or to a pot on it. */
export function go(bench: HTMLElement, pot?: HTMLElement): void {
  here = { bench: bench.dataset.bench!, label: pot?.dataset.label };
  mark();
  if (pot) pot.scrollIntoView({ block: "center" });
  else bench.scrollIntoView({ block: "start" });
}

/** Go to the next pot, or the one before, that is due and not done yet. */
export function step(by: 1 | -1): HTMLElement | undefined {
  const pots = all<HTMLElement>(".pot", round());
  const pot = (by > 0 ? after(pots) : before(pots).reverse()).find(isDue);
  if (!pot) return undefined;
  go(pot.closest<HTMLElement>(".bench")!, pot);
  pot.dispatchEvent(new Event("stepped", { bubbles: true }));
  return pot;
}

const isDue = (pot: HTMLElement) => pot.matches(".water, .check") && !pot.matches(".told");
const benchOf = (pot: HTMLElement) => pot.closest<HTMLElement>(".bench")!.dataset.bench!;

function after(pots: HTMLElement[]): HTMLElement[] {
  const at = pots.findIndex((pot) => pot.dataset.label === here.label);
  if (at >= 0) return pots.slice(at + 1);
  const first = pots.findIndex((pot) => benchOf(pot) === here.bench);
  return pots.slice(Math.max(first, 0));
}

function before(pots: HTMLElement[]): HTMLElement[] {
  const at = pots.findIndex((pot) => pot.dataset.label === here.label);
  const first = pots.findIndex((pot) => benchOf(pot) === here.bench);
  return pots.slice(0, Math.max(at >= 0 ? at : first, 0));
}

function mark(): void {
  all(".pot.at", round()).forEach((pot) => pot.classList.remove("at"));
  const pot = here.label && potOf(here.label);
  if (pot) pot.classList.add("at");
}

document.addEventListener("renewed", mark);
document.addEventListener("click", (click) => {
  const bench = (click.target as Element).closest<HTMLElement>(".bench")?.dataset.bench;
  if (!bench || bench === here.bench) return;
  here = { bench };
  mark();
});
document.addEventListener("keydown", (key) => {
  const by = STEPS[key.key];
  const isTyping = (key.target as Element).closest(TYPING) || one("dialog[open]");
  if (!by || key.altKey || key.ctrlKey || key.metaKey || key.shiftKey || isTyping) return;
  const pot = step(by);
  if (!pot) return; // the key may scroll
  key.preventDefault();
  if (!document.activeElement?.closest("#speech")) pot.focus({ preventScroll: true });
});
