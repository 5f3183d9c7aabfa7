// Phrases: what a heard phrase would do. No page, no browser, no clock: words in, a wish out.

/** What is listened for, as the page tells it; alternatives parted by bars. */
export type Words = Readonly<Record<string, string | undefined>>;
export type Pot = { label: string; name: string };
export type Bench = { key: string; name: string; pots: Pot[] };

export type Phrase =
  | { does: "on" | "back" | "undo" }
  | { does: "go"; bench: Bench }
  | { does: "water"; bench: Bench; done: boolean; except: Pot[]; also: Pot[] }
  | { does: "find"; bench: Bench; pot: Pot; found: Finding }
  | { does: "nothing"; because: "not_understood" | "which_bench" }
  | { does: "nothing"; because: "no_bench"; name: string }
  | { does: "nothing"; because: "no_pot"; bench: Bench; name: string };

const FINDINGS = [
  "light", "half", "heavy", "wet", "watered", "drains", "fallen", "gone", "wrong",
] as const;
export type Finding = (typeof FINDINGS)[number];

const NOT_UNDERSTOOD: Phrase = { does: "nothing", because: "not_understood" };
const WHICH_BENCH: Phrase = { does: "nothing", because: "which_bench" };

/** Return what a phrase would do. What is not understood as a whole does nothing. */
export function understood(heard: string, words: Words, benches: Bench[], here?: Bench): Phrase {
  const tongue = tongueOf(words);
  const said = tongue.plain(heard);
  const match = (pattern: string) => RegExp(`^(?:${pattern})$`).exec(said);
  if (match(tongue.any("next"))) return { does: "on" };
  if (match(tongue.any("back"))) return { does: "back" };
  if (match(tongue.any("undo"))) return { does: "undo" };
  const called = calledBy(benches, tongue);
  const place = placing(called, tongue);
  const groups =
    match(place)?.groups ??
    match(`(?:${place} )?(?:${watering(tongue)})`)?.groups ??
    match(`(?:${place} )?${finding(tongue)}`)?.groups;
  if (!groups) return NOT_UNDERSTOOD;
  const bench = groups.bench ? benchOf(groups, called, benches, tongue) : here;
  if (groups.bench && !bench) return { does: "nothing", because: "no_bench", name: groups.bench };
  if (groups.found) return found(groups, tongue, benches, bench);
  if (!bench) return WHICH_BENCH;
  return groups.done || groups.only ? watered(groups, tongue, bench) : { does: "go", bench };
}

// What may be said of a bench, and of a pot

type Groups = Record<string, string | undefined>;

function watering({ any, list }: Tongue): string {
  const except = `(?: ${any("except")} (?<except>${list}))?`;
  const also = `(?: ${any("also")} (?<also>${list}))?`;
  return `(?<done>${any("done")})${except}${also}|${any("also")} (?<only>${list})`;
}

function finding({ any }: Tongue): string {
  const found = FINDINGS.map((one) => any(one)).join("|");
  return `(?:${any("tree")} )?(?<pot>.+?) (?<found>${found})`;
}

function watered(heard: Groups, { runs }: Tongue, bench: Bench): Phrase {
  const except = runs(heard.except);
  const also = runs(heard.also ?? heard.only);
  const odd = [...except, ...also].flat().find((n) => !numbered(n, bench));
  if (odd !== undefined) return { does: "nothing", because: "no_pot", bench, name: `${odd}` };
  const within = (some: Run[]) =>
    bench.pots.filter((pot) => some.some(([from, to]) => from <= +pot.name && +pot.name <= to));
  const done = Boolean(heard.done);
  return { does: "water", bench, done, except: within(except), also: within(also) };
}

/** A pot by its number on the bench at hand, or by its label wherever it stands. */
function found(heard: Groups, tongue: Tongue, benches: Bench[], bench?: Bench): Phrase {
  const what = FINDINGS.find((one) => RegExp(`^${tongue.any(one)}$`).test(heard.found!))!;
  const n = tongue.numberOf(heard.pot!);
  const near = bench && n !== undefined && numbered(n, bench);
  if (near) return { does: "find", bench, pot: near, found: what };
  const label = squeezed(heard.pot!);
  const far = only(
    (heard.bench ? [bench!] : benches).flatMap((bench) =>
      bench.pots
        .filter((pot) => squeezed(tongue.plain(pot.label)) === label)
        .map((pot) => ({ bench, pot })),
    ),
  );
  if (far) return { does: "find", ...far, found: what };
  if (n === undefined) return NOT_UNDERSTOOD;
  return bench ? { does: "nothing", because: "no_pot", bench, name: `${n}` } : WHICH_BENCH;
}

