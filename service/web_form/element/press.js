// While a finger or a button is down nothing moves under it: what would change the page waits.

const PRESS_MOST_MS = 2000;
const TAP_AFTER_MS = 80; // from finger up to click

class Press {
  constructor(root, resume, signal) {
    this.resume = resume;
    const on = (name, wait) => root.addEventListener(name, () => this.end(wait), { signal, capture: true });
    root.addEventListener("pointerdown", () => {
      this.down = true;
      this.end(PRESS_MOST_MS);
    }, { signal, capture: true });
    on("pointerup", TAP_AFTER_MS);
    on("pointercancel", 0);
    on("click", 0);
  }

  end(wait) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => {
      this.down = false;
      if (this.owing) this.resume();
    }, wait);
  }

  /** Whether a change has to wait for `resume`. */
  holds() {
    this.owing = Boolean(this.down);
    return this.owing;
  }
}
