// The pages work without this. It does four things: it fetches the parts of a
// page that have changed, counts clocks, keeps what is being typed, and sends a
// form once however often Enter comes.
"use strict";
(() => {
  const byId = (id) => document.getElementById(id);

  // Parts marked data-live are replaced by those of the page as it is now.
  // What is being filled in is left alone.
  let fetching = false, again = false;
  const refresh = async () => {
    if (fetching) { again = true; return; }
    fetching = true;
    try {
      const answer = await fetch(location.href, { headers: { "X-Live": "1" }, redirect: "manual" });
      if (answer.ok) {
        const page = new DOMParser().parseFromString(await answer.text(), "text/html");
        for (const part of document.querySelectorAll("[data-live]")) {
          const now = page.getElementById(part.id);
          if (now && now.innerHTML !== part.innerHTML && !part.contains(document.activeElement)) {
            part.replaceChildren(...now.childNodes);
          }
        }
        tick();
      }
    } finally {
      fetching = false;
      if (again) { again = false; refresh(); }
    }
  };

  const say = (kind, word, text) => {
    const place = byId("notices");
    if (!place) return;
    let p = byId("live-notice");
    if (!p) { p = document.createElement("p"); p.id = "live-notice"; place.append(p); }
    p.className = "notice " + kind;
    p.replaceChildren(Object.assign(document.createElement("strong"), { textContent: word }), " " + text);
  };

  const address = document.body.dataset.events;
  if (address) {
    const stream = new EventSource(address);
    let lost = false;
    stream.addEventListener("record", (e) => {
      refresh().then(() => {
        if (document.querySelector("form.entry")) say("note", "New", e.data + " was recorded. What you typed is still here.");
      });
    });
    stream.onerror = () => { lost = true; say("warn", "No connection", "This page may be old. What you typed is kept; it goes on by itself."); };
    stream.onopen = () => { if (lost) { lost = false; byId("live-notice")?.remove(); refresh(); } };
    addEventListener("pagehide", () => stream.close());
  }

  // Clocks: <time data-since> counts up.
  const tick = () => {
    for (const t of document.querySelectorAll("[data-since]")) {
      const s = Math.max(0, Math.floor((Date.now() - Date.parse(t.dataset.since)) / 1000));
      const m = Math.floor(s / 60), h = Math.floor(m / 60);
      t.textContent = h ? h + " h " + (m % 60) + " min" : m ? m + " min " + (s % 60) + " s" : s + " s";
    }
  };
  tick();
  setInterval(tick, 1000);

  // Fields that are folded away say what they hold.
  for (const rest of document.querySelectorAll("details.rest")) {
    rest.addEventListener("input", () => {
      rest.querySelector(".rest-says").replaceChildren(...[...rest.querySelectorAll(".field")].flatMap((f) => {
        const box = f.querySelector("input:not([type])"), unit = f.querySelector(".unit > input:checked");
        const text = box ? (box.value || box.placeholder || "none") + (unit ? " " + unit.value : "") : f.querySelector("input:checked + span")?.textContent ?? "none";
        const s = document.createElement("span");
        s.append(f.querySelector("label, legend").textContent + " ", Object.assign(document.createElement("b"), { textContent: text }));
        return [s, " "];
      }));
    });
  }
  document.querySelector(".rail [aria-current]")?.scrollIntoView({ block: "nearest", inline: "center" });

  // What is typed is kept for the same person, but never a secret.
  for (const form of document.querySelectorAll("form[data-keep]")) {
    let timer;
    const keep = () => {
      clearTimeout(timer);
      timer = undefined;
      const body = new URLSearchParams(new FormData(form));
      for (const secret of form.querySelectorAll("input[type=password]")) body.delete(secret.name);
      fetch(form.dataset.keep, { method: "POST", body, keepalive: true }).catch(() => {});
    };
    form.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(keep, 600); });
    // Leaving at once loses nothing; what was sent is no longer kept.
    addEventListener("pagehide", () => { if (timer && !form.dataset.sent) keep(); });
  }

  // A scanner's second Enter does not send a form twice.
  document.addEventListener("submit", (e) => {
    const form = e.target;
    if (form.dataset.sent) { e.preventDefault(); return; }
    form.dataset.sent = "1";
    addEventListener("pageshow", () => delete form.dataset.sent);
  });
})();
