// What is typed is kept on the server after each value and when the page goes out of sight: a locked phone loses nothing.

const WAIT_MS = 500;

export class Draft {
  constructor(form, say) {
    this.form = form;
    this.say = say;
    this.sent = this.state();
    this.timer = 0;
    this.isOver = false;
    document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && this.keepNow());
    window.addEventListener("pagehide", () => this.keepNow());
    window.addEventListener("online", () => this.keepNow());
  }

  state() {
    return new URLSearchParams(new FormData(this.form)).toString();
  }

  soon() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.keepNow(), WAIT_MS);
  }

  /** The form is being saved: nothing more is kept of it. */
  end() {
    this.isOver = true;
    clearTimeout(this.timer);
  }

  async keepNow() {
    clearTimeout(this.timer);
    const body = this.state();
    if (this.isOver || body === this.sent) return;
    const before = this.sent;
    this.sent = body;
    try {
      const answer = await fetch(this.form.dataset.draft, {
        method: "POST",
        body: new URLSearchParams(body),
        headers: { "X-Requested-With": "fetch" },
        keepalive: true,
        credentials: "same-origin",
        redirect: "error",
      });
      if (answer.ok) this.kept();
      else this.failed(before, answer.status === 422 ? await answer.text() : "The draft could not be kept.");
    } catch {
      this.failed(before, "No connection. What you typed stands on this page and is kept as soon as there is one.");
    }
  }

  failed(before, sentence) {
    this.sent = before;
    if (!this.isOver) this.say(sentence);
  }

  kept() {
    if (this.isOver) return;
    const time = new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
    this.say(`Draft kept, ${time}`);
    const here = new URL(window.location.href);
    here.searchParams.set("draft", this.form.elements.key.value);
    window.history.replaceState(null, "", here);
  }
}
