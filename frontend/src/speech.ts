// Speech: what was heard is shown and spoken back, and written by a held press alone.
import { held } from "./held";
import type { Item } from "./outbox";
import { all, one, potOf, round, words } from "./page";
import { understood, type Bench, type Finding, type Phrase, type Pot } from "./phrases";
import { benchAtHand, go, step } from "./walk";

const HELD_MS = 700; // app.css fills the button in the same time
const PATIENCE_MS = 5000; // for what was said to become words
const RUN_N = 3; // so many in a row are told by their ends

const WRITTEN_AS: Record<Finding, string[]> = {
  light: ["check", "lifted", "light"],
  half: ["check", "lifted", "half"],
  heavy: ["check", "lifted", "heavy"],
  wet: ["check", "surface", "wet"],
  watered: ["watered"],
  drains: ["check", "drains slowly"],
  fallen: ["check", "fallen"],
  gone: ["check", "label gone"],
  wrong: ["check", "not right"],
};

/** What the round does with a tap; a phrase does the same. */
type Hands = {
  watered: (bench: HTMLElement, pots: HTMLElement[]) => void;
  wrote: (item: Omit<Item, "id" | "at">, said: string) => Promise<void>;
  undone: () => Promise<void>;
  last: () => string | undefined; // what an undo would take back
};
type Plan = { says: string; pots: HTMLElement[]; write?: () => void; then?: string };

/** What TypeScript does not know of the Web Speech API, as far as it is used here. */
interface Ears extends EventTarget {
  lang: string;
  interimResults: boolean;
  start(): void;
  stop(): void;
  abort(): void;
}
type Alternative = Record<string, string | number>; // its words, and how sure they are
type Heard = Event & { results: ArrayLike<ArrayLike<Alternative>> };
type Failed = Event & { error: string };
type Offered = { [name in "SpeechRecognition" | "webkitSpeechRecognition"]?: new () => Ears };

const FAULTS: Record<string, string> = {
  "not-allowed": "no_microphone",
  "audio-capture": "no_microphone",
  "service-not-allowed": "no_service",
  "language-not-supported": "no_service",
  network: "no_service",
};

/** The words of what was recognised: the one text in it, beside a number. */
function wordsOf(alternative: Alternative): string {
  for (const name in alternative) {
    const told = alternative[name];
    if (typeof told === "string") return told.trim();
  }
  return "";
}

