// The list of what this phone keeps: what and when, sent now, put right, or struck out.
(() => {
  const list = document.querySelector("ul.kept");
  const [none, sendLine, said] = ["none", "send", "said"].map((name) => document.querySelector(`[data-${name}]`));
  const KINDS = { photo: "Photo", reading: "Reading", tick: "Tick", balloon: "Balloon" };
  let pictures = [];

  async function show() {
    const items = await outbox.all();
    for (const old of pictures) URL.revokeObjectURL(old);
    pictures = [];
    list.replaceChildren(...items.map(row));
    list.hidden = !items.length;
    none.hidden = items.length > 0;
    sendLine.hidden = !items.some((item) => !item.refused);
  }

  function row(item) {
    const made = document.getElementById("kept-item").content.cloneNode(true).firstElementChild;
    const [what, when, refused] = ["what", "when", "refused"].map((name) => made.querySelector(`[data-${name}]`));
    what.textContent = item.says;
    when.textContent = [KINDS[item.kind], outbox.clock(item.at), item.bike].filter(Boolean).join(", ");
    if (item.kind === "photo") {
      const picture = made.querySelector("img");
      picture.src = URL.createObjectURL(item.photo);
      picture.hidden = false;
      pictures.push(picture.src);
    }
    if (item.refused) {
      refused.textContent = item.refused;
      refused.hidden = false;
    }
    const right = made.querySelector("[data-right]");
    const page = new URL(item.page, location.href);
    page.searchParams.set("kept", item.mark);
    right.textContent = item.refused ? "Put it right" : "Change it";
    right.href = page.pathname + page.search;
    right.hidden = item.kind === "photo" || item.kind === "tick";
    const filed = item.kind === "photo" && item.fields.length;
    button(made, "alone", item.refused && filed, () => outbox.write({ ...item, fields: [], refused: "" }).then(outbox.send));
    button(made, "again", item.refused, () => outbox.write({ ...item, refused: "" }).then(outbox.send));
    const asked = (yes) => {
      for (const name of ["surely", "leave"]) made.querySelector(`[data-${name}]`).hidden = !yes;
      made.querySelector("[data-strike]").hidden = yes;
      made.querySelector(yes ? "[data-surely]" : "[data-strike]").focus();
    };
    button(made, "strike", true, () => asked(true));
    button(made, "leave", false, () => asked(false));
    button(made, "surely", false, () => outbox.strikeOff(item.number).then(outbox.count).then(show).then(() => document.querySelector("h1").focus()));
    return made;
  }

  function button(row, name, shown, press) {
    const found = row.querySelector(`[data-${name}]`);
    found.hidden = !shown;
    found.addEventListener("click", press);
  }

  sendLine.querySelector("button").addEventListener("click", async () => {
    say("Sending.");
    await outbox.send();
    const left = (await outbox.all()).filter((item) => !item.refused).length;
    say(left ? "The workshop does not answer. What is kept stays here, and is tried again every half minute." : "Sent.");
  });

  function say(words) {
    said.textContent = words;
    said.hidden = false;
  }

  document.addEventListener("outbox", ({ detail: { state, share } }) => {
    if (state !== "sending") show();
    else if (share > 0 && share < 1) say(`Sending: ${Math.round(100 * share)} %.`);
  });
  document.querySelector("[data-no-worker]").hidden = "serviceWorker" in navigator;
  show();
})();
