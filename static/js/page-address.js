// The address of the page is the view: what is chosen on it is written there, so that a link brings it back.

export function keepInAddress(changes) {
  const parts = new URLSearchParams(location.search);
  for (const [name, value] of Object.entries(changes)) {
    if (value) parts.set(name, value);
    else parts.delete(name);
  }
  history.replaceState(history.state, "", `${location.pathname}?${parts}${location.hash}`);
}

export function fromAddress(names) {
  const parts = new URLSearchParams(location.search);
  return Object.fromEntries(names.map((name) => [name, parts.get(name) ?? ""]).filter(([, value]) => value));
}
