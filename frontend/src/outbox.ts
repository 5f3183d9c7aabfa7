// What the grower did, kept on the phone until the server has said that it has it.
import { openDB } from "idb";

export type Item = {
  id: string;
  subject: string;
  words: string[];
  only?: string;
  undo?: string; // the id of what is taken back
  photo?: Blob | undefined; // until the server has it: then its words name it
  at: string;
  refused?: string; // why the book would not take it
};

type Reply = { accepted: string[]; refused: { id: string; words: string }[] };

const database = openDB("arbuscula", 1, {
  upgrade(db) {
    db.createObjectStore("outbox", { keyPath: "id" });
  },
});

/** A version 4 UUID. crypto.randomUUID is missing on plain http, getRandomValues is not. */
export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6]! & 0x0f) | 0x40;
  bytes[8] = (bytes[8]! & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

export async function put(item: Item): Promise<void> {
  await (await database).put("outbox", item);
}

/** Change an item, unless it was taken away meanwhile. */
export async function changed(id: string, parts: Partial<Item>): Promise<void> {
  const writing = (await database).transaction("outbox", "readwrite");
  const item: Item | undefined = await writing.store.get(id);
  if (item) await writing.store.put({ ...item, ...parts });
  await writing.done;
}

const dropped = new Set<string>(); // some may have been on their way

/** Take back what was written down: off the phone if it was not sent yet, else in the book. */
export async function takeBack(id: string): Promise<void> {
  if (await drop(id)) dropped.add(id);
  else await put({ id: newId(), subject: "", words: [], undo: id, at: moment() });
}

/** Take an item away that was not sent yet; false if it is gone already. */
export async function drop(id: string): Promise<boolean> {
  const db = await database;
  const there = await db.get("outbox", id);
  if (there) await db.delete("outbox", id);
  return Boolean(there);
}

export async function pending(): Promise<Item[]> {
  const items: Item[] = await (await database).getAll("outbox");
  return items.sort((one, other) => one.at.localeCompare(other.at));
}

export async function emptied(): Promise<void> {
  await (await database).clear("outbox");
}

/** The moment by the server's clock, as far as it was ever heard: phones run ahead. */
export function moment(): string {
  const ahead = Number(localStorage.getItem("ahead") ?? 0);
  return new Date(Date.now() - ahead).toISOString();
}

/** Send all that is not acknowledged. The book takes each id once: twice is harmless. */
export async function flush(greeting = false): Promise<number> {
  const items = (await pending()).filter((item) => !item.refused && !item.photo);
  if (!items.length && !greeting) return 0;
  const reply = await fetch("/record", {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(items),
  });
  const told = Date.parse(reply.headers.get("date") ?? "");
  if (told) localStorage.setItem("ahead", String(Date.now() - told));
  if (reply.status === 401) location.href = "/door"; // what was tapped is kept
  if (!reply.ok) throw new Error(`HTTP ${reply.status}`);
  const { accepted, refused }: Reply = await reply.json();
  const db = await database;
  for (const id of accepted) {
    if (dropped.delete(id)) await takeBack(id);
    else await db.delete("outbox", id);
  }
  for (const { id, words } of refused) await changed(id, { refused: words });
  return accepted.length;
}
