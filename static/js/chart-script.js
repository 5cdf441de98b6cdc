// The chart's own script is large, so it is fetched when a chart is asked for, once a page.
// It would write rules into the page, which the content policy forbids. It leaves that where elements with these
// names are there already; what a chart needs of its rules stands in css/motion.css. The second is that of its maps.

const OWN_STYLES = ["plotly.js-style-global", "9f215cf04c5486422605d13261cb87401f4e7763b6296af81e98efbc0130da53"];

let script = null;

// `holder` names the script's address in data-plotly.
export function fetchPlotly(holder) {
  if (window.Plotly) return Promise.resolve(window.Plotly);
  script ??= new Promise((resolve, reject) => {
    for (const id of OWN_STYLES) document.head.append(Object.assign(document.createElement("meta"), { id, className: "no-inline-styles" }));
    const code = document.createElement("script");
    code.src = holder.dataset.plotly;
    code.addEventListener("load", () => resolve(window.Plotly));
    code.addEventListener("error", () => {
      script = null;
      reject(new Error("The chart’s script could not be loaded."));
    });
    document.head.append(code);
  });
  return script;
}