/** Offer speech where the browser does, and whoever looks may write. */
export function speech(hands: Hands): void {
  const { SpeechRecognition, webkitSpeechRecognition } = window as Offered;
  const Recognition = SpeechRecognition ?? webkitSpeechRecognition;
  const panel = document.querySelector<HTMLElement>("#speech");
  if (!Recognition || !panel) return;

  const language = document.documentElement.lang;
  const say = (name: string, figures: Record<string, string> = {}) =>
    (one<HTMLElement>("#speech-words").dataset[name] ?? "").replace(
      /{(\w+)}/g,
      (_, figure: string) => figures[figure] ?? "",
    );
  const opener = one<HTMLButtonElement>("#speak");
  const listen = one<HTMLButtonElement>("#listen");
  const write = one<HTMLButtonElement>("#write");
  let plan: Plan | undefined;

  // Opening

  opener.hidden = false;
  opener.addEventListener("click", () => {
    panel.hidden = !panel.hidden;
    ears?.abort();
    forget();
    opener.setAttribute("aria-expanded", String(!panel.hidden));
    opener.textContent = say(panel.hidden ? "speak" : "close");
    quiet();
  });

  function forget(): void {
    plan = undefined;
    show("idle", "", "");
  }

  function show(state: "idle" | "listening" | "heard" | "written", heard: string, says: string) {
    panel!.dataset.state = state;
    one("#heard").textContent = heard;
    one("#would").textContent = says;
    const bench = benchAtHand();
    one("#at-bench").textContent = bench ? say("at", { bench: bench.dataset.name! }) : "";
    write.hidden = !plan?.write;
    mark();
  }

  function mark(): void {
    all(".pot.meant").forEach((pot) => pot.classList.remove("meant"));
    for (const pot of plan?.pots ?? []) potOf(pot.dataset.label!)?.classList.add("meant");
  }

  // Hearing, as long as the button is held

  let ears: Ears | undefined;
  let isHeld = false;

  held(
    listen,
    () => {
      isHeld = true;
      hear(new Recognition());
    },
    () => {
      isHeld = false;
      const mine = ears;
      if (document.hidden || panel.dataset.state !== "listening") mine?.abort();
      else mine?.stop();
      setTimeout(() => mine?.abort(), PATIENCE_MS);
    },
  );

  function hear(mine: Ears): void {
    quiet();
    const before = ears;
    ears = mine;
    before?.abort();
    plan = undefined;
    let heard = "";
    let fault = "";
    show("idle", "", say("coming"));
    mine.lang = language;
    mine.interimResults = true;
    for (const opened of ["start", "audiostart"])
      mine.addEventListener(opened, () => {
        if (isHeld && mine === ears) show("listening", "", say("listening"));
        else mine.abort(); // let go before the microphone was open
      });
    mine.addEventListener("result", (event) => {
      const parts = Array.from((event as Heard).results, (part) => wordsOf(part[0]!));
      heard = parts.join(" ");
      if (mine === ears) one("#heard").textContent = heard;
    });
    mine.addEventListener("error", (event) => (fault = (event as Failed).error));
    mine.addEventListener("end", () => {
      if (mine !== ears) return;
      ears = undefined;
      if (document.hidden || panel!.hidden) forget();
      else if (heard && fault !== "aborted") propose(heard);
      else answer("", say(FAULTS[fault] ?? "nothing_heard"));
    });
    mine.start();
  }

  // What it would do

  function propose(heard: string): void {
    plan = planned(understood(heard, one<HTMLElement>("#phrases").dataset, standing(), atHand()));
    answer(heard, plan.says);
    if (!write.hidden && document.activeElement === listen) write.focus();
  }

  function answer(heard: string, says: string): void {
    show("heard", heard, says);
    aloud(says);
  }

  const standing = (): Bench[] => all<HTMLElement>(".bench", round()).map(benchFrom);
  const benchFrom = (bench: HTMLElement): Bench => ({
    key: bench.dataset.bench!,
    name: bench.dataset.name!,
    pots: all<HTMLElement>(".pot", bench).map((pot) => ({
      label: pot.dataset.label!,
      name: pot.dataset.name!,
    })),
  });
  const atHand = () => {
    const bench = benchAtHand();
    return bench && benchFrom(bench);
  };
  const standsAt = ({ key }: Bench) =>
    all<HTMLElement>(".bench", round()).find((bench) => bench.dataset.bench === key)!;

  function planned(phrase: Phrase): Plan {
    switch (phrase.does) {
      case "on":
        return walked(step(1));
      case "back":
        return walked(step(-1));
      case "go":
        go(standsAt(phrase.bench));
        return { says: say("at", { bench: phrase.bench.name }), pots: [] };
      case "undo":
        return takingBack();
      case "water":
        return watering(phrase);
      case "find":
        return finding(phrase);
      case "nothing": {
        const bench = "bench" in phrase ? phrase.bench.name : "";
        const name = "name" in phrase ? phrase.name : "";
        return { says: say(phrase.because, { bench, name }), pots: [] };
      }
    }
  }

  function walked(pot?: HTMLElement): Plan {
    return { says: pot ? stopped(pot) : say("no_more"), pots: [] };
  }

  const stopped = (pot: HTMLElement) =>
    say(pot.classList.contains("water") ? "stop_water" : "stop_check", {
      bench: pot.closest<HTMLElement>(".bench")!.dataset.name!,
      name: pot.dataset.name!,
    });

  function takingBack(): Plan {
    const said = hands.last();
    if (said === undefined) return { says: say("no_undo"), pots: [] };
    return { says: say("undo", { said }), pots: [], write: () => void hands.undone(), then: words("undone") };
  }

  function watering({ bench, done, except, also }: Extract<Phrase, { does: "water" }>): Plan {
    if (done && round().classList.contains("old")) return { says: words("old"), pots: [] };
    const stand = standsAt(bench);
    const isOf = (some: Pot[], pot: HTMLElement) =>
      some.some(({ label }) => label === pot.dataset.label);
    go(stand);
    const pots = all<HTMLElement>(".pot", stand).filter(
      (pot) =>
        isOf(also, pot) || (done && pot.classList.contains("water") && !isOf(except, pot)),
    );
    const name = [done ? "done" : "", except.length ? "except" : "", also.length ? "also" : ""];
    const says = say(name.filter(Boolean).join("_"), {
      bench: bench.name,
      except: listed(except),
      also: listed(also),
      n: String(pots.length),
    });
    if (!pots.length) return { says: `${says} ${say("nothing_due")}`, pots };
    return { says, pots, write: () => hands.watered(stand, pots) };
  }

  function finding({ bench, pot, found }: Extract<Phrase, { does: "find" }>): Plan {
    const shown = one<HTMLElement>("#phrases").dataset[found]!.split("|")[0]!;
    const item = { subject: pot.label, words: WRITTEN_AS[found] };
    go(standsAt(bench), potOf(pot.label));
    return {
      says: say("found", { bench: bench.name, name: pot.name, found: shown }),
      pots: [potOf(pot.label)!],
      write: () => void hands.wrote(item, `${pot.name}: ${shown}.`),
    };
  }

  /** Names along a bench, runs by their ends: 1, 4 to 7 and 9. */
  function listed(pots: Pot[]): string {
    const runs: Pot[][] = [];
    for (const pot of pots) {
      const run = runs.at(-1);
      if (run && Number(run.at(-1)!.name) + 1 === Number(pot.name)) run.push(pot);
      else runs.push([pot]);
    }
    const names = runs.flatMap((run) =>
      run.length < RUN_N
        ? run.map(({ name }) => name)
        : [say("run", { first: run[0]!.name, last: run.at(-1)!.name })],
    );
    const spoken = language === "en" ? "en-GB" : language; // no comma before the last
    return new Intl.ListFormat(spoken).format(names);
  }

  // Writing, by a press that is held with the screen on

  let ripens: ReturnType<typeof setTimeout> | undefined;

  held(
    write,
    () => {
      write.classList.add("holding");
      quiet();
      ripens = setTimeout(ripe, HELD_MS);
    },
    () => {
      write.classList.remove("holding");
      if (ripens === undefined) return;
      clearTimeout(ripens);
      ripens = undefined;
      if (plan) one("#would").textContent = `${plan.says} ${say("too_early")}`;
    },
  );

  function ripe(): void {
    ripens = undefined;
    const { write: doIt, then: says = say("written") } = plan ?? {};
    if (!doIt || document.visibilityState !== "visible") return;
    const hadFocus = document.activeElement === write;
    plan = undefined;
    doIt();
    show("written", one("#heard").textContent!, says);
    aloud(says);
    if (hadFocus) listen.focus();
  }

  // Aloud

  function aloud(text: string): void {
    if (!("speechSynthesis" in window)) return;
    const spoken = new SpeechSynthesisUtterance(text);
    spoken.lang = language;
    speechSynthesis.cancel();
    speechSynthesis.speak(spoken);
  }

  function quiet(): void {
    if ("speechSynthesis" in window) speechSynthesis.cancel();
  }

  // What else happens to the page

  document.addEventListener("renewed", mark);
  document.addEventListener("stepped", (event) => {
    if (panel.hidden || panel.dataset.state === "listening") return;
    plan = undefined;
    answer("", stopped(event.target as HTMLElement));
  });
  document.addEventListener("click", (click) => {
    if (plan && !(click.target as Element).closest("#foot")) forget(); // a tap came between
  });
  one("#undo").addEventListener("click", () => plan && forget());
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) return;
    ears?.abort();
    quiet();
    forget(); // a phone in the pocket writes nothing
  });
}
