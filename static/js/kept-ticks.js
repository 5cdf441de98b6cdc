// Ticks that were made without a connection, kept in this browser until they are sent: no names, three things each.
// Each account has its own: on a shared tablet, whoever signs in next does not send those of somebody else.

const KEPT = "moundbook.ticks.";
const MOST = 200;
const UUID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;
const DATE = /^\d{4}-\d\d-\d\d$/;

function place() {
  return KEPT + (document.getElementById("work")?.dataset.reader ?? "");
}

function isTick(one) {
  return one !== null && typeof one === "object" && UUID.test(one.tick) && UUID.test(one.work) && DATE.test(one.date);
}

/** [{tick, work, date}], oldest first; what is not of that form (another program wrote it) is left out. */
export function keptTicks() {
  try {
    const found = JSON.parse(localStorage.getItem(place()) ?? "[]");
    return Array.isArray(found) ? found.filter(isTick) : [];
  } catch {
    return [];
  }
}

/** False where the browser keeps nothing, or too many are kept. */
export function keepTick({ tick, work, date }) {
  const others = keptTicks().filter((one) => one.work !== work || one.date !== date);
  return others.length < MOST && store([...others, { tick, work, date }]);
}

export function dropTick({ tick }) {
  return store(keptTicks().filter((one) => one.tick !== tick));
}

export function forgetTicks() {
  try {
    const kept = Object.keys(localStorage).filter((name) => name.startsWith(KEPT));
    for (const name of kept) localStorage.removeItem(name);
  } catch {
    // A browser that keeps nothing has nothing to forget.
  }
}

function store(ticks) {
  try {
    if (ticks.length === 0) localStorage.removeItem(place());
    else localStorage.setItem(place(), JSON.stringify(ticks));
    return true;
  } catch {
    return false;
  }
}

/** Version 4; `crypto.randomUUID` is there on secure addresses only. */
export function newUuid() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
