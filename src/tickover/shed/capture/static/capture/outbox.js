// The outbox: what is written down here is kept on this phone first and struck off only when the workshop has answered.
//
// A thing kept is { number, mark, build, bike, kind, says, at, to, page, fields, photo, name, refused }. `kind` is
// reading, tick or balloon (the form that its page would send, handed to /b/<build>/receive), or photo (handed to
// /b/<build>/photos/one). `mark` is a UUID: however often a thing is sent, the workshop writes it once.
//
// For other scripts: outbox.photos(files, fields) keeps pictures and sends them; document hears "outbox" events with
// { mark, kind, state, share, answer }, where state is kept, sending, sent, refused or waiting.
const outbox = (() => {
  const CHANGED = "BroadcastChannel" in window ? new BroadcastChannel("tickover outbox") : null;
  const SILENCE = { photo: 60_000, form: 15_000 }; // milliseconds without a sign before a sending is given up
  const PATIENCE = 5_000; // how long a page waits for the answer before it says that the thing is kept

  // --- the store -------------------------------------------------------------------------------------------------

  let opened = null;
  function database() {
    opened ??= new Promise((resolve, reject) => {
      const request = indexedDB.open("tickover", 1);
      request.onupgradeneeded = () => {
        const store = request.result.createObjectStore("kept", { keyPath: "number", autoIncrement: true });
        store.createIndex("mark", "mark", { unique: true });
      };
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    }).catch((problem) => {
      opened = null;
      throw problem;
    });
    return opened;
  }

  // What `work` asks of the store, once it is done and, where it writes, on the disk.
  async function inStore(mode, work) {
    const db = await database();
    return new Promise((resolve, reject) => {
      const whole = db.transaction("kept", mode, { durability: "strict" });
      const request = work(whole.objectStore("kept"));
      whole.oncomplete = () => resolve(request.result);
      whole.onabort = whole.onerror = () => reject(whole.error ?? request.error);
    });
  }

  const all = () => inStore("readonly", (store) => store.getAll());
  const find = (mark) => inStore("readonly", (store) => store.index("mark").get(mark));
  const after = async (number) => {
    const cursor = await inStore("readonly", (store) => store.openCursor(IDBKeyRange.lowerBound(number, true)));
    return cursor?.value;
  };

  async function write(item) {
    const number = await inStore("readwrite", (store) => store.put(item));
    navigator.storage?.persist?.().catch(() => {});
    return { ...item, number };
  }

  const strikeOff = (number) => inStore("readwrite", (store) => store.delete(number));

  function newMark() {
    if (crypto.randomUUID) return crypto.randomUUID(); // only where the page came safely; RFC 9562 by hand elsewhere
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  }

  async function keep(item) {
    const kept = await write({
      mark: newMark(), build: document.body.dataset.build, bike: document.body.dataset.bike, at: Date.now(),
      page: here(), refused: "", ...item,
    }); // prettier-ignore
    tell(kept, "kept");
    return kept;
  }

  // --- sending ---------------------------------------------------------------------------------------------------

  class NoAnswer extends Error {}

  // A fresh token: the page that this was written on may be days old.
  async function token() {
    const gone = new AbortController();
    const timer = setTimeout(() => gone.abort(), SILENCE.form);
    try {
      const answer = await fetch("/token", { cache: "no-store", credentials: "same-origin", signal: gone.signal });
      return (await answer.json()).token || Promise.reject(new NoAnswer());
    } catch {
      throw new NoAnswer();
    } finally {
      clearTimeout(timer);
    }
  }

  async function hand(item, withToken) {
    const body = new FormData();
    body.append("mark", item.mark);
    body.append("age", String((Date.now() - item.at) / 1000));
    if (item.kind === "photo") {
      try {
        await item.photo.slice(0, 1).arrayBuffer();
      } catch {
        return { status: 422, says: "The picture can no longer be read on this phone; take it again." };
      }
      for (const [name, value] of item.fields) body.append(name, value);
      body.append("photo", item.photo, item.name);
    } else {
      body.append("kind", item.kind);
      body.append("to", item.to);
      body.append("fields", new URLSearchParams(item.fields).toString());
      if (looksOn.has(item.mark)) body.append("waits", "yes");
    }
    const to = `/b/${item.build}/${item.kind === "photo" ? "photos/one" : "receive"}`;
    return post(to, body, withToken, item);
  }

  function post(to, body, withToken, item) {
    return new Promise((resolve, reject) => {
      const request = new XMLHttpRequest();
      let timer;
      const silent = () => request.abort();
      const sign = () => {
        clearTimeout(timer);
        timer = setTimeout(silent, item.kind === "photo" ? SILENCE.photo : SILENCE.form);
      };
      request.open("POST", to);
      request.setRequestHeader("X-CSRFToken", withToken);
      request.setRequestHeader("Accept", "application/json");
      request.upload.onprogress = (now) => {
        sign();
        tell(item, "sending", { share: now.total ? now.loaded / now.total : 0 });
      };
      request.onload = () => {
        let answer = null;
        try {
          answer = JSON.parse(request.responseText);
        } catch {
          // A page and no answer of ours: an error page, or another network's door asking for a password.
        }
        resolve({ ...answer, ours: answer !== null, status: request.status });
      };
      request.onloadend = () => clearTimeout(timer);
      request.onerror = request.onabort = () => reject(new NoAnswer());
      sign();
      request.send(body);
    });
  }

  // Everything that waits, in order, each struck off only by its answer. What is refused stays with its sentence and
  // holds nothing up. Ends where the workshop does not answer.
  async function sendAll() {
    let number = 0;
    let withToken = "";
    for (let item; (item = await after(number)); number = item.number) {
      if (item.refused) continue;
      withToken ||= await token();
      tell(item, "sending", { share: 0 });
      let answer = await hand(item, withToken);
      if (answer.status === 403) answer = await hand(item, (withToken = await token()));
      if (answer.status === 200 && answer.ours) {
        await strikeOff(item.number);
        tell(item, "sent", { answer });
      } else if (answer.status < 400 || answer.status === 403) {
        throw new NoAnswer();
      } else if (answer.status >= 500) {
        tell(item, "waiting");
      } else {
        const refused = answer.says || `The workshop did not take it (answer ${answer.status}).`;
        if (await find(item.mark)) await write({ ...item, refused });
        tell(item, "refused", { answer: { says: refused } });
      }
    }
  }

  let running = Promise.resolve();
  let next = null;

  // One sending at a time, in this page and, where the browser has locks, in all of them.
  function send() {
    if (!next) {
      next = running = running.then(async () => {
        next = null;
        try {
          if (navigator.locks) await navigator.locks.request("tickover outbox", sendAll);
          else await sendAll();
        } catch (problem) {
          if (!(problem instanceof NoAnswer)) console.error(problem);
          document.dispatchEvent(new CustomEvent("outbox", { detail: { state: "waiting" } }));
        }
      });
    }
    return next;
  }

  function tell(item, state, more = {}) {
    const { mark, kind } = item;
    document.dispatchEvent(new CustomEvent("outbox", { detail: { mark, kind, state, ...more } }));
    if (state !== "sending") {
      CHANGED?.postMessage({ mark, kind, state, ...more });
      count();
    }
  }

  // What became of a thing: its answer, or null when it stays here for now.
  async function outcome(mark) {
    let answer = null;
    const listen = ({ detail }) => {
      if (detail.mark === mark && (detail.state === "sent" || detail.state === "refused")) answer = detail.answer;
    };
    document.addEventListener("outbox", listen);
    await Promise.race([send(), new Promise((done) => setTimeout(done, PATIENCE))]);
    document.removeEventListener("outbox", listen);
    return answer;
  }

  // --- photos ----------------------------------------------------------------------------------------------------

  // Keep pictures and send them. Answers their marks, in order, as soon as all are safe on this phone.
  async function photos(files, fields = {}) {
    const marks = [];
    for (const file of files) {
      const says = fields.shows ? `Photo: ${fields.shows}` : `Photo ${file.name || ""}`.trim();
      const item = await keep({ kind: "photo", photo: file, name: file.name || "photo.jpg", fields: pairs(fields), says });
      marks.push(item.mark);
    }
    send();
    return marks;
  }

  const pairs = (fields) => Object.entries(fields).filter(([, value]) => value !== "" && value != null);

  // --- forms: data-outbox="reading|tick|balloon" -------------------------------------------------------------------

  const looksOn = new Set(); // marks whose page waits for the answer

  function here() {
    const address = new URL(location.href);
    address.searchParams.delete("kept");
    return address.pathname + address.search;
  }

  function target(form) {
    const address = new URL(form.getAttribute("action") || here(), location.href);
    return address.pathname + address.search;
  }

  // What is kept, in words: the form's own, or the page's heading and what was filled in.
  function inWords(form, button) {
    if (button?.dataset.says || form.dataset.says) return button?.dataset.says || form.dataset.says;
    const told = [...form.elements].filter((field) => field.name && field.offsetParent && field.value && !field.disabled);
    const words = told.map((field) => {
      if (field.type === "datetime-local" || field.tagName === "BUTTON" || field.type === "file") return "";
      if (field.tagName === "SELECT") return field.selectedOptions[0]?.value ? field.selectedOptions[0].text : "";
      if (field.type === "checkbox" || field.type === "radio") return field.checked ? field.labels?.[0]?.textContent : "";
      return field.value;
    });
    const said = [form.dataset.name || document.querySelector("h1")?.textContent, words.filter(Boolean).join(", ")];
    return said.filter(Boolean).join(": ").replace(/\s+/g, " ").trim().slice(0, 200);
  }

  async function submitted(form, button) {
    const data = new FormData(form);
    if (button?.name) data.append(button.name, button.value);
    data.delete("csrfmiddlewaretoken");
    const fields = [...data].filter(([, value]) => typeof value === "string");
    const former = form.dataset.mark ? await find(form.dataset.mark) : null;
    let item;
    try {
      const facts = { kind: form.dataset.outbox, to: target(form), fields, says: inWords(form, button) };
      item = await keep({ ...former, ...facts, refused: "" });
    } catch {
      return natively(form, button); // no room and no store: only the connection is left
    }
    looksOn.add(item.mark);
    const answer = await outcome(item.mark);
    looksOn.delete(item.mark);
    if (answer?.address) return follow(form, answer.address);
    if (answer) {
      // Refused while somebody looks on: the page itself says what is wrong, at its field. Nothing was written.
      await strikeOff(item.number);
      count();
      return natively(form, button);
    }
    delete form.dataset.mark;
    form.reset();
    uptodate(form);
    for (const field of form.elements) field.dispatchEvent(new Event("input"));
    notes();
  }

  // Where the page would have gone: an htmx form's fragment in place, else the page.
  function follow(form, address) {
    const wanted = new URL(address, location.href);
    if (form.hasAttribute("hx-post")) return htmx.ajax("GET", address, { source: form.parentElement });
    if (wanted.pathname + wanted.search !== location.pathname + location.search) return location.assign(address);
    history.replaceState(null, "", address);
    location.reload();
  }

  const POINTED_AT = { part: "part", fasteners: "fastenerset", tag: "wiretag", place: "store" };

  // The page for photos: sent as ever while the workshop answers, kept here while it does not.
  async function photosChosen(form, button) {
    const files = [...form.querySelectorAll("input[type=file]")].flatMap((field) => [...field.files]);
    const answers = await token().then(() => true, () => false); // prettier-ignore
    if (answers || !files.length) return natively(form, button);
    const [kind, number] = (form.elements.target?.value || "").split(":");
    const of = POINTED_AT[kind] ? { on_kind: POINTED_AT[kind], on_record: number } : {};
    try {
      await photos(files, { shows: form.elements.shows?.value, ...of });
    } catch {
      return natively(form, button);
    }
    form.reset();
    notes();
  }

  // The form as the browser itself sends it.
  async function natively(form, button) {
    if (button?.name) {
      const pressed = { type: "hidden", name: button.name, value: button.value };
      form.append(Object.assign(document.createElement("input"), pressed));
    }
    const field = form.querySelector("[name=csrfmiddlewaretoken]");
    if (field) field.value = await token().catch(() => field.value);
    HTMLFormElement.prototype.submit.call(form);
  }

  async function intercept(event) {
    const form = event.target;
    if (!form.matches?.("form[data-outbox]") || !("indexedDB" in window)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (form.getAttribute("aria-busy") === "true") return;
    form.setAttribute("aria-busy", "true");
    try {
      if (form.dataset.outbox === "photo") await photosChosen(form, event.submitter);
      else await submitted(form, event.submitter);
    } finally {
      form.removeAttribute("aria-busy");
    }
  }

  document.addEventListener("submit", intercept, true); // before htmx hears of it

  // A page from a copy was made some time ago; a reading is taken now.
  function uptodate(form) {
    for (const field of form.querySelectorAll("input[type=datetime-local][name=taken_at]")) {
      const now = new Date(Date.now() - new Date().getTimezoneOffset() * 60_000);
      field.value = now.toISOString().slice(0, 16);
    }
  }

  // --- what the page says ------------------------------------------------------------------------------------------

  const clock = (at) => {
    const then = new Date(at);
    const today = then.toDateString() === new Date().toDateString();
    const time = then.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
    return today ? time : `${time} on ${then.toLocaleDateString("en-GB", { day: "numeric", month: "short" })}`;
  };

  async function count() {
    const line = document.getElementById("outbox");
    if (!line || !("indexedDB" in window)) return;
    const items = await all().catch(() => []);
    const refused = items.filter((item) => item.refused).length;
    line.hidden = !items.length;
    line.firstElementChild.textContent =
      `${items.length} kept on this phone, not sent yet` + (refused ? `; ${refused} not taken` : "");
    clearInterval(count.again);
    if (items.length > refused) count.again = setInterval(send, 30_000);
  }

  // At each form what it keeps here; a form that is to be put right gets what was typed back.
  async function notes() {
    for (const old of document.querySelectorAll(".kept-note")) old.remove();
    const items = await all().catch(() => []);
    const forms = [...document.querySelectorAll("form[data-outbox]")];
    for (const item of items) {
      const form = forms.find((one) => (item.kind === "photo" ? one.dataset.outbox === "photo" : target(one) === item.to));
      if (!form) continue;
      const note = Object.assign(document.createElement("p"), { className: "said kept-note" });
      note.dataset.mark = item.mark;
      note.textContent = `Kept on this phone at ${clock(item.at)}, not sent yet: ${item.says}`;
      form.after(note);
    }
  }

  document.addEventListener("outbox", ({ detail: { mark, state } }) => {
    for (const note of document.querySelectorAll(".kept-note")) {
      if (note.dataset.mark !== mark || state !== "sent") continue;
      note.textContent = "Sent. ";
      note.append(Object.assign(document.createElement("a"), { href: here(), textContent: "Open the page again to see it." }));
    }
  });

  async function putRight() {
    const mark = new URLSearchParams(location.search).get("kept");
    const item = mark ? await find(mark) : null;
    const form = item && [...document.querySelectorAll("form[data-outbox]")].find((one) => target(one) === item.to);
    if (!form) return;
    form.dataset.mark = mark;
    for (const field of form.elements) {
      if (!field.name || field.name === "csrfmiddlewaretoken" || field.tagName === "BUTTON") continue;
      const values = item.fields.filter(([name]) => name === field.name).map(([, value]) => value);
      if (field.type === "checkbox" || field.type === "radio") field.checked = values.includes(field.value);
      else if (values.length) field.value = values[0];
    }
    if (item.refused) {
      const wrong = Object.assign(document.createElement("p"), { className: "wrong", textContent: item.refused });
      wrong.setAttribute("role", "alert");
      form.prepend(wrong);
    }
    form.scrollIntoView({ block: "nearest" });
  }

  function sayIfCopy() {
    const since = document.body.dataset.copyOf;
    if (!since) return;
    const line = document.getElementById("copy-of");
    line.textContent = `No answer from the workshop. This is a copy kept at ${clock(Number(since))}.`;
    line.hidden = false;
    for (const form of document.querySelectorAll("form[data-outbox]")) uptodate(form);
  }

  // --- beginning ---------------------------------------------------------------------------------------------------

  async function begin() {
    sayIfCopy();
    if (!("indexedDB" in window)) return;
    try {
      await count();
      await putRight();
      await notes();
      if (await after(0)) send();
    } catch (problem) {
      console.warn("Nothing can be kept on this phone:", problem); // a private window, or no room
    }
  }

  addEventListener("online", send);
  addEventListener("pageshow", (event) => event.persisted && begin());
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && count().then(send));
  document.body?.addEventListener("htmx:afterSettle", notes);
  if (CHANGED) {
    CHANGED.onmessage = ({ data }) => {
      document.dispatchEvent(new CustomEvent("outbox", { detail: data }));
      count();
    };
  }

  if ("serviceWorker" in navigator) {
    const first = !navigator.serviceWorker.controller;
    navigator.serviceWorker.register("/sw.js").catch(() => {});
    if (first) navigator.serviceWorker.ready.then((worker) => worker.active?.postMessage({ keep: location.href }));
  }
  begin();

  return { all, find, write, strikeOff, send, photos, keep, count, clock };
})();
