// A photo, small and bare: kept on the phone with its tap until the server has it.
import { changed, pending, type Item } from "./outbox";

const LONGEST_PX = 1600;
const QUALITY_FRAC = 0.85;
const PATIENCE_MS = 120_000; // a photo through a bad network
const REFUSED = [400, 413]; // sent again it would be refused again

/** Let a button ask for a picture; the input beside it is out of everybody's way. */
export function asks(button: HTMLElement | null, took: (file: File) => void): void {
  const input = button?.nextElementSibling;
  if (!button || !(input instanceof HTMLInputElement)) return; // a guest has none
  button.addEventListener("click", () => input.click());
  input.addEventListener("change", () => {
    const file = input.files?.[0];
    input.value = ""; // the same one may be chosen again
    if (file) took(file);
  });
}

/** Draw a picture anew, upright and small. What the camera wrote beside it is not drawn. */
export async function small(file: Blob): Promise<Blob> {
  const picture = await createImageBitmap(file);
  const scale = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  const pen = canvas.getContext("2d")!;
  pen.imageSmoothingQuality = "high";
  pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((done, failed) =>
    canvas.toBlob((made) => (made ? done(made) : failed()), "image/jpeg", QUALITY_FRAC),
  );
}

let sending = false;

/** Send every photo that the server has not got; return of how many it has spoken. */
export async function uploaded(): Promise<number> {
  if (sending) return 0;
  sending = true;
  let spoken = 0;
  try {
    for (const item of await pending()) {
      if (!item.photo || item.refused) continue;
      await changed(item.id, await told(item, item.photo));
      spoken += 1;
    }
  } catch {
    // it stays with its tap
  } finally {
    sending = false;
  }
  return spoken;
}

/** What the server says of a photo: its name there, or why it would not take it. */
async function told(item: Item, photo: Blob): Promise<Partial<Item>> {
  const signal = AbortSignal.timeout(PATIENCE_MS);
  const reply = await fetch("/photo", { method: "POST", body: photo, signal });
  if (reply.status === 401) location.href = "/door"; // the photo is kept
  if (REFUSED.includes(reply.status)) return { refused: await why(reply) };
  if (!reply.ok) throw new Error(`HTTP ${reply.status}`);
  const { picture } = await reply.json();
  return { photo: undefined, words: [...item.words, picture] };
}

async function why(reply: Response): Promise<string> {
  const words = await reply.text();
  try {
    return JSON.parse(words).faults.join(" ");
  } catch {
    return words;
  }
}