const numbered = (n: number, bench: Bench) =>
  only(bench.pots.filter((pot) => pot.name === String(n)));

// How a bench is called: by its name, or by a word or a number that no other has

function placing(called: Map<string, Bench>, { any, number }: Tongue): string {
  const names = [...called.keys()].sort(longestFirst).map(escaped);
  return `(?<bench>${[...names, `${any("bench")} (?<nth>${number})`].join("|")})`;
}

function calledBy(benches: Bench[], { plain, meant }: Tongue): Map<string, Bench> {
  const names = benches.map((bench) => [plain(bench.name), bench] as const);
  const words = names.flatMap(([name, bench]) =>
    [...new Set(name.split(" "))]
      .filter((word) => !meant.has(word) && !/\d/.test(word))
      .map((word) => [word, bench] as const),
  );
  const once = (calls: (readonly [string, Bench])[]) =>
    calls.filter(([call]) => call && only(calls.filter(([other]) => other === call)));
  return new Map([...once(words), ...once(names)]);
}

function benchOf(
  heard: Groups, called: Map<string, Bench>, benches: Bench[], { plain, numberOf }: Tongue,
): Bench | undefined {
  const byName = called.get(heard.bench!);
  if (byName || !heard.nth) return byName;
  const n = String(numberOf(heard.nth));
  return only(benches.filter((bench) => plain(bench.name).match(/\d+/g)?.join() === n));
}

// How a language says it

type Run = [from: number, to: number];
type Tongue = {
  plain: (text: string) => string; // small letters, figures, single spaces
  any: (key: string) => string; // a pattern of all that stands under a key
  meant: Set<string>; // every single word that means something by itself
  number: string; // a pattern: where a number must stand, what sounds like one is one
  list: string;
  numberOf: (word: string) => number | undefined;
  runs: (list?: string) => Run[];
};

function tongueOf(words: Words): Tongue {
  const told = (key: string) => (words[key] ?? "").split("|").map(folded).filter(Boolean);
  const figures = new Map(told("numbers").map((word, n) => [word, String(n + 1)]));
  const counted = among([...figures.keys()]);
  const fillers = among(told("filler"));
  const tidy = (text: string) => folded(text).replace(fillers, " ").replace(/ +/g, " ").trim();
  const plain = (text: string) => tidy(text).replace(counted, (word) => figures.get(word)!);
  const any = (key: string) => either(told(key).map(plain));

  const sounds = new Map(told("sounds").map((pair) => pair.split(" ") as [string, string]));
  const numberOf = (word: string) => {
    const figure = sounds.get(word) ?? word;
    return /^\d{1,4}$/.test(figure) ? Number(figure) : undefined;
  };
  const number = `(?:\\d{1,4}|${either([...sounds.keys()])})`;
  const to = either(["–", ...told("to")]);
  const list =
    `${number}(?: ${to} \\d{1,4})?` + `(?: (?:${any("and")} )?\\d{1,4}(?: ${to} \\d{1,4})?)*`;
  const run = RegExp(`(?<= |^)(${number})(?: ${to} (\\d{1,4}))?(?= |$)`, "g");
  const runs = (list = "") =>
    Array.from(list.matchAll(run), ([, one, other]): Run => {
      const ends = [numberOf(one!)!, numberOf(other ?? one!)!];
      return [Math.min(...ends), Math.max(...ends)];
    });
  const meant = new Set(Object.values(words).flatMap((some) => folded(some ?? "").split(" ")));
  return { plain, any, meant, number, list, numberOf, runs };
}

/** Without accents, capitals and marks. 4-6 is a run of pots, B3-4 is a label. */
const folded = (text: string) =>
  text
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .toLowerCase()
    .replace(/ß/g, "ss")
    .replace(/(?<![\p{L}\d])(\d+)\s*[-–—]\s*(\d+)(?![\p{L}\d])/gu, "$1 – $2")
    .replace(/[^\p{L}\p{N}–]+/gu, " ")
    .trim();

const only = <T>(some: T[]) => (some.length === 1 ? some[0] : undefined);
const squeezed = (text: string) => text.replace(/[^\p{L}\p{N}]/gu, "");
const escaped = (text: string) => text.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
const longestFirst = (one: string, other: string) => other.length - one.length;
const either = (some: string[]) =>
  `(?:${some.filter(Boolean).sort(longestFirst).map(escaped).join("|") || "(?!)"})`;
const among = (some: string[]) => RegExp(`(?<= |^)${either(some)}(?= |$)`, "g");
