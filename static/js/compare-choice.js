// What is chosen for a comparison: the address says all of it, and a throw of one session is none of another.

import { fromAddress, keepInAddress } from "./page-address.js";

const form = document.querySelector("form[data-compare-choice]");
const whole = new URLSearchParams(form?.dataset.compareQuery ?? "");
const missing = [...whole].filter(([name]) => !(name in fromAddress([name])));
if (missing.length > 0) keepInAddress(Object.fromEntries(missing));

for (const [session, thrown] of [["a", "a_throw"], ["b", "b_throw"]]) {
  form?.querySelector(`select[name="${session}"]`)?.addEventListener("change", () => {
    for (const one of document.querySelectorAll(`select[name="${thrown}"]`)) one.disabled = true;
  });
}
