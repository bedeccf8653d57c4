// The pages work without this. It fetches the parts of a page that have changed,
// shows what the meters say and takes it into a field, counts clocks, is heard
// where a person wants that, gives keys to buttons, keeps what is being typed, and
// sends a form once however often Enter comes, as soon as the program answers.
"use strict";
(() => {
  const byId = (id) => document.getElementById(id);

  // What is heard is written on the page as well. Both are off unless somebody
  // switched them on for this screen.
  const aids = document.body.dataset;
  let sound;
  const tones = (...hertz) => {
    if (aids.tones === undefined) return;
    sound ||= new AudioContext();
    hertz.forEach((f, i) => {
      const at = sound.currentTime + i * 0.22, wave = new OscillatorNode(sound, { frequency: f }), loud = new GainNode(sound, { gain: 0.2 });
      loud.gain.setTargetAtTime(0, at + 0.15, 0.02);
      wave.connect(loud).connect(sound.destination);
      wave.start(at);
      wave.stop(at + 0.22);
    });
  };
  const speak = (text) => {
    if (aids.speech === undefined || !window.speechSynthesis || !text) return;
    const words = new SpeechSynthesisUtterance(text);
    words.lang = "en";
    speechSynthesis.speak(words);
  };
  // A stop is heard when it comes, what was recorded once, and the verdict of the
  // time-out always.
  let verdict;
  const hear = () => {
    const says = document.querySelector("#number .verdict > summary"), text = says?.querySelector(".says-it").textContent;
    if (!says || text === verdict) return;
    verdict = text;
    const stop = says.classList.contains("stop");
    if (stop) tones(220, 220, 220);
    if (stop || document.querySelector(".bench")?.dataset.stands === "Time-out") speak(text);
  };
  if (document.querySelector("#notices .notice.done")) tones(660, 880);

  // Parts marked data-live are replaced by those of the page as it is now, but
  // never by those of another step: data-here names the step that is shown.
  // What is being filled in is left alone.
  const here = document.body.dataset.here;
  let fetching = false, again = false, shook = 0;
  const swap = (page, parts = "[data-live]") => {
    if (page.body.dataset.here !== here) return;
    for (const part of document.querySelectorAll(parts)) {
      const now = page.getElementById(part.id);
      if (now && now.innerHTML !== part.innerHTML && !part.contains(document.activeElement)) {
        part.replaceChildren(...now.childNodes);
      }
    }
    setTime(page);
    tick();
    hear();
  };
  const parse = async (answer) => new DOMParser().parseFromString(await answer.text(), "text/html");
  const refresh = async (parts) => {
    if (fetching) { again ||= !parts; return; }
    fetching = true;
    try {
      const answer = await fetch(here || location.href, { headers: { "X-Live": "1" }, redirect: "manual" });
      if (answer.ok) swap(await parse(answer), parts);
      else if (answer.status === 401) lock(await parse(answer));
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
    return p;
  };
  // What stops who is at work is brought into sight.
  const refuse = (word, text) => say("warn", word, text)?.scrollIntoView({ block: "nearest" });

  // A page whose session is locked says so and whose it is, and lets them or
  // somebody else in. What is typed stays where it is.
  const lock = (page) => {
    const place = byId("notices"), asks = page.getElementById("locked");
    if (!place || !asks || byId("locked")) return;
    byId("live-notice")?.remove();
    place.append(document.adoptNode(asks));
    for (const next of place.querySelectorAll("input[name=next]")) next.value = location.pathname + location.search;
    place.querySelector("form")?.scrollIntoView({ block: "nearest" });
  };

  const address = document.body.dataset.events;
  let stream, lost = false;
  const listen = () => {
    stream?.close();
    stream = new EventSource(address + wells());
    stream.addEventListener("record", (e) => {
      if (Date.now() - shook < 3000 && e.data.includes(": resuspended")) return; // this page has said so
      refresh().then(() => {
        if (document.querySelector("form.entry")) say("note", "New", e.data + " was recorded. What you typed is still here.");
      });
    });
    stream.addEventListener("meter", (e) => meters(JSON.parse(e.data)));
    stream.onerror = async () => {
      lost = true;
      deaf();
      await refresh().catch(() => {}); // a locked session answers, and a lost one does not
      if (lost && !byId("locked")) say("warn", "No connection", "This page may be old. What you typed is still here; it goes on by itself.");
    };
    stream.onopen = () => { if (lost) { lost = false; byId("live-notice")?.remove(); byId("locked")?.remove(); refresh(); keepAll(); } };
  };

  // Meters: each line beside a field is kept as the stream says it, in place,
  // so that nothing moves under a finger or the focus.
  const lives = () => [...document.querySelectorAll(".live")];
  const wells = () => {
    const all = new Set(lives().map((l) => l.dataset.of));
    return all.size ? "&wells=" + encodeURIComponent([...all].join(",")) : "";
  };
  const put = (e, text) => { if (e.textContent !== text) e.textContent = text; };
  const show = (l, m) => {
    const b = l.querySelector(".take"), can = !m.why;
    if (m.name) put(l.querySelector(".name"), m.name);
    put(l.querySelector(".shows"), m.says);
    put(l.querySelector(".refused"), m.why || "");
    put(b.querySelector(".what"), can ? m.value + " " + m.unit : "");
    b.toggleAttribute("aria-disabled", !can);
    if (!can) b.setAttribute("aria-disabled", "true");
    Object.assign(b.dataset, { value: m.value || "", unit: m.unit || "", at: m.at || "" });
    b.value = l.parentNode.dataset.field + " " + (m.token || "");
  };
  let heard = Date.now();
  const meters = (all) => {
    heard = Date.now();
    for (const l of lives()) {
      const m = all.find((m) => m.id === l.dataset.meter && m.of === l.dataset.of);
      if (m) show(l, m);
    }
  };
  const deaf = () => lives().forEach((l) => show(l, { says: "", why: "It cannot be taken: there is no connection." }));

  const control = (form, name) => form?.elements.namedItem(name);
  const set = (form, name, value) => { const c = control(form, name); if (c) c.value = value; };
  const take = (b) => {
    const l = b.closest(".live"), box = l.parentNode, form = b.closest("form.entry"), name = box.dataset.field, part = name.split(".")[0];
    const [, token] = b.value.split(" "), { value, unit, at } = b.dataset;
    set(form, name + ".unit", unit);
    const known = control(form, name + ".unit")?.value === unit;
    set(form, name, known ? value : value + " " + unit);
    set(form, name + ".line", token);
    set(form, part + ".meter", l.dataset.meter);
    if (box.dataset.from) set(form, part + ".at", at);
    put(box.querySelector(".taken"), "Taken from " + l.dataset.meter + ": " + value + " " + unit + ".");
    for (const changed of [name, part + ".meter", part + ".at"]) {
      form.querySelector('[name="' + changed + '"]')?.dispatchEvent(new Event("input", { bubbles: true }));
    }
  };
  document.addEventListener("click", (e) => {
    const b = e.target.closest?.("button.take");
    if (!b) return;
    e.preventDefault();
    if (b.getAttribute("aria-disabled") !== "true") take(b);
  });
  // A number changed by hand is a typed one; another container is another
  // well.
  document.addEventListener("input", (e) => {
    const form = e.target.form, name = (e.target.name || "").replace(/\.unit$/, "");
    const box = form && [...form.querySelectorAll(".lives")].find((b) => b.dataset.field === name);
    if (!box || !e.isTrusted) return;
    set(form, name + ".line", "");
    put(box.querySelector(".taken"), "");
  });
  document.addEventListener("change", (e) => {
    const form = e.target.form;
    let other = false;
    for (const l of form?.querySelectorAll(".live[data-invented]") || []) {
      const of = l.parentNode.dataset.from === e.target.name && (e.target.value.trim() || "?");
      if (of && of !== l.dataset.of) {
        other = true;
        l.dataset.of = of;
        show(l, { says: "", why: "It cannot be taken: the meter has not answered yet." });
      }
    }
    if (other) listen();
  });

  if (address) {
    listen();
    addEventListener("pagehide", () => stream.close());
    setInterval(() => { if (Date.now() - heard > 10000) deaf(); }, 1000);
    setInterval(() => { if (stream.readyState === EventSource.CLOSED) listen(); }, 10000); // unlocked on another page
  }

  // Clocks: <time data-since> counts up, in the server's time, which data-now of the
  // newest page tells: this machine's clock may be wrong. What holds until data-until
  // counts down, is then replaced by what is said from there on, and only that
  // change is announced.
  let ahead = 0;
  const now = () => Date.now() + ahead;
  const setTime = (page) => { ahead = Date.parse(page.getElementById("foot").dataset.now) - Date.now(); };
  const span = (ms) => {
    const s = Math.max(0, Math.floor(ms / 1000)), m = Math.floor(s / 60), h = Math.floor(m / 60);
    return h ? h + " h " + (m % 60) + " min" : m ? m + " min " + (s % 60) + " s" : s + " s";
  };
  const tick = () => {
    for (const t of document.querySelectorAll("[data-since]")) t.textContent = span(now() - Date.parse(t.dataset.since));
    for (const c of document.querySelectorAll("[data-until]")) {
      const left = Date.parse(c.dataset.until) - now(), { thenKind, thenWord, thenText } = c.dataset;
      if (left > 0) {
        const b = c.querySelector("b");
        if (b) b.textContent = span(left);
        continue;
      }
      delete c.dataset.until;
      c.querySelector(".notice").className = "notice " + thenKind;
      c.querySelector("strong").textContent = thenWord;
      c.querySelector(".tells").textContent = thenText;
      byId("settling-said").textContent = thenWord + ": " + thenText;
      tones(880, 660);
      speak(thenWord + ". " + thenText);
    }
  };
  setTime(document);
  tick();
  hear();
  setInterval(tick, 1000);

  // A time of the day that the page shows is said as the clock on the wall does.
  const onTheWall = (text) => /^\d{4}-\d\d-\d\dT\d\d:\d\d/.test(text) && text.startsWith(byId("foot").dataset.now.slice(0, 10)) ? text.slice(11, 16) : text;

  // Fields that are folded away say what they hold.
  for (const rest of document.querySelectorAll("details.rest")) {
    rest.addEventListener("input", () => {
      rest.querySelector(".rest-says").replaceChildren(...[...rest.querySelectorAll(".field")].flatMap((f) => {
        const box = f.querySelector("input:not([type])"), unit = f.querySelector(".unit > input:checked");
        const text = box ? (onTheWall(box.value) || box.placeholder || "none") + (unit ? " " + unit.value : "") : f.querySelector("input:checked + span")?.textContent ?? "none";
        const s = document.createElement("span");
        s.append(f.querySelector("label, legend").textContent + " ", Object.assign(document.createElement("b"), { textContent: text }));
        return [s, " "];
      }));
    });
  }
  // The step at hand is in sight in the row of steps, also after a phone was turned.
  // Only the row moves: the page stays at the field that has the focus.
  const showStep = () => {
    const step = document.querySelector(".rail [aria-current]"), rail = step?.closest(".rail");
    if (rail) rail.scrollLeft += step.getBoundingClientRect().left - rail.getBoundingClientRect().left - (rail.clientWidth - step.offsetWidth) / 2;
  };
  showStep();
  addEventListener("resize", showStep);
  // What is wrong with a field stands below it, and comes into sight with it.
  document.querySelector("form.entry .field.wrong")?.scrollIntoView({ block: "nearest" });

  // The picture of a vial that settles is fetched anew, while it is looked at
  // and something moves in it.
  setInterval(() => {
    const since = document.querySelector(".settles [data-since]");
    if (since && !document.hidden && now() - Date.parse(since.dataset.since) < 600000) refresh("#settling, #settling-picture, #vessels").catch(() => {});
  }, 5000);

  // One touch or one key says that the vial was resuspended. The page stays, with
  // what is typed and with the focus where it is. No scanner types with Alt.
  const resuspended = byId("resuspended");
  let sending = false;
  resuspended?.addEventListener("submit", async (e) => {
    e.preventDefault();
    e.stopPropagation();
    if (sending) return;
    sending = true;
    shook = Date.now();
    try {
      const answer = await fetch(resuspended.action, { method: "POST", body: new URLSearchParams(new FormData(resuspended)) });
      const page = await parse(answer), next = page.getElementById("resuspended");
      if (!answer.ok || !next) { resuspended.submit(); return; } // the page that says why
      for (const name of ["nonce", "p0.of"]) resuspended.elements[name].value = next.elements[name].value;
      swap(page);
      byId("settling-said").textContent = "Resuspended. Clock started.";
    } catch {
      say("warn", "No connection", "It is not known whether the resuspension was recorded. Press once more: it is recorded once.");
    } finally {
      sending = false;
    }
  });
  document.addEventListener("keydown", (e) => {
    if (!resuspended || !e.altKey || !e.shiftKey || e.ctrlKey || e.metaKey || e.repeat || e.code !== "KeyS") return;
    e.preventDefault();
    resuspended.requestSubmit();
  });

  // Keys that a person chose, such as a pedal, press a button of the page. None of
  // them types.
  const pressed = [
    [aids.keyResuspended, () => resuspended?.requestSubmit()],
    [aids.keyTake, () => document.querySelector(".do .take:not([aria-disabled])")?.click()],
    [aids.keyRecord, () => document.querySelector(".do > form.entry, main > .narrow > form.entry")?.requestSubmit()],
  ];
  document.addEventListener("keydown", (e) => {
    if (e.repeat || e.altKey || e.ctrlKey || e.metaKey || e.shiftKey) return;
    const key = pressed.find(([code]) => code && code === e.code);
    if (!key) return;
    e.preventDefault();
    key[1]();
  });
  // A key is chosen by pressing it.
  document.addEventListener("keydown", (e) => {
    if (!e.target.matches?.("[data-press]") || ["Tab", "Enter", "Escape", "Backspace", "Delete", "ArrowLeft", "ArrowRight"].includes(e.key) || e.ctrlKey || e.altKey || e.metaKey || e.key.length === 1) return;
    e.preventDefault();
    e.target.value = e.code;
  });

  // A button fills in the time of now in the zone of the site.
  for (const b of document.querySelectorAll("button[data-fills]")) {
    b.hidden = false;
    b.addEventListener("click", () => {
      const box = byId(b.dataset.fills);
      box.value = new Date(now()).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit", timeZone: b.dataset.zone });
      box.dispatchEvent(new Event("input", { bubbles: true }));
    });
  }

  // What is typed is kept for the same person, but never a secret.
  for (const file of document.querySelectorAll("input[data-into]")) { // a file is read into its field, where it can be looked at
    file.hidden = false;
    file.addEventListener("change", async () => {
      const field = byId(file.dataset.into);
      field.value = await file.files[0].text();
      field.dispatchEvent(new Event("input", { bubbles: true }));
    });
  }
  // Until the program has answered that it keeps it, it waits in this tab, under its form
  // and person, with when it was typed. It goes once somebody else works in this tab.
  const who = document.querySelector(".who")?.dataset.id;
  for (const place of Object.keys(sessionStorage)) {
    if (who && !place.endsWith(" ." + who)) sessionStorage.removeItem(place);
  }
  const kept = [...document.querySelectorAll("form[data-keep]")];
  const typedIn = (form) => {
    const body = new URLSearchParams(new FormData(form));
    for (const secret of form.querySelectorAll("input[type=password]")) body.delete(secret.name);
    return body.toString();
  };
  const place = (form) => form.dataset.keep + " " + control(form, "nonce").value.replace(/^[^.]*/, "");
  const waits = (form) => JSON.parse(sessionStorage.getItem(place(form)));
  const patience = () => ({ signal: AbortSignal.timeout(10000) });
  // keep gives whether the form may be sent. Without an answer it fails.
  const keep = async (form, how = patience()) => {
    const typed = waits(form);
    if (!typed) return true;
    const ago = Math.round((Date.now() - typed.at) / 1000);
    const answer = await fetch(form.dataset.keep + "&ago=" + ago, { method: "POST", body: new URLSearchParams(typed.body), ...how });
    if (answer.status === 204 && waits(form)?.at === typed.at) sessionStorage.removeItem(place(form));
    if (answer.status === 401) lock(await parse(answer));
    if (answer.status === 409) refuse("Not kept", "Somebody else works here now. What you typed stays in this tab until they open a page in it.");
    return answer.status !== 401 && answer.status !== 409;
  };
  const keepAll = (how) => Promise.all(kept.map((form) => keep(form, how))).catch(() => {});
  for (const form of kept) {
    let timer;
    form.addEventListener("input", () => {
      sessionStorage.setItem(place(form), JSON.stringify({ at: Date.now(), body: typedIn(form) }));
      clearTimeout(timer);
      timer = setTimeout(() => keep(form).catch(() => {}), 600);
    });
    form.addEventListener("submit", () => clearTimeout(timer));
  }
  // Leaving at once loses nothing.
  addEventListener("pagehide", () => keepAll({ keepalive: true }));
  // What waited is shown as the program then keeps it.
  const says = (body) => [...new URLSearchParams(body)].filter(([name]) => /^p\d/.test(name)).sort().join("\n");
  const differs = (form) => waits(form) && says(waits(form).body) !== says(typedIn(form));
  if (kept.some(differs)) keepAll().then(() => { if (!kept.some(waits)) location.replace(location.pathname + location.search); });
  else keepAll();

  // A question about a number is answered by the key that stands beside the
  // answer; the form then goes on to what it still needs, or is sent. Another number is
  // another question, if any.
  document.addEventListener("keydown", (e) => {
    const asked = e.target.closest?.(".answers");
    if (!asked || e.altKey || e.ctrlKey || e.metaKey || e.repeat || !/^[1-9]$/.test(e.key)) return;
    const pick = asked.querySelectorAll("input")[e.key - 1];
    if (!pick) return;
    e.preventDefault();
    pick.checked = true;
    const next = [...pick.form.elements].find((c) => c.willValidate && !c.validity.valid);
    if (next) next.focus(); else pick.form.requestSubmit();
  });
  document.addEventListener("input", (e) => {
    const field = e.target.closest?.(".field");
    if (!e.target.closest?.(".answers")) field?.querySelector(".answers")?.remove();
  });

  // What a field holds when it gets the focus with the page is typed over, as after Tab.
  // The focus comes with the first frame, and by then something may have been typed.
  addEventListener("load", () => requestAnimationFrame(() => {
    const field = document.activeElement;
    if (field.value === field.defaultValue) field.select?.();
  }));

  // A form is sent once the program has answered, and keeps what is typed. A scanner's
  // second Enter does not send it twice.
  const style = document.querySelector("link[rel=stylesheet]").href;
  document.addEventListener("submit", async (e) => {
    const form = e.target, state = form.dataset.sent;
    if (state === "answered" || !state && form.getAttribute("method") !== "post") {
      form.dataset.sent = "sent";
      return;
    }
    e.preventDefault();
    if (state) return;
    form.dataset.sent = "asks";
    try {
      if (kept.includes(form) && waits(form)) {
        if (!await keep(form)) { delete form.dataset.sent; return; }
      } else {
        await fetch(style, { method: "HEAD", cache: "no-store", ...patience() });
      }
    } catch {
      delete form.dataset.sent;
      refuse("No answer", "The program does not answer. Nothing was recorded as far as this page knows. What you typed is still here.");
      return;
    }
    form.dataset.sent = "answered";
    form.requestSubmit(e.submitter);
  });
  addEventListener("pageshow", () => { for (const form of document.forms) delete form.dataset.sent; });
})();
