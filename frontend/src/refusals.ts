// What the book would not take: told until somebody has read it.
import { drop, type Item } from "./outbox";

/** Return a line for everything refused, with a button that puts it away. */
export function refusals(items: Item[], dismiss: string, then: () => unknown): Element[] {
  return items
    .filter((item) => item.refused)
    .map((item) => {
      const row = document.createElement("p");
      row.append(`${item.refused} `);
      const away = document.createElement("button");
      away.textContent = dismiss;
      away.addEventListener("click", async () => (await drop(item.id), then()));
      row.append(away);
      return row;
    });
}
