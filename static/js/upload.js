// <form data-upload method="post" enctype="multipart/form-data"> with one <input type="file" multiple>:
// files that are chosen or dropped go up one by one, each with its own line of progress in
// <ol data-upload-list>. Without this script the form sends all files at once, as forms do.
//
// Each file is one POST of the whole form to its action, with the header "X-Requested-With: fetch". The answer:
//   2xx, JSON {"sentence": "Received, being read.", "url": "/uploads/…"}, or any page (its address is linked);
//   4xx, JSON {"error": "A workbook with a password cannot be read. Save it without one."}
// After each file that was taken, "uploads-changed" is raised on the body: lists of uploads reload themselves by it.
// When all files are through, data-next on the form is opened, if it is given and nothing failed.

const words = {
  waiting: "waiting",
  sending: (percent) => `sending, ${percent}%`,
  storing: "sent, being stored",
  received: "Received.",
  lost: "The connection was lost. Nothing of this file was kept: choose it again.",
  refused: "The server could not take this file. Try again; if it happens twice, tell your admin.",
  empty: "This file is empty. Export it again.",
  large: (limit) => `This file is larger than ${limit} MB. Export it in parts.`,
};

function element(tag, className, text = "") {
  const made = document.createElement(tag);
  if (className) made.className = className;
  made.textContent = text;
  return made;
}

function line(list, file) {
  const item = element("li", "file");
  const name = element("span", "nm", file.name);
  const state = element("span", "state", words.waiting);
  const bar = element("progress");
  bar.max = 100;
  bar.value = 0;
  bar.setAttribute("aria-label", `Sending ${file.name}`);
  item.append(name, state, bar);
  list.append(item);
  return {
    progress(percent) {
      bar.value = percent;
      state.textContent = percent < 100 ? words.sending(percent) : words.storing;
    },
    done(sentence, url) {
      bar.remove();
      state.textContent = sentence;
      if (!url) return;
      const link = element("a", "", "Open");
      link.href = url;
      state.append(" ", link);
    },
    failed(sentence) {
      bar.remove();
      item.classList.add("failed");
      state.textContent = sentence;
    },
  };
}

function answerOf(request) {
  try {
    return JSON.parse(request.responseText);
  } catch {
    return request.status < 300 ? { url: request.responseURL } : {};
  }
}

function send(form, input, file, shown) {
  return new Promise((resolve) => {
    const data = new FormData(form);
    data.delete(input.name);
    data.append(input.name, file);
    const request = new XMLHttpRequest();
    request.open("POST", form.action);
    request.setRequestHeader("X-Requested-With", "fetch");
    request.setRequestHeader("Accept", "application/json, text/html;q=0.5");
    request.upload.addEventListener("progress", (event) => {
      if (event.lengthComputable) shown.progress(Math.floor((100 * event.loaded) / event.total));
    });
    request.addEventListener("load", () => {
      const answer = answerOf(request);
      const good = request.status >= 200 && request.status < 300 && !answer.error;
      if (good) {
        shown.done(answer.sentence ?? words.received, answer.url);
        document.body.dispatchEvent(new CustomEvent("uploads-changed"));
      }
      else shown.failed(answer.error ?? words.refused);
      resolve(good);
    });
    request.addEventListener("error", () => {
      shown.failed(words.lost);
      resolve(false);
    });
    request.send(data);
  });
}

function refusal(file, maxBytes) {
  if (file.size === 0) return words.empty;
  if (maxBytes && file.size > maxBytes) return words.large(Math.floor(maxBytes / 1024 / 1024));
  return "";
}

function prepare(form) {
  const input = form.querySelector("input[type=file]");
  const list = form.parentElement.querySelector("[data-upload-list]") ?? form.appendChild(element("ol", "files"));
  const area = form.querySelector(".drop") ?? form;
  const maxBytes = Number(form.dataset.maxBytes || 0);
  list.setAttribute("aria-live", "polite");
  let queue = Promise.resolve();
  let unfinished = 0;
  let failed = false;

  function take(files) {
    for (const file of files) {
      const shown = line(list, file);
      const reason = refusal(file, maxBytes);
      if (reason) {
        shown.failed(reason);
        failed = true;
        continue;
      }
      unfinished += 1;
      queue = queue.then(async () => {
        if (!(await send(form, input, file, shown))) failed = true;
        unfinished -= 1;
        if (unfinished === 0 && !failed && form.dataset.next) location.assign(form.dataset.next);
      });
    }
  }

  input.addEventListener("change", () => {
    take([...input.files]);
    input.value = "";
  });
  for (const name of ["dragover", "dragenter"]) {
    area.addEventListener(name, (event) => {
      event.preventDefault();
      area.classList.add("over");
    });
  }
  area.addEventListener("dragleave", (event) => {
    if (!area.contains(event.relatedTarget)) area.classList.remove("over");
  });
  area.addEventListener("drop", (event) => {
    event.preventDefault();
    area.classList.remove("over");
    take([...event.dataTransfer.files]);
  });
  window.addEventListener("beforeunload", (event) => {
    if (unfinished > 0) event.preventDefault();
  });
  for (const plain of form.querySelectorAll("[data-without-script]")) plain.hidden = true;
}

for (const form of document.querySelectorAll("form[data-upload]")) prepare(form);
