// Held: a button that counts only while it is held, by finger, mouse or key.

const isPress = (key: KeyboardEvent) => key.key === "Enter" || key.key === " ";

/** Tell when a button is pressed, and when it is let go or the screen goes dark. */
export function held(button: HTMLButtonElement, down: () => void, up: () => void): void {
  let isDown = false;
  const press = () => {
    if (isDown || document.hidden) return;
    isDown = true;
    down();
  };
  const release = () => {
    if (!isDown) return;
    isDown = false;
    up();
  };
  button.addEventListener("pointerdown", (pointer) => {
    if (pointer.button !== 0) return;
    button.setPointerCapture(pointer.pointerId); // a wet finger slides
    press();
  });
  for (const end of ["pointerup", "pointercancel", "lostpointercapture", "blur"])
    button.addEventListener(end, release);
  button.addEventListener("keydown", (key) => {
    if (!isPress(key)) return;
    key.preventDefault();
    if (!key.repeat) press();
  });
  button.addEventListener("keyup", (key) => {
    if (!isPress(key)) return;
    key.preventDefault();
    release();
  });
  button.addEventListener("contextmenu", (menu) => menu.preventDefault());
  document.addEventListener("visibilitychange", () => document.hidden && release());
}
