// "Photo" on every page: a tap opens the camera or the chooser, and what is chosen is sent without another.
{
  const place = document.getElementById("photo-now");
  const says = place.querySelector(".photo-says");
  const link = place.querySelector("a");
  const megabytes = Number(place.dataset.most) / 2 ** 20;

  const label = Object.assign(document.createElement("label"), { className: "button", textContent: "Photo" });
  const chosen = Object.assign(document.createElement("input"), { type: "file", multiple: true, className: "unseen" });
  chosen.accept = "image/jpeg,image/heic,image/heif,image/png,image/webp";
  label.append(chosen);
  if ("indexedDB" in window) link.replaceWith(label);

  let going = []; // { mark, state, share, answer } of each photo of this round
  let tooLarge = [];

  chosen.addEventListener("change", async () => {
    const files = [...chosen.files];
    chosen.value = "";
    if (!files.length) return;
    if (going.every((one) => one.state === "sent" || one.state === "refused")) [going, tooLarge] = [[], []];
    tooLarge.push(...files.filter((file) => file.size > place.dataset.most).map((file) => file.name));
    const fit = files.filter((file) => file.size <= place.dataset.most);
    const early = []; // what is heard of a photo before its mark is known here
    const listen = ({ detail }) => early.push(detail);
    document.addEventListener("outbox", listen);
    try {
      say([`Keeping ${fit.length === 1 ? "the photo" : `${fit.length} photos`} …`]);
      const fields = place.dataset.kind ? { on_kind: place.dataset.kind, on_record: place.dataset.record } : {};
      for (const mark of await outbox.photos(fit, fields)) going.push({ mark, state: "kept", share: 0 });
      early.forEach(heard);
      show();
    } catch {
      location.assign(link.href); // nothing can be kept here: the page for photos sends them itself
    } finally {
      document.removeEventListener("outbox", listen);
    }
  });

  document.addEventListener("outbox", ({ detail }) => heard(detail) && show());

  function heard(told) {
    if (told.state === "waiting" && !told.mark) {
      for (const one of going) if (one.state !== "sent" && one.state !== "refused") one.state = "waiting";
      return going.length > 0;
    }
    const one = going.find(({ mark }) => mark === told.mark);
    if (!one) return false;
    return Object.assign(one, told);
  }

  function show() {
    const of = (state) => going.filter((one) => one.state === state);
    const [sent, refused, waiting] = [of("sent"), of("refused"), of("waiting")];
    const lines = [];
    const left = going.length - sent.length - refused.length;
    if (left && waiting.length) {
      lines.push(`No answer from the workshop. ${left === 1 ? "The photo is" : `${left} photos are`} kept on this phone.`);
    } else if (left) {
      const share = of("sending")[0]?.share ?? 0;
      const number = Math.min(going.length, sent.length + refused.length + 1);
      lines.push(going.length === 1 ? "Sending the photo " : `Sending ${number} of ${going.length} `);
      const bar = document.createElement("progress");
      bar.max = going.length;
      bar.value = sent.length + refused.length + share;
      bar.setAttribute("aria-label", "Sent so far");
      lines.push(bar);
    } else if (sent.length > 1) {
      lines.push(`${sent.length} photos kept. `);
    }
    if (!left) {
      for (const { answer } of sent.slice(0, 1)) {
        if (sent.length === 1) lines.push(`${answer.says} `);
        const on = Object.assign(document.createElement("a"), { className: "way" });
        on.href = sent.length === 1 ? answer.address : link.href.replace(/photos\/new.*/, "strip-down?show=photos");
        on.textContent = sent.length === 1 ? "Point at what it shows" : "Point at what they show";
        lines.push(on);
      }
    }
    say(lines, [...refused.map(({ answer }) => answer.says), ...tooLarge.map(sentence)]);
  }

  const sentence = (name) => `“${name}” is larger than ${megabytes} MB; send it smaller.`;

  function say(lines, wrong = []) {
    says.replaceChildren(...lines);
    for (const text of wrong) {
      says.append(Object.assign(document.createElement("span"), { className: "wrong", textContent: text }));
    }
    says.hidden = !lines.length && !wrong.length;
    if (going.some(({ state }) => state !== "sent" && state !== "refused")) return;
    const away = Object.assign(document.createElement("button"), { type: "button", textContent: "Put away" });
    away.addEventListener("click", () => {
      says.hidden = true;
      chosen.focus();
    });
    if (going.length || wrong.length) says.append(away);
  }
}
