// A tap on the picture says where the next balloon belongs; what it points at is asked in the form below.
const picture = document.querySelector("#picture img");
const form = document.querySelector("#place");
const [x, y] = [form.elements.x, form.elements.y];
const hint = form.querySelector("[data-hint]");
hint.textContent = hint.dataset.hint;
for (const typed of form.querySelectorAll("[data-by-tap]")) typed.hidden = true;

const mark = document.createElement("span");
mark.className = "balloon next";
mark.textContent = "+";

function show() {
  if (x.value === "" || y.value === "") return mark.remove();
  mark.style.left = `${x.value}%`;
  mark.style.top = `${y.value}%`;
  picture.parentElement.append(mark);
}

picture.addEventListener("click", (tap) => {
  const frame = picture.getBoundingClientRect();
  x.value = ((100 * (tap.clientX - frame.left)) / frame.width).toFixed(1);
  y.value = ((100 * (tap.clientY - frame.top)) / frame.height).toFixed(1);
  show();
  form.elements.points_at.focus({ preventScroll: true });
  form.scrollIntoView({ block: "nearest" });
});
for (const field of [x, y]) field.addEventListener("input", show);
show();
