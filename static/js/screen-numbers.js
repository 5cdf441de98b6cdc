// Numbers of the form of screens: read as the server reads them, and what follows from two sides.

const NUMBER = /^[-−]?\d+([.,]\d*)?$|^[-−]?[.,]\d+$/;

/** The typed number; null for nothing, NaN for what is no number. Written units are the server's to read. */
export function numberOf(text) {
  const bare = text.trim().replace(/\s*(°|cm|kg|lb|in|%|s|N\/kg)$/, "");
  if (bare === "") return null;
  return NUMBER.test(bare) ? Number(bare.replace("−", "-").replace(",", ".")) : Number.NaN;
}

/** A sentence when the value cannot be, else "". */
export function wrongWith(field) {
  const value = numberOf(field.value);
  if (value === null) return "";
  if (Number.isNaN(value)) return "That is no number.";
  if (/[a-z]$/i.test(field.value.trim())) return ""; // a unit of its own: the server converts it
  const { low, high, span } = field.dataset;
  const isOut = (low !== "" && value < Number(low)) || (high !== "" && value > Number(high));
  return isOut ? `${written(value, 1)} is not plausible: ${span} is. Measure again, or check the side.` : "";
}

/** With a true minus and no more decimals than asked for. */
export function written(value, decimals) {
  const text = Math.abs(value).toFixed(decimals);
  const short = decimals ? text.replace(/\.0+$/, "") : text;
  return value < 0 && Number(text) !== 0 ? `−${short}` : short;
}

const FORMULAS = {
  sum: (first, second) => first + second,
  difference: (first, second) => first - second,
  percent: (first, second) => (second === 0 ? null : (100 * first) / second),
};

/** Mean of what was typed for a metric in any round; null when nothing usable was. */
function meanOf(form, key) {
  const values = [...form.querySelectorAll(`[data-value="${key}"]`)]
    .filter((field) => wrongWith(field) === "")
    .map((field) => numberOf(field.value))
    .filter((value) => value !== null && !Number.isNaN(value));
  return values.length ? values.reduce((sum, value) => sum + value, 0) / values.length : null;
}

/** Value of a metric, typed or worked out from its parts; null when a part is missing. */
export function valueOf(form, key) {
  const output = form.querySelector(`output[data-worked="${key}"]`);
  return output ? workedOut(form, output) : meanOf(form, key);
}

export function workedOut(form, output) {
  const first = valueOf(form, output.dataset.first);
  const second = valueOf(form, output.dataset.second);
  return first === null || second === null ? null : FORMULAS[output.dataset.formula](first, second);
}

/** What an output says: the number with its unit, which part is missing, or a dash while nothing is typed. */
export function outputText(form, output) {
  const value = workedOut(form, output);
  if (value !== null) {
    const narrow = ["°", "%"].includes(output.dataset.unit) ? "" : " ";
    return `${written(value, Number(output.dataset.decimals))}${narrow}${output.dataset.unit}`.trim();
  }
  const parts = [output.dataset.first, output.dataset.second].map((key) => valueOf(form, key));
  return parts.every((part) => part === null) ? "—" : "needs both parts";
}
